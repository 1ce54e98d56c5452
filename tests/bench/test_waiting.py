"""When a watch looks into a folder: as soon as a picture may be whole, and seldom while one is being written."""

import os
import threading
import time
from itertools import pairwise
from pathlib import Path

import pytest

from portal.bench.state import Bench
from portal.bench.watching import AGAIN_S, BURST, BURST_S, COARSE_S, WAITING_S, Watch
from tests.bench.conftest import GATE
from tests.bench.test_watching import NEW, Counting, names, until
from tests.tasks.small import TRIAL


@pytest.mark.parametrize(
    ("calm", "others", "after_s"),
    [
        ([0.05], 0, 0.05),
        ([0.4, 0.1, 0.3], 0, 0.1),
        ([-1.0], 0, AGAIN_S),
        ([-1.0, 0.1], 0, 0.1),
        ([], 1, WAITING_S),
        ([0.4], 1, WAITING_S),
        ([0.1], 1, 0.1),
    ],
    ids=["soon whole", "the first of several", "left alone before its end", "both", "a tag", "before", "after"],
)
def test_the_next_look_is_when_the_first_of_few_may_be_whole(
    calm: list[float], others: int, after_s: float, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And at last, after a while, where one was left alone; of a burst it is a while in any case."""
    watch = Watch(bench)
    monkeypatch.setattr(bench, "calm_at", lambda: [100.0 + each for each in calm])
    assert watch._next_look(100.0, len(calm) + others) == pytest.approx(100.0 + after_s)
    assert watch._next_look(100.0, BURST) == 100.0 + BURST_S
    watch._due = 107.0
    assert watch._next_look(100.0, 0) == 107.0


def test_while_a_picture_is_written_only_that_one_is_looked_at(bench: Bench) -> None:
    """For two seconds, piece by piece: the folder with all its pictures isn't looked into for each."""
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    content = (bench.folder / GATE).read_bytes()
    cuts = [len(content) * part // 20 for part in range(21)]
    watch = Counting(bench)
    with watch.running():
        watch.look()
        assert until(lambda: watch.looks >= 2)
        watch._due, before = time.monotonic() + 600.0, watch.looks
        with (bench.folder / NEW).open("wb", buffering=0) as file:
            for begins, ends in pairwise(cuts):
                file.write(content[begins:ends])
                threading.Event().wait(0.1)
        assert watch.looks - before <= 4
        assert until(lambda: "c1_new.jpg" in names(bench))


def test_where_times_are_whole_seconds_what_comes_within_one_is_seen(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By how many files there are, until that second is over for certain."""
    images, second = bench.folder / TRIAL / "images", 1_700_000_000 * 10**9

    def come(name: str, at: int) -> dict[str, int]:
        (images / name).write_bytes((bench.folder / GATE).read_bytes())
        os.utime(images, ns=(at, at))
        return watch._glance()

    bench.ask_about("M-001", "T1")
    watch, now = Watch(bench), time.monotonic()
    first = come("n1.jpg", second)
    assert watch._glance() == first
    assert come("n2.jpg", second) != first
    monkeypatch.setattr(time, "monotonic", lambda: now + COARSE_S + 1)
    later = watch._glance()
    assert come("n3.jpg", second) == later, "nothing is counted any more"
    assert come("n4.jpg", second + 10**9) != later


def test_where_times_are_fine_nothing_is_counted(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder of thousands isn't listed for a glance."""
    images: Path = bench.folder / TRIAL / "images"
    os.utime(images, ns=(10**18 + 1, 10**18 + 1))
    bench.ask_about("M-001", "T1")
    monkeypatch.setattr(Path, "iterdir", lambda folder: pytest.fail(f"{folder} was listed"))
    for name in ("tags", "looked"):
        (bench.folder / TRIAL / name).mkdir(exist_ok=True)
        os.utime(bench.folder / TRIAL / name, ns=(10**18 + 1, 10**18 + 1))
    assert Watch(bench)._glance()[str(images)] == 10**18 + 1
