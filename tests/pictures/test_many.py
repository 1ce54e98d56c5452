"""Many pictures at once."""

import multiprocessing
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.pictures.derive import Whole, derive
from portal.pictures.jobs import Job, derive_many, do_job
from portal.pictures.many import facts_many
from tests.pictures.make import dirty_jpeg, encoded, known, scene, tiff


def folder_of_jobs(folder: Path, count: int) -> list[Job]:
    """Pictures with a damaged one in the middle."""
    jobs = []
    for number in range(count):
        path = folder / f"{number}.jpg"
        path.write_bytes(dirty_jpeg(scene(seed=number), orientation=1 + number % 8))
        jobs.append(Job(path, known(path), (Whole(), Whole(4)), folder / "out"))
    bad = folder / "bad.tif"
    bad.write_bytes(tiff(np.zeros((64, 64), np.uint8))[:-9])
    jobs.insert(count // 2, Job(bad, known(bad), (Whole(),), folder / "out"))
    return jobs


@pytest.mark.parametrize("processes", [1, 2])
def test_one_damaged_picture_leaves_all_others(processes: int, tmp_path: Path) -> None:
    """Results come in the order of the jobs, the damaged one with its reason; progress reaches the end."""
    counts: list[int] = []
    jobs = folder_of_jobs(tmp_path, 6)
    found = derive_many(jobs, processes=processes, progress=counts.append)
    assert found[3] == PictureUnreadable("damaged file: ends early")
    good = [each for each in found if isinstance(each, tuple)]
    assert len(good) == 6 and all(len(each) == 2 for each in good)
    assert counts == list(range(1, 8))


def test_the_number_of_processes_changes_nothing(tmp_path: Path) -> None:
    """The same records, the same files."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    one = derive_many(folder_of_jobs(tmp_path / "a", 4), processes=1)
    two = derive_many(folder_of_jobs(tmp_path / "b", 4), processes=2)
    assert one == two
    for path in (tmp_path / "a" / "out").iterdir():
        assert path.read_bytes() == (tmp_path / "b" / "out" / path.name).read_bytes()


def test_a_killed_process_takes_no_picture_along(tmp_path: Path) -> None:
    """One is killed from outside as soon as the first picture is done; every picture still has its files.

    What it was writing stays under its temporary name, which begins with a dot.
    """
    jobs = folder_of_jobs(tmp_path, 12)
    killed: list[int] = []

    def kill_one(done: int) -> None:
        workers = multiprocessing.active_children()
        if not killed and workers and workers[0].pid:
            killed.append(workers[0].pid)
            os.kill(workers[0].pid, getattr(signal, "SIGKILL", signal.SIGTERM))

    found = derive_many(jobs, processes=2, progress=kill_one)
    assert len(killed) == 1
    assert sum(isinstance(each, tuple) for each in found) == 12
    names = {each.name for derived in found if isinstance(derived, tuple) for each in derived}
    assert {path.name for path in (tmp_path / "out").iterdir() if not path.name.startswith(".")} == names


@pytest.mark.parametrize("processes", [1, 2])
def test_a_picture_that_takes_too_long_is_given_up_and_named(processes: int, tmp_path: Path) -> None:
    """One that may take no time at all stands for a file that would keep the reading library busy for ever."""
    jobs = folder_of_jobs(tmp_path, 4)
    slow = tmp_path / "slow.png"
    slow.write_bytes(encoded(Image.new("L", (6000, 6000)), "PNG"))
    jobs.insert(1, Job(slow, known(slow), (Whole(),), tmp_path / "out", patience=-35.999))
    found = derive_many(jobs, processes=processes)
    assert found[1] == PictureUnreadable(
        "it couldn't be read within 0 s and the memory at hand",
        "save the picture anew, or build with fewer processes (`--jobs 1`)",
    )
    assert sum(isinstance(each, tuple) for each in found) == 4


def test_memory_of_one_picture_is_used_again_for_the_next(tmp_path: Path) -> None:
    """By a process that works on one after the other; what comes of them is the same."""
    paths = [tmp_path / f"{number}.jpg" for number in range(2)]
    for number, path in enumerate(paths):
        path.write_bytes(dirty_jpeg(scene(800, 600, seed=number)))
    first, second = (Job(path, known(path), (Whole(2),), tmp_path / "out") for path in paths)
    memory: Any = Image.core  # type: ignore[attr-defined]
    before = memory.get_stats()["reused_blocks"]
    try:
        do_job(first)
        found = do_job(second)
        assert memory.get_stats()["reused_blocks"] > before
    finally:
        memory.set_blocks_max(0)
    assert found == derive(second.path, second.facts, second.wants, tmp_path / "anew")


def test_a_build_with_one_process_reads_no_picture_in_its_own(tmp_path: Path) -> None:
    """Else the picture that has to be given up would end the build."""
    path = tmp_path / "a.jpg"
    path.write_bytes(dirty_jpeg(scene()))
    seen: list[int] = []

    def look(_: int) -> None:
        seen.extend(child.pid for child in multiprocessing.active_children() if child.pid)

    derive_many([Job(path, known(path), (Whole(),), tmp_path / "out")], processes=1, progress=look)
    assert seen


def test_a_program_from_which_no_process_can_be_started_still_gets_its_pictures(tmp_path: Path) -> None:
    """One that was typed in: a new process looks for its file and finds none."""
    path = tmp_path / "a.jpg"
    path.write_bytes(dirty_jpeg(scene()))
    program = f"""
from pathlib import Path
from portal.pictures.derive import Whole, derive
from portal.pictures.facts import read_facts
from portal.pictures.jobs import Job, derive_many, do_job
path = Path({str(path)!r})
print(len(derive_many([Job(path, read_facts(path), (Whole(),), path.parent / "out")], processes=1)[0]))
"""
    done = subprocess.run([sys.executable, "-"], input=program, capture_output=True, text=True, check=True)
    assert done.stdout == "1\n"


def test_facts_of_many_come_in_order(tmp_path: Path) -> None:
    """Readable or not, each in its place."""
    (tmp_path / "a.jpg").write_bytes(dirty_jpeg(scene()))
    (tmp_path / "b.txt").write_bytes(b"text")
    (tmp_path / "c.png").write_bytes(encoded(scene(seed=2), "PNG"))
    counts: list[int] = []
    paths = [tmp_path / name for name in ("a.jpg", "b.txt", "c.png", "gone.png")]
    found = facts_many(paths, threads=2, progress=counts.append)
    assert [type(each) for each in found] == [PictureFacts, PictureUnreadable, PictureFacts, PictureUnreadable]
    assert found[0] == known(tmp_path / "a.jpg")
    assert counts == [1, 2, 3, 4]
