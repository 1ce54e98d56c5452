"""A full disk is told apart from what else the system refuses: the page tries again by itself."""

import errno
import threading
from pathlib import Path
from queue import Queue

import pytest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.routing import Route

from portal.bench.answering import REFUSALS, telling
from portal.bench.state import Bench
from portal.web.serve import serve
from tests.bench.conftest import Client


@pytest.mark.parametrize(
    ("number", "status", "hint"),
    [
        *((errno.ENOSPC, 507, ""), (errno.EDQUOT, 507, ""), (errno.EIO, 500, "")),
        *((errno.EACCES, 500, "schreibgeschützt"), (errno.EROFS, 500, "schreibgeschützt")),
    ],
)
def test_no_room_is_told_apart(bench: Bench, number: int, status: int, hint: str) -> None:
    """In the system's words, and in the page's language around them; what is closed is to be opened."""

    def refuses(request: Request) -> object:
        raise OSError(number, "so it says")

    app = Starlette(routes=[Route("/", telling(refuses))], exception_handlers=REFUSALS)
    app.state.speaker = bench.speaker
    said: Queue[str] = Queue()
    threading.Thread(target=serve, args=(lambda chosen: app,), kwargs={"ready": said.put}, daemon=True).start()
    port = int(said.get(timeout=20).rstrip("/").rpartition(":")[2])
    answer = Client(Path(), port).ask("/?language=de")
    assert (answer.status, answer.data["error"]) == (status, "das System lehnt es ab: so it says")
    assert hint in answer.data["hint"] and bool(hint) is bool(answer.data["hint"])
