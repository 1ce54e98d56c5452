"""Benches in processes of their own, to be killed: forked by one that has loaded all of it, so that each is quick."""

import atexit
import json
import os
import signal
import subprocess
import sys
from functools import cache
from pathlib import Path

_LOADED = """
import json, os, sys
from pathlib import Path
from portal.bench.run import run_bench
"""
_FORKS = """
for line in sys.stdin:
    wanted = json.loads(line)
    if "over" in wanted:
        os.waitpid(wanted["over"], 0)
        print("over", flush=True)
        continue
    told, tell = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(told)
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1):
            os.dup2(nothing, stream)
        try:
            tells = open(tell, "w", buffering=1)
            run_bench(Path(wanted["folder"]), port=wanted["port"], ready=lambda address: print(address, file=tells))
        finally:
            os._exit(1)
    os.close(tell)
    with open(told, encoding="utf-8") as pipe:
        print(child, pipe.readline().strip(), flush=True)
"""
_ONE = """
run_bench(Path(sys.argv[1]), port=int(sys.argv[2]), ready=lambda address: print(address, flush=True))
"""


class Forked:
    """A bench that another process forked."""

    def __init__(self, parent: "subprocess.Popen[str]", pid: int) -> None:
        self._parent, self._pid, self._over = parent, pid, False

    def kill(self) -> None:
        """At once, as when the power goes."""
        if not self._over:  # until its parent has waited for it, nothing else gets its number
            os.kill(self._pid, signal.SIGKILL)

    def wait(self) -> None:
        """Until it is gone."""
        if not self._over:
            _asked(self._parent, over=self._pid)
            self._over = True


class Started:
    """A bench that was started by itself, where nothing can be forked."""

    def __init__(self, process: "subprocess.Popen[str]") -> None:
        self._process = process

    def kill(self) -> None:
        """At once, as when the power goes."""
        self._process.kill()

    def wait(self) -> None:
        """Until it is gone."""
        self._process.wait(timeout=20)
        if self._process.stdout:
            self._process.stdout.close()


def bench(folder: Path, port: int = 0) -> tuple[Forked | Started, str]:
    """A bench in a process of its own, and its address; port 0 takes any free one."""
    if not hasattr(os, "fork"):
        command = [*_program(_ONE), str(folder), str(port)]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        assert process.stdout
        return Started(process), process.stdout.readline().strip()
    parent = _parent()
    pid, _, address = _asked(parent, folder=str(folder), port=port).partition(" ")
    assert address, "it doesn't listen"
    return Forked(parent, int(pid)), address


def end(running: Forked | Started) -> None:
    """At once, and wait until it is gone."""
    running.kill()
    running.wait()


def _program(rest: str) -> list[str]:
    return [sys.executable, "-c", _LOADED + rest]


@cache
def _parent() -> "subprocess.Popen[str]":
    """Forks a bench for each line that it is told, and ends with the tests."""
    pipe, nothing = subprocess.PIPE, subprocess.DEVNULL
    process = subprocess.Popen(_program(_FORKS), stdin=pipe, stdout=pipe, stderr=nothing, text=True)
    atexit.register(process.communicate)
    return process


def _asked(parent: "subprocess.Popen[str]", **job: object) -> str:
    assert parent.stdin and parent.stdout
    print(json.dumps(job), file=parent.stdin, flush=True)
    return parent.stdout.readline().strip()
