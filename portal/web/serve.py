"""Runs a local server on loopback until it is stopped."""

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.routing import Route

from portal.problem import PortalError
from portal.web.files import Files
from portal.web.guard import Guard

LOOPBACK = "127.0.0.1"


def site_app(folder: Path, *, port: int) -> Starlette:
    """An application that serves a built site under loopback's names."""
    hosts = (f"{LOOPBACK}:{port}", f"localhost:{port}")
    files = Files(folder)
    return Starlette(
        routes=[Route("/{path:path}", files.__call__, methods=["GET", "HEAD"])],
        middleware=[Middleware(Guard, hosts=hosts)],
    )


def serve_site(folder: Path, *, port: int = 0, ready: Callable[[str], None]) -> None:
    """Serve a built site on loopback; `ready` is told the address once the server listens.

    Port 0 takes any free one. Raises PortalError where the port is taken.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((LOOPBACK, port))
        except OSError as error:
            raise PortalError(f"port {port} can't be had: {error.strerror}", hint="name another with --port") from error
        chosen = listening.getsockname()[1]
        config = uvicorn.Config(site_app(folder, port=chosen), log_level="warning", lifespan="off")
        listening.listen(128)
        ready(f"http://{LOOPBACK}:{chosen}/")
        uvicorn.Server(config).run(sockets=[listening])
