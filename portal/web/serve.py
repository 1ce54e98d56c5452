"""Runs a local server on loopback until it is stopped."""

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.routing import Route
from starlette.types import ASGIApp

from portal.problem import PortalError
from portal.web.files import Files
from portal.web.guard import Guard

LOOPBACK = "127.0.0.1"


def hosts_of(port: int) -> tuple[str, ...]:
    """The names under which a server on loopback is asked."""
    return (f"{LOOPBACK}:{port}", f"localhost:{port}")


def site_app(folder: Path, *, port: int) -> Starlette:
    """An application that serves a built site under loopback's names."""
    files = Files(folder)
    return Starlette(
        routes=[Route("/{path:path}", files.__call__, methods=["GET", "HEAD"])],
        middleware=[Middleware(Guard, hosts=hosts_of(port))],
    )


def serve_site(folder: Path, *, port: int = 0, ready: Callable[[str], None]) -> None:
    """Serve a built site on loopback; `ready` is told the address once the server listens.

    Port 0 takes any free one. Raises PortalError where the port is taken.
    """
    serve(lambda chosen: site_app(folder, port=chosen), port=port, ready=ready)


def serve(make: Callable[[int], ASGIApp], *, port: int = 0, ready: Callable[[str], None]) -> None:
    """Serve an application on loopback; it is made for the port that was chosen."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((LOOPBACK, port))
        except OSError as error:
            raise PortalError(f"port {port} can't be had: {error.strerror}", hint="name another with --port") from error
        chosen = listening.getsockname()[1]
        app = make(chosen)
        config = uvicorn.Config(app, log_level="warning", lifespan="off", access_log=False, server_header=False)
        listening.listen(128)
        ready(f"http://{LOOPBACK}:{chosen}/")
        uvicorn.Server(config).run(sockets=[listening])
