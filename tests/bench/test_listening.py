"""A bench that others can reach: only under the address that was named, and nothing without the key."""

import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from queue import Queue
from urllib.parse import urlsplit

import pytest

from portal.bench.app import bench_app
from portal.bench.index import key_of
from portal.bench.pixels import Pixels
from portal.bench.state import Bench
from portal.problem import PortalError
from portal.web.serve import hosts_of, serve
from tests.bench.conftest import GATE, Answer
from tests.tasks.small import small_catalogue

KEY = "k" * 43
ADDRESS = "127.0.0.2"
"""Another address of this machine: it stands for one of a network."""


class Other:
    """Another machine's browser: it asks under the named address."""

    def __init__(self, port: int) -> None:
        self.port = port

    def ask(self, path: str, *, method: str = "GET", body: bytes | None = None, **headers: str) -> Answer:
        """One request on a connection of its own."""
        connection = HTTPConnection(ADDRESS, self.port, timeout=20)
        connection.request(method, path, body=body, headers={k.replace("_", "-"): v for k, v in headers.items()})
        answer = connection.getresponse()
        got = Answer(answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read())
        connection.close()
        return got


@pytest.fixture(scope="module")
def other(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Other]:
    """A bench with a key, under that address."""
    top = tmp_path_factory.mktemp("listening")
    bench, pixels = Bench(small_catalogue(top / "c")), Pixels(top)
    said: Queue[str] = Queue()

    def run() -> None:
        serve(
            lambda port: bench_app(bench, pixels, hosts=hosts_of(port, ADDRESS), key=KEY), address=ADDRESS,
            ready=said.put,
        )  # fmt: skip

    threading.Thread(target=run, daemon=True).start()
    yield Other(urlsplit(said.get(timeout=20)).port or 0)


PATHS = ["/", "/api/trials", f"/picture/{key_of(GATE)}/1", f"/api/picture/{key_of(GATE)}", "/static/bench.js", "/x"]


@pytest.mark.parametrize("path", PATHS)
def test_without_the_key_nothing_is_had(other: Other, path: str) -> None:
    """Not the page with its token, no picture, no list, no script."""
    cookie = f"portal-bench-{other.port}"
    tried: list[dict[str, str]] = [{}, {"Cookie": f"{cookie}=x"}, {"Cookie": f"{cookie}="}, {"Cookie": f"other={KEY}"}]
    for given in tried:
        answer = other.ask(path, body=None, **given)
        assert answer.status == 403 and b"token" not in answer.content
    assert other.ask(f"{path}?key=x").status == 403
    assert other.ask("/api/trials?key=" + KEY).status == 403


def test_the_key_opens_once_and_the_cookie_holds(other: Other) -> None:
    """The cookie can't be read by a script nor sent by another site, and the key stands in no address any more."""
    answer = other.ask(f"/?key={KEY}")
    assert (answer.status, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=strict" in cookie
    for path in PATHS[:-1]:
        assert other.ask(path, Cookie=cookie.partition(";")[0]).status == 200


def test_with_the_cookie_writes_still_take_the_token_and_our_own_origin(other: Other) -> None:
    """A cookie alone lets another site write nothing."""
    cookie = f"portal-bench-{other.port}={KEY}"
    own = {"Cookie": cookie, "Content_Type": "application/json"}
    assert other.ask("/api/looked", method="POST", body=b"{}", **own).status == 403
    assert other.ask("/api/trials", Cookie=cookie, Origin="http://evil.example").status == 421
    assert other.ask("/api/trials", Cookie=cookie, Sec_Fetch_Site="cross-site").status == 403


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "localhost", "0.0.0.0", "127.0.0.2.evil.example", ""])
def test_another_name_gets_nothing_even_with_the_key(other: Other, host: str) -> None:
    """A rebound name; loopback's names too, since it doesn't listen there."""
    named = f"{host}:{other.port}" if host else ""
    answer = other.ask(f"/?key={KEY}", Host=named)
    assert answer.status in {400, 421} and "set-cookie" not in answer.headers


@pytest.mark.parametrize("address", ["0.0.0.0", "::", "no such address", "203.0.113.9", "a" * 300])
def test_every_address_at_once_or_none_of_ours_is_refused(address: str) -> None:
    """With a hint; nothing listens."""
    with pytest.raises(PortalError) as refused:
        serve(lambda port: pytest.fail("it listens"), address=address, ready=lambda told: None)
    assert refused.value.hint


def of_network() -> str:
    """An address of this machine that isn't loopback's: the one from which it would ask another (nothing is sent)."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))
            return str(asking.getsockname()[0])
        except OSError:
            pytest.skip("this machine has no address but loopback's")


def started(folder: Path, *more: str) -> tuple[str, str]:
    """What the command says on both outputs until it listens."""
    program = "from portal.cli import main; main()"
    command = [sys.executable, "-c", program, "bench", str(folder), "--port", "0", *more]
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert running.stdout
    try:
        said = running.stdout.readline()
    finally:
        running.terminate()
        warned = running.communicate(timeout=20)[1]
    return said, warned


def test_by_default_only_this_machine_reaches_it(tmp_path: Path) -> None:
    """Without a key, which would be in the way, and without a warning."""
    said, warned = started(small_catalogue(tmp_path / "c"))
    assert "http://127.0.0.1:" in said and "?key=" not in said
    assert warned == ""


def test_only_when_told_with_a_warning_and_a_key(tmp_path: Path) -> None:
    """On standard error, before anything can be reached."""
    address = of_network()
    said, warned = started(small_catalogue(tmp_path / "c"), "--listen", address)
    assert f"http://{address}:" in said and len(said.partition("?key=")[2].split()[0]) == 43
    assert warned.startswith("warning: other machines of the network can reach this bench")


def test_an_address_that_isnt_ours_is_refused_after_the_warning(tmp_path: Path) -> None:
    """203.0.113.9 is kept for documentation (RFC 5737)."""
    said, warned = started(small_catalogue(tmp_path / "c"), "--listen", "203.0.113.9")
    assert said == "" and "can't be had" in warned and "is that an address of this machine?" in warned
    assert warned.startswith("warning: other machines of the network can reach this bench")
