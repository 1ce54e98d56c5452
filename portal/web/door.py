"""Lets in only who came with the key: for a server that other machines can reach.

The address that is told at the start holds the key. Whoever opens it gets a cookie in its place, so that the key stands
in no other address, and everything else is refused until then.
"""

import hmac
from urllib.parse import parse_qs

from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

KEY = "key"
"""What the key is called in the address."""


class Door:
    """Wraps an application; `name` is that of the cookie, another one for each port."""

    def __init__(self, app: ASGIApp, *, key: str, name: str) -> None:
        self.app = app
        self.key = key
        self.name = name

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        if self._is_in(Headers(scope=scope)):
            await self.app(scope, receive, send)
        elif scope["path"] == "/" and self._has_key(scope["query_string"]):
            await self._opened()(scope, receive, send)
        else:
            refusal = PlainTextResponse("open the whole address that was told at the start", status_code=403)
            await refusal(scope, receive, send)

    def _is_in(self, headers: Headers) -> bool:
        given = cookie_parser("; ".join(headers.getlist("cookie"))).get(self.name, "")
        return _same(given, self.key)

    def _has_key(self, query: bytes) -> bool:
        given = parse_qs(query.decode("latin-1"), max_num_fields=20) if len(query) < 1000 else {}
        return any(_same(each, self.key) for each in given.get(KEY, []))

    def _opened(self) -> Response:
        answer = Response(status_code=303, headers={"location": "/"})
        answer.set_cookie(self.name, self.key, httponly=True, samesite="strict", path="/")
        return answer


def _same(given: str, wanted: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "surrogatepass"), wanted.encode())
