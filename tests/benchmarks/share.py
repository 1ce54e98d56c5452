"""How soon a picture that another machine writes to a share is in the bench's list; it never passes or fails.

`python tests/benchmarks/share.py WRITTEN WATCHED` takes two names of one empty folder: the one that is written to, and
the one that the bench watches, which tells nothing of what was written by the other name. On Debian, with `bindfs`:

    mkdir -p share/written share/watched
    bindfs -o attr_timeout=1 share/written share/watched
    python tests/benchmarks/share.py share/written share/watched
    fusermount3 -u share/watched

`attr_timeout` is how many seconds this machine keeps what the share told it of a file. Another process writes each
picture in eight pieces, as a camera program does; the time runs from its last byte until a client has it in its list,
which waits for changes as the bench's page does. `--pictures 2000 --tagged` puts so many beside; `--burst 500` tells
how many refreshes so many at once come to; `--kind tif --pause 0.25` shows whether one is listed before it is whole.
"""

import argparse
import json
import os
import random
import shutil
import sys
import threading
import time
from collections.abc import Callable
from http.client import HTTPConnection
from itertools import pairwise
from pathlib import Path
from queue import Queue
from subprocess import PIPE, Popen
from typing import Any
from unittest.mock import patch
from urllib.parse import urlsplit

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[2]))

from portal.bench.app import bench_app
from portal.bench.arrival import Arrivals
from portal.bench.index import key_of
from portal.bench.pixels import Pixels
from portal.bench.state import Bench
from portal.bench.watching import Watch
from portal.tasks.inputs import Stamp
from portal.web.serve import hosts_of, serve
from tests.tasks.small import TRIAL, small_catalogue

WRITER = """
import sys, time
content, pause = open(sys.argv[1], "rb").read(), float(sys.argv[2])
for line in sys.stdin:
    pieces = 8
    with open(line.strip(), "wb", buffering=0) as file:
        for n in range(pieces):
            file.write(content[len(content) * n // pieces : len(content) * (n + 1) // pieces])
            last = time.time()
            if n + 1 < pieces:
                time.sleep(pause)
    print(last, flush=True)
"""


class Notes:
    """When each step of each picture was."""

    def __init__(self) -> None:
        self.at: dict[str, dict[str, float]] = {}

    def note(self, name: str, step: str, *, again: bool = False) -> None:
        """A step, at its first time or, where it may come again, at its last."""
        own = self.at.setdefault(name, {})
        own[step] = time.time() if again else own.get(step, time.time())


class Noting(Arrivals):
    """Notes when a file is seen in its last state, and when it is whole."""

    notes = Notes()

    def calm_at(self, folder: Path) -> list[float]:
        before = dict(self.coming)
        found = super().calm_at(folder)
        self._note(before)
        return found

    def _has_come(self, folder: Path, file: str) -> bool:
        before = dict(self.coming)
        come = super()._has_come(folder, file)
        self._note(before)
        if come:
            self.notes.note(Path(file).name, "whole")
        return come

    def _note(self, before: dict[str, tuple[Stamp | None, float]]) -> None:
        for file, (stamp, _) in tuple(self.coming.items()):
            if file not in before or before[file][0] != stamp:
                self.notes.note(Path(file).name, "noticed", again=True)


def main() -> None:
    """All in one process but the writer."""
    read = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    read.add_argument("written", type=Path)
    read.add_argument("watched", type=Path)
    read.add_argument("--new", type=int, default=30, help="pictures that come one after the other")
    read.add_argument("--pictures", type=int, default=0, help="pictures beside them")
    read.add_argument("--burst", type=int, default=0, help="pictures that come at once")
    read.add_argument("--kind", choices=["jpg", "tif"], default="jpg", help="a TIFF has no mark of its end")
    read.add_argument("--pause", type=float, default=0.03, help="seconds between the eight pieces of a picture")
    read.add_argument("--tagged", action="store_true", help="those beside have tags")
    asked = read.parse_args()
    if any(asked.written.iterdir()):
        sys.exit(f"{asked.written} isn't empty")
    try:
        with patch("portal.bench.state.Arrivals", Noting):
            _measure(asked)
    finally:
        for each in asked.written.iterdir():
            shutil.rmtree(each)


def _measure(asked: argparse.Namespace) -> None:
    folder = small_catalogue(asked.written / "c")
    images = folder / TRIAL / "images"
    for number in range(asked.pictures):
        shutil.copy(images / "c1_gate.jpg", images / f"old{number:04}.jpg")
        if asked.tagged:
            tag = (folder / TRIAL / "tags/c1_top.jpg.yaml").read_text(encoding="utf-8").partition("findings:")[0]
            (folder / TRIAL / f"tags/old{number:04}.jpg.yaml").write_text(tag, encoding="utf-8")
    sample = asked.written / "c" / f"sample.{asked.kind}"
    grey = np.random.default_rng(1).integers(60, 200, (300, 450, 3), dtype=np.uint8)
    size = (3600, 2400) if asked.kind == "jpg" else (1500, 1000)
    Image.fromarray(grey).resize(size, Image.Resampling.BICUBIC).save(sample, quality=92)
    bench = Bench(asked.watched / "c")
    key, said = key_of("M-001/T1"), Queue[str]()
    pixels = Pixels(folder.parent / "derived")
    threading.Thread(
        target=lambda: serve(lambda port: bench_app(bench, pixels, hosts=hosts_of(port)), ready=said.put), daemon=True
    ).start()
    port = urlsplit(said.get(timeout=20)).port or 0
    with Watch(bench).running() as watch:
        page = Page(port, key)
        threading.Thread(target=page.run, daemon=True).start()
        _until(lambda: page.version is not None)
        _idle("idle, a page open", watch)
        _one_by_one(asked, images, sample, page)
        _idle("idle, after it polls by itself", watch)
        if asked.burst:
            _burst(asked.burst, images, page)


class Page:
    """Waits for changes and asks for the list, as the page in the browser does."""

    def __init__(self, port: int, key: str) -> None:
        self.port, self.key = port, key
        self.version: int | None = None
        self.refreshes = 0
        self.names: set[str] = set()

    def run(self) -> None:
        """For ever."""
        while True:
            listed = self._ask(f"/api/trial/{self.key}")
            names = {each["name"] for each in listed["pictures"]}
            for name in names - self.names:
                Noting.notes.note(name, "shown")
            self.names, self.version = names, listed["version"]
            self.refreshes += 1
            while self._ask(f"/api/changes/{self.key}/{self.version}")["version"] == self.version:
                pass

    def _ask(self, path: str) -> Any:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=30)
        connection.request("GET", path)
        found = json.loads(connection.getresponse().read())
        connection.close()
        return found


def _one_by_one(asked: argparse.Namespace, images: Path, sample: Path, page: Page) -> None:
    writer = Popen([sys.executable, "-c", WRITER, str(sample), str(asked.pause)], stdin=PIPE, stdout=PIPE, text=True)
    assert writer.stdin and writer.stdout
    chance, rows, early = random.Random(1), [], 0
    for number in range(asked.new):
        name = f"new{number:03}{sample.suffix}"
        time.sleep(chance.uniform(0.5, 1.5))
        print(images / name, file=writer.stdin, flush=True)
        last = float(writer.stdout.readline())
        if not _until(lambda name=name: name in page.names):  # type: ignore[misc]
            print(f"{name} didn't come within 30 s")
            continue
        own = Noting.notes.at[name]
        steps = [last, own["noticed"], own["whole"], own["shown"]]
        rows.append([*(after - before for before, after in pairwise(steps)), own["shown"] - last])
        early += own["shown"] < last
    writer.stdin.close()
    writer.wait()
    size, load = sample.stat().st_size / 1e6, os.getloadavg()[0]
    print(f"{len(rows)} pictures of {size:.1f} MB, load {load:.1f}; {early} of them shown early")
    parts = ("seen as it is at last", "then taken for whole", "then listed, told, shown", "last byte to the list")
    for what, took in zip(parts, np.array(rows).T, strict=True):
        middle, most = np.median(took), np.percentile(took, 95)
        print(f"  {what}: median {middle:.2f} s, p95 {most:.2f} s, most {took.max():.2f} s", flush=True)


def _burst(count: int, images: Path, page: Page) -> None:
    """Written here, but by the other name."""
    before, content, begun = page.refreshes, (images / "c1_gate.jpg").read_bytes(), time.time()
    for number in range(count):
        (images / f"burst{number:03}.jpg").write_bytes(content)
    wrote = time.time()
    came = _until(lambda: sum(each.startswith("burst") for each in page.names) == count)
    print(
        f"{count} at once, written in {wrote - begun:.1f} s: {'all' if came else 'not all'} there "
        f"{time.time() - wrote:.1f} s later, {page.refreshes - before} refreshes",
        flush=True,
    )


def _idle(what: str, watch: Watch, seconds: float = 15.0) -> None:
    time.sleep(3)
    before = time.process_time()
    time.sleep(seconds)
    used = 100 * (time.process_time() - before) / seconds
    print(f"{what} ({'polls' if watch.polls else 'waits for events'}): {used:.1f} % of a core", flush=True)


def _until(holds: Callable[[], bool], *, within_s: float = 30.0) -> bool:
    ends = time.time() + within_s
    while not holds():
        if time.time() > ends:
            return False
        time.sleep(0.01)
    return True


if __name__ == "__main__":
    main()
