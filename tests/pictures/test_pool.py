"""Work in several processes, of which any may die."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from portal.pictures.bounds import bounded
from portal.pictures.pool import run_all

TOP = Path(__file__).resolve().parents[2]


def double(number: int) -> int:
    """Twice the number; 13 kills the process that works on it, 50 takes its time, 99 raises."""
    if number == 13:
        os._exit(9)
    if number == 50:
        time.sleep(0.5)
    if number == 99:
        raise OSError("disk full")
    return 2 * number


def hang(number: int, *, tried: Path) -> int:
    """The number, after a word of each try; 50 never ends, and its time does."""
    with (tried / str(number)).open("a", encoding="utf-8") as told:
        told.write("x")
    with bounded(seconds=1, spare_bytes=1 << 30):
        while number == 50:
            time.sleep(0.1)
    return number


def lost(number: int) -> int:
    """What stands for a number that killed its process."""
    return -number


@pytest.mark.parametrize("processes", [1, 2])
def test_results_come_in_the_order_of_the_things(processes: int) -> None:
    """However many processes there are."""
    assert run_all(double, range(12), processes=processes, died=lost) == [2 * number for number in range(12)]


def test_a_thing_that_kills_its_process_is_told_and_all_others_are_done() -> None:
    """Two killers among twelve; the harmless one between them isn't blamed."""
    things = [1, 2, 3, 13, 4, 13, 5, 6, 7, 8, 9, 10]
    want = [2, 4, 6, -13, 8, -13, 10, 12, 14, 16, 18, 20]
    assert run_all(double, things, processes=2, died=lost) == want


def test_a_slow_thing_beside_a_killer_is_not_blamed() -> None:
    """It was under way when the processes died, and is done alone afterwards."""
    assert run_all(double, [13, 50, 1], processes=2, died=lost) == [-13, 100, 2]


@pytest.mark.parametrize("processes", [1, 2])
def test_what_took_all_its_time_is_not_tried_again(processes: int, tmp_path: Path) -> None:
    """What was under way beside it is done all the same."""
    work = partial(hang, tried=tmp_path)
    assert run_all(work, [1, 50, *range(2, 9)], processes=processes, died=lost, apart=True) == [1, -50, *range(2, 9)]
    assert (tmp_path / "50").read_text(encoding="utf-8") == "x"


def test_progress_counts_what_is_done_to_the_end() -> None:
    """The killed one counts too."""
    seen: list[int] = []
    run_all(double, [1, 13, 2], processes=2, died=lost, progress=seen.append)
    assert seen == [1, 2, 3]


@pytest.mark.parametrize("processes", [1, 2])
def test_what_the_work_raises_is_raised(processes: int) -> None:
    """A full disk is no fault of a picture."""
    with pytest.raises(OSError, match="disk full"):
        run_all(double, [1, 99, 2], processes=processes, died=lost)


def test_things_are_taken_only_as_they_are_worked_on() -> None:
    """Of a thousand, no more than a few are ever taken ahead of what is done, so memory stays flat."""
    taken, most = 0, 0

    def things() -> Iterator[int]:
        nonlocal taken
        for number in range(1000):
            taken += 1
            yield number

    def watch(done: int) -> None:
        nonlocal most
        most = max(most, taken - done)

    run_all(partial(pow, 2, mod=7), things(), processes=2, died=lost, progress=watch)
    assert taken == 1000
    assert 0 < most <= 8


_PROGRAM = """
import os, sys, time
from pathlib import Path
from portal.pictures.pool import run_all

def wait_long(number):
    Path(sys.argv[1], str(os.getpid())).touch()
    time.sleep(0.05)
    return number

if __name__ == "__main__":
    run_all(wait_long, range(10_000), processes=2, died=abs)
"""


@pytest.mark.skipif(os.name == "nt", reason="there no process can be asked whether it lives without ending it")
def test_working_processes_end_with_a_program_that_was_killed(tmp_path: Path) -> None:
    """They would wait for their next thing for ever, since they hold both ends of the pipe that it comes by."""
    (tmp_path / "program.py").write_text(_PROGRAM, encoding="utf-8")
    seen = tmp_path / "seen"
    seen.mkdir()
    command = [sys.executable, str(tmp_path / "program.py"), str(seen)]
    with subprocess.Popen(command, stderr=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(TOP)}) as program:
        try:
            assert _becomes(lambda: len(list(seen.iterdir())) == 2)
        finally:
            program.kill()
    workers = [int(each.name) for each in seen.iterdir()]
    gone = _becomes(lambda: not any(map(_lives, workers)))
    for each in filter(_lives, workers):
        os.kill(each, signal.SIGKILL)
    assert gone


_SOON = """
import sys
import time
from multiprocessing import forkserver
from portal.cli import main
from portal.pictures.pool import run_all, start_soon

if __name__ == "__main__":
    start_soon(abs, loads=["portal.pictures.pool"])
    started = forkserver._forkserver._forkserver_pid
    assert run_all(abs, [-1, -2], processes=2, died=abs) == [1, 2]
    assert started and forkserver._forkserver._forkserver_pid == started
    loads = set(forkserver._forkserver._preload_modules)
    assert loads == {"builtins", "portal.cli", "portal.pictures.pool"}, loads
"""


@pytest.mark.skipif(os.name == "nt", reason="there processes are forked from none")
def test_what_processes_are_forked_from_is_started_before_and_used(tmp_path: Path) -> None:
    """So that it loads the work beside whatever else is done first, and what each process would load again."""
    (tmp_path / "program.py").write_text(_SOON, encoding="utf-8")
    run = subprocess.run(
        [sys.executable, str(tmp_path / "program.py")],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(TOP)},
    )
    assert run.returncode == 0, run.stderr


def _becomes(true: Callable[[], bool]) -> bool:
    until = time.monotonic() + 60
    while not (found := true()) and time.monotonic() < until:
        time.sleep(0.05)
    return found


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def test_a_program_that_is_started_as_a_module_says_nothing_of_it(tmp_path: Path) -> None:
    """What processes are forked from doesn't load it, or each process would warn that it is run twice."""
    package = tmp_path / "portal" / "given.py"
    shutil.copytree(TOP / "portal", tmp_path / "portal", ignore=shutil.ignore_patterns("__pycache__"))
    package.write_text(
        "from portal.pictures.pool import run_all\n"
        'if __name__ == "__main__":\n'
        "    print(run_all(abs, [-1, -2], processes=2, died=abs, apart=True))\n",
        encoding="utf-8",
    )
    command = [sys.executable, "-m", "portal.given"]
    env = {**os.environ, "PYTHONPATH": str(tmp_path)}
    done = subprocess.run(command, capture_output=True, text=True, env=env, cwd=tmp_path, check=True)
    assert (done.stdout, done.stderr) == ("[1, 2]\n", "")


def test_a_program_from_standard_input_works_by_itself() -> None:
    """No process can be started from one: all that they would have done is done, and nothing is blamed for it."""
    program = """
from portal.pictures.pool import run_all
print(run_all(abs, [-1, -2], processes=2, died=lambda thing: "died", apart=True))
"""
    env = {**os.environ, "PYTHONPATH": str(TOP)}
    done = subprocess.run([sys.executable, "-"], input=program, capture_output=True, text=True, env=env, check=True)
    assert done.stdout == "[1, 2]\n"
