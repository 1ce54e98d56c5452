"""Bounds on the time and the memory that a process may take for one picture, so that none stops the rest.

A file that was made to harm can keep a reading library busy for ever or make it ask for all memory there is. The
time is kept by a watchdog that needs nothing of the interpreter and ends the process; memory is bounded where the
system tells how much the process has, and then the library is told that there is no more.
"""

import faulthandler
import os
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from math import ceil
from pathlib import Path
from typing import TextIO

_STATUS = Path("/proc/self/status")
_MARK: ContextVar[Path | None] = ContextVar("_MARK", default=None)


@contextmanager
def marked(mark: Path) -> Iterator[None]:
    """Within it a process that ends since its time is over leaves that file behind with something in it."""
    token = _MARK.set(mark)
    try:
        yield
    finally:
        _MARK.reset(token)
        mark.unlink(missing_ok=True)


def took_too_long(mark: Path) -> bool:
    """Whether a process that was to leave that file behind ended since its time was over."""
    return mark.is_file() and mark.stat().st_size > 0


@contextmanager
def bounded(*, seconds: float, spare_bytes: int, busy: float | None = None) -> Iterator[None]:
    """Within it this process ends after so many seconds, and gets no more than so much memory beyond what it has.

    It ends as well once it was `busy` for so many seconds, those not counted in which it waits for a disk or for
    others; where the system counts none, as on Windows, that is no bound.
    """
    with (_MARK.get() or Path(os.devnull)).open("w", encoding="utf-8") as told, _working(busy, told):
        before = _allow(spare_bytes)
        faulthandler.dump_traceback_later(seconds, exit=True, file=told)
        try:
            yield
        finally:
            faulthandler.cancel_dump_traceback_later()
            _restore(before)


@contextmanager
def _working(busy: float | None, told: TextIO) -> Iterator[None]:
    """The system ends it; then the watchdog tells."""
    if busy is None or sys.platform == "win32":
        yield
        return
    import resource

    kinds = (resource.RLIMIT_CPU, resource.RLIMIT_CORE)
    before = [resource.getrlimit(kind) for kind in kinds]
    faulthandler.register(signal.SIGXCPU, file=told, chain=True)
    for kind, bound, (soft, hard) in zip(kinds, (ceil(time.process_time() + busy), 0), before, strict=True):
        resource.setrlimit(kind, (min(each for each in (bound, soft, hard) if each != resource.RLIM_INFINITY), hard))
    try:
        yield
    finally:
        for kind, own in zip(kinds, before, strict=True):
            resource.setrlimit(kind, own)
        faulthandler.unregister(signal.SIGXCPU)


def _allow(spare_bytes: int) -> tuple[int, int] | None:
    """Bound the memory; what held before, or None where the system has no such bound."""
    held = _held_bytes()
    if held is None:
        return None
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_DATA)
    bound = min(each for each in (held + spare_bytes, soft, hard) if each != resource.RLIM_INFINITY)
    resource.setrlimit(resource.RLIMIT_DATA, (bound, hard))
    return soft, hard


def _restore(before: tuple[int, int] | None) -> None:
    if before is not None:
        import resource

        resource.setrlimit(resource.RLIMIT_DATA, before)


def _held_bytes() -> int | None:
    """What the process holds of the kind of memory that the bound counts, where the system tells it."""
    try:
        lines = _STATUS.read_text(encoding="ascii", errors="replace").splitlines()
    except OSError:
        return None
    found = (line.split() for line in lines if line.startswith("VmData:"))
    return next((int(words[1]) * 1024 for words in found), None)
