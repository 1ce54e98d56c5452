"""A bench over a small catalogue, as an object and as a server on loopback."""

import json
import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from queue import Queue
from typing import Any

import pytest

from portal.bench.bodies import Save
from portal.bench.index import key_of
from portal.bench.run import run_bench
from portal.bench.save import place_of
from portal.bench.state import Bench
from portal.bench.targets import digest_of
from tests.tasks.small import TRIAL, small_catalogue

GATE = f"{TRIAL}/images/c1_gate.jpg"
TOP = f"{TRIAL}/images/c1_top.jpg"
UNTAGGED = f"{TRIAL}/images/c1_untagged.jpg"
"""Beside these on the bench that listens."""


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A bench over a catalogue of its own."""
    return Bench(small_catalogue(tmp_path / "c"))


def wanted(bench: Bench, picture: str = GATE, **changes: Any) -> Save:
    """What the page sends to save a new line on a picture, as it was given it."""
    tag = bench.index.spot(key_of(picture)).picture.tag
    body: dict[str, Any] = {
        "number": 1,
        "picture": key_of(picture),
        "place": place_of(tag),
        "place_seen": digest_of(place_of(tag)) if tag else "",
        "finding": vestige("1.00,2.00 30.50,40.25"),
        "id": "",
        "seen": "",
        "by": "first-inspector",
    }
    return Save.model_validate(body | changes)


def vestige(points: str) -> dict[str, Any]:
    """A finding as the page has it."""
    line = {"characteristic": "length", "shape": "line", "points": points, "edge": "sharp", "drawn": "by hand"}
    return {"defect": "black-speck", "zone": "B", "seen": "yes", "shapes": [line]}


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    content: bytes

    @property
    def data(self) -> Any:
        """The answer as JSON."""
        return json.loads(self.content)


@dataclass(frozen=True)
class Client:
    """Asks a real server on loopback, sending the path as it stands."""

    folder: Path
    port: int

    def ask(self, path: str, *, method: str = "GET", body: bytes | None = None, **headers: str) -> Answer:
        """One request on a connection of its own."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=20)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body=body, headers=named)
        answer = connection.getresponse()
        got = Answer(answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read())
        connection.close()
        return got

    def post(self, path: str, data: Any, **headers: str) -> Answer:
        """A request as our own page makes it."""
        own = {"Content_Type": "application/json", "X_Portal_Token": self.token} | headers
        return self.ask(path, method="POST", body=json.dumps(data).encode(), **own)

    @property
    def token(self) -> str:
        """What the page holds to be let write."""
        found = re.search(rb'"token":"([^"]+)"', self.ask("/").content)
        assert found
        return found.group(1).decode()


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    """A bench that listens, with a secret beside its catalogue."""
    top = tmp_path_factory.mktemp("benched")
    folder = small_catalogue(top / "c")
    (top / "secret.jpg").write_text("secret", encoding="utf-8")
    (folder / UNTAGGED).write_bytes((folder / GATE).read_bytes())
    said: Queue[str] = Queue()
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    yield Client(folder, int(said.get(timeout=20).rstrip("/").rpartition(":")[2]))
