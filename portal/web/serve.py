"""Runs a local server until it is stopped: on loopback, or under an address of this machine that somebody names."""

import ipaddress
import socket
from collections.abc import Callable
from pathlib import Path
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.routing import Route
from starlette.types import ASGIApp

from portal.problem import PortalError
from portal.web.files import Files
from portal.web.guard import Guard
from portal.web.patient import Patient

LOOPBACK = "127.0.0.1"


def hosts_of(port: int, address: str = LOOPBACK) -> tuple[str, ...]:
    """The names under which a server is asked: loopback's two, or that address and no other."""
    if address == LOOPBACK:
        return (f"{LOOPBACK}:{port}", f"localhost:{port}")
    return (f"{_bracketed(address)}:{port}",)


def is_loopback(address: str) -> bool:
    """Whether only this machine can reach it."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return address.lower() == "localhost"


def _bracketed(address: str) -> str:
    return f"[{address}]" if ":" in address else address


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


def serve(
    make: Callable[[int], ASGIApp], *, port: int = 0, address: str = LOOPBACK, ready: Callable[[str], None]
) -> None:
    """Serve an application under an address; it is made for the port that was chosen.

    PortalError where the address isn't one of this machine, is no one address, or the port is taken.
    """
    family, where = _resolved(address, port)
    with socket.socket(family, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind(where)
        except OSError as error:
            hint = "name another with --port" if address == LOOPBACK else "is that an address of this machine?"
            raise PortalError(f"port {port} of {address} can't be had: {error.strerror}", hint=hint) from error
        chosen = listening.getsockname()[1]
        app = make(chosen)
        config = uvicorn.Config(
            app, http=Patient, ws="none", log_level="error", lifespan="off", access_log=False, server_header=False
        )  # what strangers send is no news for whoever started it
        listening.listen(128)
        ready(f"http://{_bracketed(address)}:{chosen}/")
        uvicorn.Server(config).run(sockets=[listening])


def _resolved(address: str, port: int) -> tuple[socket.AddressFamily, Any]:
    """Where to listen; refused where that would be every address, since requests for foreign names would look meant."""
    try:
        family, _, _, _, where = socket.getaddrinfo(address, port, type=socket.SOCK_STREAM)[0]
    except (OSError, UnicodeError) as error:
        raise PortalError(
            f"`{address}` is no address of this machine", hint="name one as 192.168.1.20", code=2
        ) from error
    if ipaddress.ip_address(str(where[0]).partition("%")[0]).is_unspecified:
        hint = "name the one address under which others shall ask, as 192.168.1.20"
        raise PortalError(f"`{address}` would be every address of this machine", hint=hint, code=2)
    return family, where
