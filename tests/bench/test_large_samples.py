"""A limit sample's picture of more than 24 megapixels comes in tiles, as any picture that is as large."""

import hashlib
import re
import shutil
import threading
from io import BytesIO
from pathlib import Path
from queue import Queue
from typing import Any

import pytest
from PIL import Image

from portal import resources
from portal.bench.answer import answer
from portal.bench.drawing import as_text
from portal.bench.run import run_bench
from portal.bench.state import Bench
from tests.bench.conftest import Client
from tests.bench.test_answer import question

WIDTH, HEIGHT = 6144, 4608
"""Three times the picture's own; more than 24 million."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's catalogue with a large picture of its last good gate vestige."""
    made = tmp_path_factory.mktemp("large") / "c"
    shutil.copytree(resources.sample(), made, ignore=shutil.ignore_patterns("render"))
    picture, record = (made / "limit-samples/LS-0007" / name for name in ("gate-profile.jpg", "sample.yaml"))
    Image.new("RGB", (WIDTH, HEIGHT), (90, 90, 90)).save(picture, quality=50)
    text = record.read_text(encoding="utf-8").replace("2048x1536", f"{WIDTH}x{HEIGHT}", 1)
    sha256 = hashlib.sha256(picture.read_bytes()).hexdigest()
    record.write_text(re.sub(r"sha256: \w{64}", f"sha256: {sha256}", text, count=1), encoding="utf-8")
    return made


def sizes_of(folder: Path) -> list[Any]:
    """The sizes of that sample beside a finding."""
    bench = Bench(folder)
    found = next(each for each in bench.catalogue.findings() if each.finding.id == "6M3B")
    given = {name: value for name, value in found.finding.written().items() if name not in {"by", "at"}}
    told: Any = answer(bench, question(bench, found.picture.file, as_text(given)))
    return next(list(each["sizes"]) for each in told["beside"] if each["id"] == "LS-0007")


def test_its_full_size_is_tiles_and_no_file(folder: Path) -> None:
    """The smaller ones are files; a tile is as large as one of a picture, and the whole isn't served."""
    *smaller, full = sizes_of(folder)
    assert [each[3] for each in smaller] == [4, 2] and all(each[0] and len(each) == 4 for each in smaller)
    assert full[0] is None and full[1:5] == [WIDTH, HEIGHT, 1, 1024] and len(full[5]) == 6 * 5
    said: Queue[str] = Queue()
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    client = Client(folder, int(said.get(timeout=60).rstrip("/").rpartition(":")[2]))
    tile = client.ask(full[5][29])
    with Image.open(BytesIO(tile.content)) as image:
        assert tile.status == 200 and image.size == (1024, HEIGHT - 4 * 1024)
    address = full[5][0].rpartition("/")[0]
    assert client.ask(f"{address}/30").status == 422 and client.ask(address).status == 422
    assert client.ask(smaller[0][0]).status == 200
