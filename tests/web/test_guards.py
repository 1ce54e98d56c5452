"""The guards by themselves: they hold also where a library that reads requests would let something through."""

import asyncio
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import Message, Receive, Scope, Send

from portal.web.guard import Guard
from portal.web.writes import TooLarge, WriteGuard

HOST = (b"host", b"127.0.0.1:1")


async def inner(scope: Scope, receive: Receive, send: Send) -> None:
    """An application that reads all and answers with how much it was."""
    body = await Request(scope, receive).body()
    await PlainTextResponse(str(len(body)))(scope, receive, send)


def answered(app: Any, headers: list[tuple[bytes, bytes]], *pieces: bytes) -> tuple[int, bytes]:
    """The status and the body of the answer to a POST that comes in these pieces."""
    told: list[Message] = []
    left = list(pieces)

    async def receive() -> Message:
        piece = left.pop(0) if left else b""
        return {"type": "http.request", "body": piece, "more_body": bool(left)}

    async def send(message: Message) -> None:
        told.append(message)

    scope = {"type": "http", "method": "POST", "path": "/", "query_string": b"", "headers": headers}
    with ThreadPoolExecutor(1) as apart:  # where a browser is driven in this process, this thread has a loop already
        apart.submit(asyncio.run, app(scope, receive, send)).result()
    return told[0]["status"], b"".join(each.get("body", b"") for each in told[1:])


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ([HOST], 200),
        ([HOST, HOST], 421),
        ([HOST, (b"host", b"evil.example")], 421),
        ([(b"host", b"evil.example"), HOST], 421),
        ([], 421),
        ([HOST, (b"origin", b"http://127.0.0.1:1"), (b"origin", b"http://evil.example")], 421),
    ],
)
def test_there_is_one_host_and_it_is_ours(headers: list[tuple[bytes, bytes]], status: int) -> None:
    """Two are none; each origin that is told has to be ours."""
    assert answered(Guard(inner, hosts=["127.0.0.1:1"]), headers)[0] == status


def test_a_body_that_is_longer_than_it_said_is_cut_off() -> None:
    """Whatever its header promised; one that is as long as it may be is read."""
    own = [HOST, (b"x-portal-token", b"t"), (b"content-type", b"application/json"), (b"content-length", b"3")]
    app = WriteGuard(inner, token="t", most_bytes=10)
    assert answered(app, own, b"12345", b"12345") == (200, b"10")
    with pytest.raises(TooLarge):
        answered(app, own, b"12345", b"12345", b"1")
