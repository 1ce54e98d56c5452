"""How an address of the bench answers: work away from the loop, data as JSON, refusals in words, never a trace."""

import errno
from collections.abc import Awaitable, Callable
from json import JSONDecodeError
from json import loads as read_json
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, Response

from portal.bench.bodies import Body
from portal.bench.index import NotThere
from portal.bench.page import LANGUAGES
from portal.bench.passedon import passed_on
from portal.bench.refused import Refused, in_one
from portal.bench.state import Away
from portal.catalog.alone import Busy
from portal.problem import PortalError
from portal.site.words import Speaker
from portal.web.writes import TooLarge

FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}
"""What the system says where there is no room, or no more for this user."""
CLOSED = {errno.EACCES, errno.EPERM, errno.EROFS}
"""What it says where somebody closed a file or its folder, or has it open elsewhere."""
B = TypeVar("B", bound=Body)
Endpoint = Callable[[Request], Awaitable[Response]]


def telling(work: Callable[[Request], object]) -> Endpoint:
    """An address that tells what some work finds."""

    async def endpoint(request: Request) -> Response:
        return JSONResponse(await run_in_threadpool(work, request))

    return endpoint


def showing(work: Callable[[Request], Path]) -> Endpoint:
    """An address that shows a picture which some work finds."""

    async def endpoint(request: Request) -> Response:
        return FileResponse(await run_in_threadpool(work, request), media_type="image/jpeg")

    return endpoint


def taking(kind: type[B], work: Callable[[B, Request], object]) -> Endpoint:
    """An address that takes a body of that kind, and tells what some work makes of it."""

    async def endpoint(request: Request) -> Response:
        asked = await _body_of(request, kind)
        return JSONResponse(await run_in_threadpool(work, asked, request))

    return endpoint


def language_of(request: Request) -> str | None:
    """The language that the page asks for, of those that there are."""
    asked = request.query_params.get("language")
    return asked if asked in LANGUAGES else None


async def _body_of(request: Request, kind: type[B]) -> B:
    """The body as that record; ValueError where it isn't one."""
    try:
        return kind.model_validate(read_json(await request.body()))
    except (JSONDecodeError, UnicodeDecodeError, ValidationError, RecursionError) as error:
        raise ValueError("the request can't be read") from error


def _told(request: Request, error: Exception, status: int) -> Response:
    """A refusal in the page's language, also what rules of other rooms refuse."""
    speaker: Speaker = request.app.state.speaker(language_of(request))
    if isinstance(error, Refused):
        said, hint = error.said(speaker)
    else:
        said, hint = _passed_on(error, speaker)
    fields = [[path, why] for path, why in error.fields_said(speaker) if path] if isinstance(error, Refused) else []
    key = error.key if isinstance(error, Refused) else ""
    return JSONResponse({"error": said, "hint": hint, "fields": fields, "key": key}, status_code=status)


def _passed_on(error: Exception, speaker: Speaker) -> tuple[str, str]:
    """The sentence and the hint of another room; where it lists what is wrong with a file, each by itself."""
    problems = error.problems if isinstance(error, PortalError) else ()
    fields = tuple((each.field, each.message) for each in problems)
    said, hint = str(error), getattr(error, "hint", None) or ""
    if said == in_one(fields):
        return in_one((path, passed_on(message, speaker)) for path, message in fields), passed_on(hint, speaker)
    return passed_on(said, speaker), passed_on(hint, speaker)


async def _refused(request: Request, error: Exception) -> Response:
    return _told(request, error, 404 if isinstance(error, NotThere) else 422)


async def _busy(request: Request, error: Exception) -> Response:
    return _told(request, Refused("refused.busy", hint="refused.in_a_moment"), 503)


async def _away(request: Request, error: Exception) -> Response:
    return _told(request, Refused("refused.away", hint="refused.is_connected"), 503)


async def _unread(request: Request, error: Exception) -> Response:
    return _told(request, Refused("refused.request"), 400)


async def _too_large(request: Request, error: Exception) -> Response:
    return _told(request, Refused("refused.too_much"), 413)


async def _failed(request: Request, error: Exception) -> Response:
    """A full disk passes, so that the page tries again by itself; what else the system refuses waits for somebody."""
    number, why = getattr(error, "errno", None), getattr(error, "strerror", None) or "?"
    hint = "refused.open_it" if number in CLOSED else None
    return _told(request, Refused("refused.system", hint=hint, why=why), 507 if number in FULL else 500)


async def _left(request: Request, error: Exception) -> Response:
    """Nobody hears it: whoever asked went away in the middle."""
    return PlainTextResponse("the request ended early", status_code=400)


REFUSALS = {
    Away: _away,
    Busy: _busy,
    PortalError: _refused,
    ValueError: _unread,
    TooLarge: _too_large,
    OSError: _failed,
    ClientDisconnect: _left,
}
