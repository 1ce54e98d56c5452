"""When a file counts as whole: by how it ends where its kind has an end, else once it was left alone."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from portal.bench import arrival
from portal.bench.arrival import CALM_S, PATIENT_S, Arrivals


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The time, told by its only entry."""
    now = [100.0]
    monkeypatch.setattr(arrival, "time", SimpleNamespace(monotonic=lambda: now[0]))
    return now


def test_a_file_without_an_end_of_its_kind_waits_as_long_as_it_grows(tmp_path: Path, clock: list[float]) -> None:
    """A TIFF written piece by piece over longer than the patience: each piece begins the waiting anew."""
    arrivals, path = Arrivals(), tmp_path / "a.tif"
    for piece in range(30):
        path.write_bytes(b"II*\0" + b"x" * piece)
        assert arrivals.whole(tmp_path, ["a.tif"]) == frozenset()
        clock[0] += 0.9 * CALM_S
    assert arrivals.whole(tmp_path, ["a.tif"]) == frozenset()
    clock[0] += 1.1 * CALM_S
    assert arrivals.whole(tmp_path, ["a.tif"]) == {"a.tif"}
    assert arrivals.coming == {}


def test_a_file_that_stopped_before_its_end_is_shown_at_last(tmp_path: Path, clock: list[float]) -> None:
    """A JPEG without its last bytes: what is wrong with it is for a person to see."""
    arrivals, path = Arrivals(), tmp_path / "a.jpg"
    path.write_bytes(b"\xff\xd8" + b"x" * 200)
    assert arrivals.whole(tmp_path, ["a.jpg"]) == frozenset()
    clock[0] += PATIENT_S - 0.01
    assert arrivals.whole(tmp_path, ["a.jpg"]) == frozenset()
    clock[0] += 0.02
    assert arrivals.whole(tmp_path, ["a.jpg"]) == {"a.jpg"}


def test_one_that_goes_and_comes_again_begins_anew(tmp_path: Path, clock: list[float]) -> None:
    """As a camera program does that writes beside and renames."""
    arrivals, path = Arrivals(), tmp_path / "a.jpg"
    path.write_bytes(b"\xff\xd8xx\xff\xd9")
    assert arrivals.whole(tmp_path, ["a.jpg"]) == frozenset()
    clock[0] += 2 * CALM_S
    path.unlink()
    assert arrivals.whole(tmp_path, ["a.jpg"]) == frozenset() and arrivals.coming == {}


def test_those_that_come_are_looked_at_alone(tmp_path: Path, clock: list[float]) -> None:
    """Each is calm so long after it was last written to; one that went is forgotten, none is taken for whole by it."""
    arrivals, whole = Arrivals(), b"\xff\xd8xx\xff\xd9"
    for name in "abc":
        (tmp_path / name).write_bytes(whole)
    assert arrivals.whole(tmp_path, "abc") == frozenset()
    clock[0] += 0.3
    (tmp_path / "b").write_bytes(whole + whole)
    (tmp_path / "c").unlink()
    assert arrivals.calm_at(tmp_path) == pytest.approx([100.0 + CALM_S, 100.3 + CALM_S])
    clock[0] += CALM_S - 0.2
    assert arrivals.calm_at(tmp_path) == pytest.approx([100.0 + CALM_S, 100.3 + CALM_S])
    assert arrivals.whole(tmp_path, "ab") == {"a"}
    assert list(arrivals.coming) == ["b"]
