"""Lets only our own page write: a token that other sites can't read, JSON only, bodies of a bounded size."""

import hmac

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

TOKEN_HEADER = "x-portal-token"
SAFE = frozenset({"GET", "HEAD"})
OURS = frozenset({"same-origin", "none"})
"""What a browser says of a request that our own page, or the person in front of it, makes."""


class TooLarge(Exception):
    """A body is longer than it said, or than is taken."""


class WriteGuard:
    """Refuses what another site could make a browser send; wraps an application."""

    def __init__(self, app: ASGIApp, *, token: str, most_bytes: int) -> None:
        self.app = app
        self.token = token
        self.most_bytes = most_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        refusal = self._refusal(str(scope["method"]), Headers(scope=scope))
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        await self.app(scope, self._bounded(receive), send)

    def _refusal(self, method: str, headers: Headers) -> PlainTextResponse | None:
        if headers.get("sec-fetch-site", "none") not in OURS:
            return PlainTextResponse("asked for by another site", status_code=403)
        if method in SAFE:
            return None
        if not hmac.compare_digest(headers.get(TOKEN_HEADER, "").encode(), self.token.encode()):
            return PlainTextResponse("this page was opened before the bench was started again", status_code=403)
        if headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
            return PlainTextResponse("only JSON is taken", status_code=415)
        length = headers.get("content-length", "")
        if not length.isascii() or not length.isdigit():
            return PlainTextResponse("the length has to be told", status_code=411)
        if int(length[:20]) > self.most_bytes:
            return PlainTextResponse("too much at once", status_code=413)
        return None

    def _bounded(self, receive: Receive) -> Receive:
        """The same, ended once more came than is taken, whatever the header said."""
        came = 0

        async def bounded() -> Message:
            nonlocal came
            message = await receive()
            came += len(message.get("body", b""))
            if came > self.most_bytes:
                raise TooLarge
            return message

        return bounded
