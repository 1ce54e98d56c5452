"""Pages that wait for the next state of the catalogue: each is told as it comes, and nothing looks for it meanwhile."""

import asyncio
import contextlib

from starlette.requests import Request

from portal.bench.state import Bench

WAIT_S = 10.0
"""How long a page waits for an answer; then it asks again, so that one that went without a word is forgotten."""


async def next_version(bench: Bench, known: int, request: Request) -> int:
    """The number of the catalogue's state, once it is another than that, or after a while, or once nobody waits."""
    loop, event = asyncio.get_running_loop(), asyncio.Event()

    def told() -> None:
        with contextlib.suppress(RuntimeError):  # the server is ending
            loop.call_soon_threadsafe(event.set)

    with bench.hearing(told):
        if bench.version == known:
            waiting = {asyncio.ensure_future(event.wait()), asyncio.ensure_future(_left(request))}
            try:
                await asyncio.wait(waiting, timeout=WAIT_S, return_when=asyncio.FIRST_COMPLETED)
            finally:
                for each in waiting:
                    each.cancel()
                await asyncio.gather(*waiting, return_exceptions=True)
    return bench.version


async def _left(request: Request) -> None:
    """Until whoever asked went away."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
