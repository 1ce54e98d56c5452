"""The temporary folder of a bench: gone with it, cleared by the next where it was killed, and nobody else's touched."""

import os
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from queue import Queue

import pytest

from portal.bench.run import run_bench
from portal.bench.scratch import MARK, PREFIX, clear_left, scratch_folder
from tests.tasks.small import small_catalogue

PROGRAM = """
import sys
from pathlib import Path
from portal.bench.run import run_bench
from portal.bench.scratch import scratch_folder
with scratch_folder(Path(sys.argv[1])):
    print("there", flush=True)
    sys.stdin.read()
"""


def folders(top: Path) -> list[Path]:
    """Those of benches."""
    return sorted(top.glob(f"{PREFIX}*"))


def started(top: Path) -> "subprocess.Popen[str]":
    """A process that has its folder there."""
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, str(top)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None and process.stdout.readline() == "there\n"
    return process


def ended(process: "subprocess.Popen[str]") -> None:
    """As when the power goes."""
    process.kill()
    process.communicate()


def test_what_a_killed_bench_left_is_cleared_by_the_next_and_a_running_ones_stays(tmp_path: Path) -> None:
    """Derived pictures and all, whatever number the process had."""
    top = tmp_path
    killed = started(top)
    (left,) = folders(top)
    (left / "preview").mkdir()
    (left / "preview/a.jpg").write_bytes(b"x")
    ended(killed)
    assert folders(top) == [left], "who is killed clears nothing"
    running = started(top)
    try:
        (own,) = folders(top)
        assert own != left
        with scratch_folder(top) as mine:
            assert set(folders(top)) == {own, mine}
            clear_left(top)
            assert set(folders(top)) == {own, mine}
        assert folders(top) == [own]
    finally:
        ended(running)


def test_a_bench_has_such_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system keeps what is temporary."""
    (top := tmp_path / "temporary").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(top))
    said: Queue[str] = Queue()
    folder = small_catalogue(tmp_path / "c")
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    said.get(timeout=20)
    assert [(each / MARK).exists() for each in folders(top)] == [True]


@pytest.mark.skipif(sys.platform == "win32", reason="links and users of a system of another kind")
def test_what_is_no_benchs_or_anothers_is_left_alone(tmp_path: Path) -> None:
    """A link, a file, a folder without a mark, one whose mark is a link; links within are taken away, not followed."""
    top, other = tmp_path / "temporary", tmp_path / "other"
    for each in (top / f"{PREFIX}bare", top / f"{PREFIX}linked", top / f"{PREFIX}left", other):
        each.mkdir(parents=True)
    for each in (other / MARK, other / "kept.jpg", top / f"{PREFIX}file", top / f"{PREFIX}left" / MARK):
        each.write_bytes(b"")
    (top / f"{PREFIX}link").symlink_to(other)
    (top / f"{PREFIX}linked" / MARK).symlink_to(other / MARK)
    (top / f"{PREFIX}left/within").symlink_to(other)
    if os.getuid() == 0:
        theirs = top / f"{PREFIX}theirs"
        theirs.mkdir()
        (theirs / MARK).write_bytes(b"")
        os.chown(theirs, 12345, 12345)
    before = set(folders(top))
    clear_left(top)
    assert before - set(folders(top)) == {top / f"{PREFIX}left"}
    assert (other / "kept.jpg").exists() and (other / MARK).exists()
