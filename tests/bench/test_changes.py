"""Pages that wait for a change: told as it comes, forgotten as they leave, and no work for the machine meanwhile."""

import json
import socket
import threading
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from queue import Queue

import pytest

from portal.bench.app import bench_app
from portal.bench.index import key_of
from portal.bench.pixels import Pixels
from portal.bench.save import save
from portal.bench.state import Bench
from portal.web.serve import hosts_of, serve
from tests.bench.conftest import wanted
from tests.tasks.small import small_catalogue

PAGES = 120
"""Of one machine no more are taken than 128."""


class Counting(Bench):
    """Counts how often somebody looks at the number of its state."""

    looks = 0

    @property
    def version(self) -> int:
        """As it is."""
        self.looks += 1
        return super().version

    @version.setter
    def version(self, number: int) -> None:
        self._now(number)


@pytest.fixture
def bench(tmp_path: Path) -> Counting:
    """A bench over a catalogue of its own."""
    return Counting(small_catalogue(tmp_path / "c"))


@pytest.fixture
def port(bench: Counting, tmp_path: Path) -> int:
    """Where that very bench listens."""
    said: Queue[str] = Queue()

    def make(chosen: int) -> object:
        return bench_app(bench, Pixels(tmp_path / "pixels"), hosts=hosts_of(chosen))

    threading.Thread(target=serve, args=(make,), kwargs={"ready": said.put}, daemon=True).start()
    return int(said.get(timeout=20).rstrip("/").rpartition(":")[2])


def waiting(port: int, version: int) -> socket.socket:
    """A page that waits for another state than that."""
    page = socket.create_connection(("127.0.0.1", port), timeout=30)
    path = f"/api/changes/{key_of('M-001/T1')}/{version}"
    page.sendall(f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
    return page


def told(page: socket.socket) -> int:
    """The number that it is told."""
    content = b""
    while not content.endswith(b"}"):
        content += page.recv(4000)
    return int(json.loads(content.rpartition(b"\r\n\r\n")[2])["version"])


def until(true: Callable[[], bool]) -> None:
    """At most half a minute."""
    for _ in range(600):
        if true():
            return
        time.sleep(0.05)
    raise AssertionError("it never came to that")


def test_pages_that_wait_take_nothing_are_told_at_once_and_forgotten(bench: Counting, port: int) -> None:
    """Nobody looks whether something happened; once it does, each has the new number."""
    with ExitStack() as open_ones:
        assert bench.version == 0
        pages = [open_ones.enter_context(waiting(port, bench.version)) for _ in range(PAGES)]
        until(lambda: len(bench._heard) == PAGES)
        time.sleep(0.5)
        before = bench.looks
        time.sleep(1.0)
        assert bench.looks == before, "somebody looks again and again"
        assert save(bench, wanted(bench)).conflict is None
        assert all(told(page) > 0 for page in pages)
        assert not bench._heard
        for _ in range(3):
            open_ones.enter_context(waiting(port, bench.version))
        until(lambda: len(bench._heard) == 3)
    until(lambda: not bench._heard)


def test_a_page_that_is_behind_is_told_without_waiting(bench: Bench, port: int) -> None:
    """What changed between its list and its question."""
    with waiting(port, bench.version + 1) as page:
        assert told(page) == bench.version
