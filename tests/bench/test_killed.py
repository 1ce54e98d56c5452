"""Benches that are killed, and two of them on one share: what was said to be saved is there, whole."""

import json
import random
import re
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from typing import Any

import pytest

from portal.bench.index import key_of
from portal.catalog import read
from tests.bench.conftest import GATE, TOP, vestige
from tests.bench.forking import bench, end
from tests.tasks.small import small_catalogue


class Bench:
    """A bench in a process of its own, and a page of it."""

    def __init__(self, folder: Path) -> None:
        self.process, address = bench(folder)
        self.port = int(address.rstrip("/").rpartition(":")[2])
        found = re.search(r'"token":"([^"]+)"', self._ask("GET", "/", None)[1])
        assert found
        self.token = found.group(1)

    def _ask(self, method: str, path: str, data: Any) -> tuple[int, str]:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=30)
        headers = {"Content-Type": "application/json", "X-Portal-Token": getattr(self, "token", "")}
        connection.request(method, path, None if data is None else json.dumps(data), headers)
        answer = connection.getresponse()
        told = answer.status, answer.read().decode()
        connection.close()
        return told

    def draw(self, picture: str, at: int) -> tuple[str, str | None]:
        """A line drawn on a picture as the page then has it; its id, and where it was kept if it lost."""
        _, told = self._ask("GET", f"/api/picture/{key_of(picture)}", None)
        sight = json.loads(told)
        body = {
            "number": at, "picture": key_of(picture), "place": sight["place"], "place_seen": sight["placeSeen"],
            "finding": vestige(f"{at}.00,2.00 {at}.50,40.25"), "id": "", "seen": "", "by": "first-inspector",
        }  # fmt: skip
        status, told = self._ask("POST", "/api/save", body)
        assert status == 200, told
        saved = json.loads(told)
        return saved["id"], saved["conflict"]

    def kill(self) -> None:
        """At once, as when the power goes."""
        end(self.process)


@contextmanager
def benches(folder: Path, count: int) -> Iterator[list[Bench]]:
    """So many on one folder; none is left."""
    running = [Bench(folder) for _ in range(count)]
    try:
        yield running
    finally:
        for each in running:
            each.kill()


def findings(folder: Path) -> dict[str, int]:
    """What lies in the folder by now: how far along each line begins, by the finding's id; nothing is broken."""
    reading = read(folder)
    assert reading.catalogue is not None and reading.problems == ()
    found = {}
    for each in reading.catalogue.findings():
        for shape in each.finding.shapes:
            if shape.shape == "line":
                found[each.finding.id] = int(shape.points.xy[0][0])
    return found


def killed_once(folder: Path, seed: int) -> None:
    """Killed at any moment while it saves: every finding that it said was saved is in the file, which is whole."""
    rng, saved = random.Random(seed), dict[str, int]()
    with benches(folder, 1) as (bench,):

        def work() -> None:
            for at in range(1, 300):
                try:
                    saved[bench.draw(GATE, at)[0]] = at
                except (OSError, HTTPException, ValueError):
                    return

        drawing = threading.Thread(target=work)
        drawing.start()
        until = time.monotonic() + 60
        while not saved and drawing.is_alive() and time.monotonic() < until:
            time.sleep(0.01)  # the first takes longer: what it needs is loaded
        time.sleep(rng.random())
        bench.kill()
        drawing.join(timeout=60)
    there = findings(folder)
    assert saved and saved.items() <= there.items()
    assert len(there) - len(saved) <= 1, "no more than the one on its way"
    with benches(folder, 1) as (again,):
        assert patiently(again) is None, "what the killed one held is free again"


def patiently(bench: Bench) -> str | None:
    """Draw once more; a file that a killed one held is taken over after a while."""
    for _ in range(10):
        try:
            return bench.draw(GATE, 301)[1]
        except AssertionError as refused:
            assert "another bench" in str(refused)
            time.sleep(2)
    raise AssertionError("it is held for ever")


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 10))])
def test_a_server_that_is_killed_loses_at_most_what_is_on_its_way(tmp_path: Path, seed: int) -> None:
    """One of ten."""
    killed_once(small_catalogue(tmp_path / "c"), seed)


def test_two_benches_on_one_share_lose_nothing_of_each_other(tmp_path: Path) -> None:
    """Both draw on the same two pictures at once, in processes of their own; ids are used once."""
    folder = small_catalogue(tmp_path / "c")
    saved: list[tuple[str, int, str | None]] = []
    with benches(folder, 2) as both:

        def work(bench: Bench, first: int) -> None:
            for at in range(first, first + 8):
                id_, conflict = bench.draw(GATE if at % 2 else TOP, at)
                saved.append((id_, at, conflict))

        threads = [threading.Thread(target=work, args=(each, 20 + 100 * number)) for number, each in enumerate(both)]
        for each in threads:
            each.start()
        for each in threads:
            each.join(timeout=120)
    assert len(saved) == 16 and len({id_ for id_, _, _ in saved}) == 16
    there = findings(folder)
    for id_, at, conflict in saved:
        kept = list(folder.rglob(conflict or "-"))
        assert there.get(id_) == at or (kept and f"{at}.00,2.00" in kept[0].read_text(encoding="utf-8")), (id_, at)
