"""Files that several benches write: held by one at a time, by no clock of ours, and never written over unread."""

import os
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from portal.catalog import alone
from portal.catalog.alone import Busy, held, put_over


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file that is there."""
    file = tmp_path / "tags" / "a.jpg.yaml"
    file.parent.mkdir()
    file.write_bytes(b"format: 1\n")
    return file


def lock_of(path: Path) -> Path:
    """What is there while it is held."""
    return path.with_name(f".{path.name}.held")


def left(path: Path, seconds: float) -> Path:
    """What a killed one left so long ago."""
    lock = lock_of(path)
    lock.write_bytes(b"killed")
    then = time.time() - seconds
    os.utime(lock, (then, then))
    return lock


def test_what_a_killed_one_left_is_taken_over(path: Path) -> None:
    """After a while, and it is free afterwards."""
    left(path, alone.STALE_S + 1)
    with held(path):
        assert lock_of(path).read_bytes() != b"killed"
    assert not lock_of(path).exists()


def test_what_was_left_before_the_clock_was_set_back_is_taken_over(path: Path) -> None:
    """It lies in the future, and nobody waits for that."""
    left(path, -3600)
    with held(path):
        assert lock_of(path).read_bytes() != b"killed"


@pytest.mark.skipif(os.name != "posix", reason="limits are those of POSIX")
def test_a_hold_for_which_there_is_no_room_isnt_left_behind(path: Path) -> None:
    """Nothing can be written for a while; the next one needn't wait until that hold is stale."""
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, hard))
    try:
        with pytest.raises(OSError), held(path):
            pass
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert not lock_of(path).exists()


def test_what_is_held_is_told_as_busy(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So that it can be asked for again as it is."""
    monkeypatch.setattr(alone, "PATIENCE_S", 0.1)
    left(path, 0)
    with pytest.raises(Busy, match="another bench"), held(path):
        pass
    assert lock_of(path).read_bytes() == b"killed"


def test_a_clock_that_goes_wrong_breaks_no_hold(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The share's own clock counts: ours may be an hour ahead."""
    monkeypatch.setattr(alone, "PATIENCE_S", 0.1)
    monkeypatch.setattr(time, "time", lambda real=time.time: real() + 3600)
    lock_of(path).write_bytes(b"another")
    with pytest.raises(Busy), held(path):
        pass


def test_who_was_stopped_for_long_lets_go_only_of_its_own(path: Path) -> None:
    """Another one holds it by then."""
    with held(path):
        lock_of(path).write_bytes(b"another")
    assert lock_of(path).read_bytes() == b"another"


def test_of_many_that_take_over_at_once_one_at_a_time_holds(path: Path) -> None:
    """Each adds one to what it reads."""
    left(path, alone.STALE_S + 1)
    path.write_text("0", encoding="utf-8")

    def work() -> None:
        with held(path):
            known = int(path.read_text(encoding="utf-8"))
            time.sleep(0.002)
            path.write_text(str(known + 1), encoding="utf-8")

    threads = [threading.Thread(target=work) for _ in range(12)]
    for each in threads:
        each.start()
    for each in threads:
        each.join(timeout=30)
    assert path.read_text(encoding="utf-8") == "12"


def test_of_two_that_saw_it_left_behind_at_once_one_holds(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both take what was left away before either knows of the other; the later mark holds, and the other waits."""
    left(path, alone.STALE_S + 1)
    both, is_stale, holding, most = threading.Barrier(2), alone._is_stale, [0], [0]
    first = threading.local()

    def seen(lock: Path, real: Callable[[Path], bool] = is_stale) -> bool:
        found = real(lock)
        if not hasattr(first, "was"):
            first.was = True
            both.wait(timeout=10)
        return found

    monkeypatch.setattr(alone, "_is_stale", seen)
    monkeypatch.setattr(alone, "SETTLED_S", 1.0)  # a slow machine may need long between seeing and taking
    monkeypatch.setattr(alone, "PATIENCE_S", 20.0)

    def work() -> None:
        with held(path):
            holding[0] += 1
            most[0] = max(most[0], holding[0])
            time.sleep(0.3)
            holding[0] -= 1

    threads = [threading.Thread(target=work) for _ in range(2)]
    for each in threads:
        each.start()
    for each in threads:
        each.join(timeout=30)
    assert most == [1] and not lock_of(path).exists()


def test_what_an_editor_wrote_meanwhile_is_not_written_over(path: Path) -> None:
    """An editor holds nothing."""
    known = path.read_bytes()
    put_over(path, b"format: 1\ncaption: ours\n", known)
    with pytest.raises(Busy, match="changed this moment"):
        put_over(path, b"format: 1\ncaption: late\n", known)
    assert path.read_bytes() == b"format: 1\ncaption: ours\n"
    path.unlink()
    put_over(path, b"format: 1\n", None)
    assert path.read_bytes() == b"format: 1\n"
