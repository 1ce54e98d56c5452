"""A process killed at a step of writing: forked by a parent that has imported everything, so that it is quick."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
_MOVES = {"os.rename", "os.link", "os.remove", "os.mkdir", "os.rmdir", "shutil.rmtree"}
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


class Watcher:
    """Counts the steps of writing within a folder, and kills its own process at one of them; 0 never kills."""

    def __init__(self, folder: str, *, step: int) -> None:
        self.folder, self.step, self.seen = folder, step, 0
        sys.addaudithook(self._watch)

    def _watch(self, event: str, args: tuple[object, ...]) -> None:
        opens = event == "open" and isinstance(args[2], int) and args[2] & _WRITES
        if (opens or event in _MOVES) and isinstance(args[0], str | os.PathLike) and self._is_within(args[0]):
            self.seen += 1
            if self.seen == self.step:
                os.kill(os.getpid(), signal.SIGKILL)

    def _is_within(self, path: "str | os.PathLike[str]") -> bool:
        return os.fspath(path).startswith(self.folder)


@contextmanager
def parent_running(source: str) -> Iterator["subprocess.Popen[str]"]:
    """A parent: Python that reads a job a line, forks a child for it, and prints how that one ended."""
    env = {**os.environ, "PYTHONPATH": str(TOP)}
    with subprocess.Popen(
        [sys.executable, "-c", source], env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        yield process
        process.communicate()


def ended(parent: "subprocess.Popen[str]", *job: object) -> int:
    """The exit code of a child that does a job; that of a signal is below zero."""
    assert parent.stdin is not None and parent.stdout is not None
    print(json.dumps(job), file=parent.stdin, flush=True)
    return int(parent.stdout.readline())
