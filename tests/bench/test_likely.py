"""What is proposed as a picture of a stage micrometer: one with divisions, or one that lies beside the scope's file."""

import os
from pathlib import Path

import pytest

from portal.bench import likely, scales
from portal.bench.state import Bench
from portal.model.picture import PictureFacts
from tests.bench.conftest import GATE
from tests.tasks.small import TRIAL
from tests.tasks.test_shiftcheck import graticule

IMAGES = f"{TRIAL}/images"


def put(bench: Bench, name: str, age: int, *, marks: bool) -> Path:
    """A picture of today, the older the later it stands in the list."""
    path = bench.folder / (name if "/" in name else f"{IMAGES}/{name}")
    path.parent.mkdir(exist_ok=True)
    if marks:
        graticule(path, 25.0)
    else:
        path.write_bytes((bench.folder / GATE).read_bytes() + f"{age}".encode())
    os.utime(path, (2_000_000_000 - age, 2_000_000_000 - age))
    return path


def told(bench: Bench) -> list[tuple[str, bool, str]]:
    """Each picture by its name, whether it is likely to be one, and the scope beside whose file it lies."""
    fresh = Bench(bench.folder)
    found = scales.scales(fresh, fresh.speaker())["pictures"]
    return [(each["name"], each["likely"], each["scope"]) for each in found]  # type: ignore[attr-defined]


def test_a_picture_of_a_piece_that_nobody_tagged_is_not_proposed(bench: Bench) -> None:
    """It stays in the list, to be chosen."""
    put(bench, "piece.jpg", 0, marks=False)
    assert told(bench) == [("piece.jpg", False, "")]
    put(bench, "marks.jpg", 1, marks=True)
    assert told(bench) == [("piece.jpg", False, ""), ("marks.jpg", True, "")]


def test_what_lies_beside_a_scopes_file_is_one_of_that_scope(bench: Bench) -> None:
    """Whatever is seen on it: its divisions may be too faint to be found."""
    put(bench, "scopes/bench-1/faint.jpg", 0, marks=False)
    assert told(bench) == [("faint.jpg", True, "bench-1")]


def test_only_the_newest_are_read_and_each_once(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """A list that is asked for every second costs nothing; an older graticule is no check of today."""
    read: list[Path] = []
    plain = likely._read

    def counted(path: Path, own: PictureFacts) -> bool:
        read.append(path)
        return plain(path, own)

    monkeypatch.setattr(likely, "_read", counted)
    for age in range(likely.LOOKED_AT):
        put(bench, f"piece{age}.jpg", age, marks=False)
    put(bench, "marks.jpg", 9, marks=True)
    fresh = Bench(bench.folder)
    for _ in range(3):
        found = scales.scales(fresh, fresh.speaker())["pictures"]
    assert not any(each["likely"] for each in found)  # type: ignore[attr-defined]
    assert [each.name for each in read] == ["piece0.jpg", "piece1.jpg", "piece2.jpg"]


def test_a_damaged_picture_is_none(bench: Bench) -> None:
    """It keeps no other from being proposed."""
    path = put(bench, "cut.jpg", 0, marks=True)
    path.write_bytes(path.read_bytes()[:9000])
    put(bench, "whole.jpg", 1, marks=True)
    assert ("whole.jpg", True, "") in told(bench) and ("cut.jpg", True, "") not in told(bench)
