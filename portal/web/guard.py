"""Checks Host and Origin of every request and adds the headers that every answer carries.

A page of another site can reach a server on loopback through a name that it rebinds; the Host header
then still tells that name. Only the names under which we listen are answered.
"""

from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cache-Control": "no-cache",
}


class Guard:
    """Lets a request through only when it was meant for this server; wraps an application.

    `policy` is the content security policy of every answer, where pages don't hold their own; with `own_frames` a page
    of ours may hold another one.
    """

    def __init__(
        self, app: ASGIApp, *, hosts: Iterable[str], policy: str | None = None, own_frames: bool = False
    ) -> None:
        self.app = app
        self.hosts = frozenset(host.lower() for host in hosts)
        self.headers = {**HEADERS, "Content-Security-Policy": policy} if policy else dict(HEADERS)
        if own_frames:
            self.headers["X-Frame-Options"] = "SAMEORIGIN"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(self.headers)
            await send(message)

        if not self._is_meant_for_us(headers):
            refusal = PlainTextResponse("this server answers only under its own address", status_code=421)
            await refusal(scope, receive, send_with_headers)
            return
        await self.app(scope, receive, send_with_headers)

    def _is_meant_for_us(self, headers: Headers) -> bool:
        origins = headers.getlist("origin")
        asked = headers.getlist("host")
        return len(asked) == 1 and asked[0].lower() in self.hosts and all(_host(each) in self.hosts for each in origins)


def _host(origin: str) -> str:
    """The host of an origin; none where it isn't one."""
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return ""
