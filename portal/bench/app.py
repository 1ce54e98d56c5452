"""The application: a page, its pictures, and what it asks and writes; every address looks things up in our index."""

import secrets
from asyncio import sleep
from collections.abc import Awaitable, Callable
from json import JSONDecodeError
from json import loads as read_json
from typing import Any, TypeVar

from pydantic import ValidationError
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from portal.bench.answer import answer
from portal.bench.bodies import Body, Edges, MarkChecked, NothingSeen, Question, Save
from portal.bench.checked import mark_checked
from portal.bench.drawing import facts_of
from portal.bench.edges import Codes, find_edges
from portal.bench.index import NotThere
from portal.bench.listing import trial_data, trials
from portal.bench.looked import nothing_seen
from portal.bench.page import LANGUAGES, page, static_files
from portal.bench.pixels import Pixels
from portal.bench.save import save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.model.picture import PictureFacts
from portal.problem import PortalError
from portal.web.guard import Guard
from portal.web.serve import hosts_of
from portal.web.writes import TooLarge, WriteGuard

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
MOST_BYTES = 1_000_000
"""An outline of ten thousand points has a fifth of that."""
CHANGES_WAIT, CHANGES_STEP_S = 100, 0.1
"""How often it is looked whether something changed before a waiting page is answered."""
B = TypeVar("B", bound=Body)
Work = Callable[[Request], Awaitable[Response]]


class App:
    """What each address does."""

    def __init__(self, bench: Bench, pixels: Pixels, token: str) -> None:
        self.bench = bench
        self.pixels = pixels
        self.token = token
        self.codes = Codes()
        self.static = static_files()

    async def page(self, request: Request) -> Response:
        """The page itself."""
        body = await run_in_threadpool(page, self.bench, self.token, language_of(request))
        return Response(body, media_type="text/html; charset=utf-8")

    async def file(self, request: Request) -> Response:
        """A style or a script of ours."""
        found = self.static.get(request.path_params["name"])
        if found is None:
            raise NotThere("there is no such file")
        return Response(found[1], headers={"content-type": found[0]})

    async def trials(self, request: Request) -> Response:
        """Every trial."""
        return JSONResponse(await run_in_threadpool(trials, self.bench, self._speaker(request)))

    async def trial(self, request: Request) -> Response:
        """One trial, as its folder is now."""

        def look() -> dict[str, object]:
            mould, trial = self.bench.index.trial(request.path_params["key"])
            if not self.bench.is_asked_about(mould.id, trial.id):
                self.bench.refresh(mould.id, trial.id)
            self.bench.ask_about(mould.id, trial.id)
            return trial_data(self.bench, request.path_params["key"], self._speaker(request))

        return JSONResponse(await run_in_threadpool(look))

    async def changes(self, request: Request) -> Response:
        """The number of the catalogue's state, once it is another than the page's, or after a while."""
        mould, trial = self.bench.index.trial(request.path_params["key"])
        for _ in range(CHANGES_WAIT):
            self.bench.ask_about(mould.id, trial.id)
            if self.bench.version != request.path_params["version"] or await request.is_disconnected():
                break
            await sleep(CHANGES_STEP_S)
        return JSONResponse({"version": self.bench.version})

    async def sight(self, request: Request) -> Response:
        """One picture with what was found on it."""
        return JSONResponse(
            await run_in_threadpool(sight, self.bench, request.path_params["key"], self._speaker(request))
        )

    async def pixels_of(self, request: Request) -> Response:
        """A picture's pixels."""

        def find() -> Any:
            spot = self.bench.index.spot(request.path_params["key"])
            own = facts_of(spot, self.bench.facts)
            return self.pixels.file(self.bench.folder / spot.picture.file, own, request.path_params["divide"])

        return FileResponse(await run_in_threadpool(find), media_type="image/jpeg")

    async def sample_of(self, request: Request) -> Response:
        """The pixels of a limit sample's picture."""

        def find() -> Any:
            file = self.bench.index.sample(request.path_params["key"])
            own = self.bench.facts.get(file)
            if not isinstance(own, PictureFacts):
                raise NotThere("there is no such picture")
            return self.pixels.file(self.bench.folder / file, own, request.path_params["divide"])

        return FileResponse(await run_in_threadpool(find), media_type="image/jpeg")

    async def measure(self, request: Request) -> Response:
        """A drawn finding's value and verdict."""
        asked = await body_of(request, Question)
        return JSONResponse(await run_in_threadpool(answer, self.bench, asked, language=language_of(request)))

    async def edges(self, request: Request) -> Response:
        """A shape moved onto the edges nearby, as a proposal."""
        asked = await body_of(request, Edges)
        language = language_of(request)
        return JSONResponse(await run_in_threadpool(find_edges, self.bench, self.codes, asked, language=language))

    async def save(self, request: Request) -> Response:
        """A finding into its tag file."""
        asked = await body_of(request, Save)

        def write() -> dict[str, object]:
            saved = save(self.bench, asked)
            told = {"number": asked.number, "id": saved.id, "conflict": saved.conflict}
            return {**told, "picture": sight(self.bench, asked.picture, self._speaker(request))}

        return JSONResponse(await run_in_threadpool(write))

    async def looked(self, request: Request) -> Response:
        """Looked at, nothing seen."""
        asked = await body_of(request, NothingSeen)

        def write() -> dict[str, object]:
            nothing_seen(self.bench, asked)
            return trial_data(self.bench, asked.trial, self._speaker(request))

        return JSONResponse(await run_in_threadpool(write))

    async def checked(self, request: Request) -> Response:
        """A trial is marked checked."""
        asked = await body_of(request, MarkChecked)

        def write() -> dict[str, object]:
            mark_checked(self.bench, asked)
            return trial_data(self.bench, asked.trial, self._speaker(request))

        return JSONResponse(await run_in_threadpool(write))

    def _speaker(self, request: Request) -> Any:
        return self.bench.speaker(language_of(request))


async def body_of(request: Request, kind: type[B]) -> B:
    """The body as that record; ValueError where it isn't one."""
    try:
        return kind.model_validate(read_json(await request.body()))
    except (JSONDecodeError, UnicodeDecodeError, ValidationError, RecursionError) as error:
        raise ValueError("the request can't be read") from error


def language_of(request: Request) -> str | None:
    """The language that the page asks for, of those that there are."""
    asked = request.query_params.get("language")
    return asked if asked in LANGUAGES else None


async def _refused(request: Request, error: Exception) -> Response:
    told = {"error": str(error), "hint": getattr(error, "hint", None) or ""}
    return JSONResponse(told, status_code=404 if isinstance(error, NotThere) else 422)


async def _unread(request: Request, error: Exception) -> Response:
    return JSONResponse({"error": "the request can't be read", "hint": ""}, status_code=400)


async def _too_large(request: Request, error: Exception) -> Response:
    return PlainTextResponse("too much at once", status_code=413)


async def _failed(request: Request, error: Exception) -> Response:
    return JSONResponse({"error": error.strerror or "the system refuses it", "hint": ""}, status_code=507)  # type: ignore[attr-defined]


def bench_app(bench: Bench, pixels: Pixels, *, port: int) -> Starlette:
    """The application for a bench that listens on that port of loopback."""
    token = secrets.token_urlsafe(32)
    app = App(bench, pixels, token)
    get, post = ["GET", "HEAD"], ["POST"]
    return Starlette(
        routes=[
            Route("/", app.page, methods=get),
            Route("/static/{name}", app.file, methods=get),
            Route("/picture/{key}/{divide:int}", app.pixels_of, methods=get),
            Route("/sample/{key}/{divide:int}", app.sample_of, methods=get),
            Route("/api/trials", app.trials, methods=get),
            Route("/api/trial/{key}", app.trial, methods=get),
            Route("/api/changes/{key}/{version:int}", app.changes, methods=get),
            Route("/api/picture/{key}", app.sight, methods=get),
            Route("/api/measure", app.measure, methods=post),
            Route("/api/edges", app.edges, methods=post),
            Route("/api/save", app.save, methods=post),
            Route("/api/checked", app.checked, methods=post),
            Route("/api/looked", app.looked, methods=post),
        ],
        middleware=[
            Middleware(Guard, hosts=hosts_of(port), policy=POLICY),
            Middleware(WriteGuard, token=token, most_bytes=MOST_BYTES),
        ],
        exception_handlers={
            PortalError: _refused, ValueError: _unread, TooLarge: _too_large, OSError: _failed,
        },
    )  # fmt: skip
