"""Killed between any two steps of writing, a command of the log leaves nothing halved, loses nothing that was there."""

import os
import random
import shutil
import signal
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from portal.log import verify
from tests.tasks.judged import ENGINEER, MAY_ALL, PART, TRIAL_NAME, opened
from tests.tasks.killing import ended, parent_running
from tests.tasks.packing import carriers, events, pack, ready_catalogue
from tests.tasks.typed import typed

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no process can be forked here")

MOMENTS, TENTH = 50, 5
"""For each command: 200 in all, a tenth of them in the normal run."""
_PARENT = """
import contextlib, io, json, os, sys
from portal.cli import main
from tests.tasks.killing import Watcher
import portal.tasks.ask, portal.tasks.keep, portal.tasks.pack, portal.tasks.propose, portal.tasks.receive

for line in sys.stdin:
    folder, at, said, words = json.loads(line)
    child = os.fork()
    if child == 0:
        watcher = Watcher(folder, step=at)
        sys.argv, text, code = ["portal", *words], io.StringIO(), 70
        try:
            with contextlib.redirect_stdout(text), contextlib.redirect_stderr(text):
                main()
        except SystemExit as ended:
            code = int(ended.code or 0)
        finally:
            with open(said, "w", encoding="utf-8") as file:
                file.write(f"{text.getvalue()}\\nsteps {watcher.seen}")
            os._exit(code)
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""
"""Forks a process for each command that it is told, and says how that one ended: nothing is imported anew."""


@dataclass(frozen=True)
class Job:
    """A command with the catalogue that it starts from, and what holds once it has run to its end."""

    words: tuple[str, ...]
    done: Callable[[Path], None]
    again: tuple[int, ...] = (0,)
    """Exit codes of the next call that are right."""


@dataclass(frozen=True)
class Ran:
    """How a process ended, and what it said where it came to its end."""

    code: int
    said: str


@pytest.fixture(scope="module")
def stages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The catalogue as each command finds it."""
    top = tmp_path_factory.mktemp("stages")
    ready = ready_catalogue(top / "pack")
    fresh = shutil.copytree(ready, top / "ask")
    shutil.rmtree(fresh / f"parts/{PART}/log")
    sent = shutil.copytree(ready, top / "receive")
    assert pack(sent).code == 0
    (top / "reply.txt").write_text(_reply(sent), encoding="utf-8")
    answered = shutil.copytree(sent, top / "keep")
    assert typed("receive", answered, top / "reply.txt", "--by", ENGINEER).code == 0
    return {name: top / name for name in ("ask", "pack", "receive", "keep")}


def _reply(folder: Path) -> str:
    (code,) = [name[-12:-4] for name in carriers(folder) if name.endswith(".txt")]
    number = next(each.sent[0].number for each in opened(folder).state.asks.values() if each.findings == ("7K3G",))
    return f"Review {code}\nAnswered by: {MAY_ALL}\n\n{number} A keep 7K3G last good\n"


def _asked(folder: Path) -> None:
    asks = [each.findings for each in opened(folder).state.asks.values()]
    assert sorted(asks) == [("7K3F",), ("7K3G",), ("7K3H",)]


def _packed(folder: Path) -> None:
    (review,) = opened(folder).state.reviews.values()
    (store,) = (folder / f"parts/{PART}/reviews").glob("T1-*")
    assert store.name.endswith(review.code)
    assert {name.rpartition(".")[2] for name in carriers(folder)} == {"txt", "eml", "pdf", "html", "zip"}
    assert len(carriers(folder)) == 5


def _received(folder: Path) -> None:
    (review,) = opened(folder).state.reviews.values()
    (came,) = review.received
    assert [str(each.letter) for each in came.answers] == ["A"]
    assert (folder / came.raw.file).read_bytes() == (folder.parent / "reply.txt").read_bytes()


def _kept(folder: Path) -> None:
    assert [each.kept_as for each in opened(folder).state.ticks] == ["LS-0001"]
    assert [each.name for each in (folder / "limit-samples").iterdir() if not each.name.startswith(".")] == ["LS-0001"]
    assert (folder / "limit-samples/LS-0001/c1_gate.jpg").is_file()


_OF_PART = ("--part", PART, "--by", ENGINEER)
JOBS = {
    "ask": Job((*_OF_PART, "--trial", TRIAL_NAME, "--proposed"), _asked),
    "pack": Job((*_OF_PART, "--trial", TRIAL_NAME), _packed),
    "receive": Job(("--by", ENGINEER), _received),
    "keep": Job(
        (*_OF_PART, "--finding", "7K3G", "--as", "last good", "--expires", "2030-01-31", "--holder", "Shop: drawer 2"),
        _kept,
        again=(0, 3),
    ),
}


@pytest.fixture(scope="module")
def parent() -> Iterator[subprocess.Popen[str]]:
    """The process that forks."""
    with parent_running(_PARENT) as process:
        yield process


def run(parent: "subprocess.Popen[str]", command: str, folder: Path, at: int) -> Ran:
    """A command in a process of its own, killed at that step of writing within the folder; 0 never kills."""
    files = (str(folder.parent / "reply.txt"),) if command == "receive" else ()
    said = folder.parent / "said.txt"
    words = [command, str(folder), *files, *JOBS[command].words]
    code = ended(parent, str(folder), at, str(said), words)
    return Ran(code, said.read_text(encoding="utf-8") if said.is_file() else "")


def copied(stage: Path, folder: Path) -> Path:
    """A copy of a stage, its reply beside it."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(stage, folder)
    shutil.copyfile(stage.parent / "reply.txt", folder.parent / "reply.txt")
    return folder


@pytest.mark.parametrize("command", JOBS)
@pytest.mark.parametrize("moments", [TENTH, pytest.param(MOMENTS, marks=pytest.mark.long)])
def test_killed_at_any_step_nothing_is_halved_and_nothing_lost(
    stages: dict[str, Path], parent: "subprocess.Popen[str]", command: str, moments: int, tmp_path: Path
) -> None:
    """What was on record stays; every file of the log is whole; the next call of the command completes it, once."""
    job = JOBS[command]
    whole = run(parent, command, copied(stages[command], tmp_path / "c"), 0)
    assert whole.code == 0, whole.said
    job.done(tmp_path / "c")
    steps = list(range(1, int(whole.said.rsplit("steps ", 1)[1]) + 1))
    random.Random(0).shuffle(steps)
    assert len(steps) >= 3
    for at in (steps * (moments // len(steps) + 1))[:moments]:
        folder = copied(stages[command], tmp_path / "c")
        before = {name: (folder / f"parts/{PART}/log" / name).read_bytes() for name in events(folder)}
        assert run(parent, command, folder, at).code == -signal.SIGKILL
        for name, content in before.items():
            assert (folder / f"parts/{PART}/log" / name).read_bytes() == content
        told = [str(each) for each in verify(folder, PART).problems if not each.warning]
        assert all("pack again" in each or "receive it again" in each for each in told), told
        again = run(parent, command, folder, 0)
        assert again.code in job.again, (at, again.said)
        job.done(folder)
        assert verify(folder, PART).is_whole
