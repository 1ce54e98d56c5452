"""A process that writes in a log: so many comments, looking anew at what others wrote ten times.

`python -m tests.log.writer FOLDER PART NAME COUNT` appends; with `--killed FROM` each child of it is killed before
one more step than the last one, until one comes through, and it prints how many were killed.
"""

import os
import sys
from pathlib import Path
from types import FrameType
from typing import Any

from portal.log import append, read
from portal.model.event import About
from portal.model.says import Audience, CommentMade, Party

STEPS = frozenset({"open", "write", "fsync", "close", "link", "unlink", "mkdir", "rename"})
KILLED = 9
_LOOKS = 10
"""How often a writer reads what the others wrote meanwhile."""


def write(root: Path, part: str, name: str, count: int) -> None:
    """Append so many comments."""
    by = Party(name=name)
    for number in range(count):
        if number % max(1, count // _LOOKS) == 0:
            log = read(root, part)
        append(log, CommentMade(audience=Audience.SHOP, comment=f"{name} {number}"), about=About(), by=by)


def kill_before(step: int) -> None:
    """End this process the moment it would ask the system for that step, counted from 0."""
    left = step

    def look(_frame: FrameType, what: str, called: Any) -> None:
        nonlocal left
        if what == "c_call" and called.__module__ == "posix" and called.__name__ in STEPS:
            if left == 0:
                os._exit(KILLED)
            left -= 1

    sys.setprofile(look)


def write_killed(root: Path, part: str) -> int:
    """Append one comment again and again, each time killed one step later; how often it was killed."""
    for step in range(100):
        child = os.fork()
        if child == 0:
            log = read(root, part)
            kill_before(step)
            comment = CommentMade(audience=Audience.SHOP, comment=f"killed before step {step}")
            append(log, comment, about=About(), by=Party(name="killed"))
            os._exit(0)
        if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0:
            return step
    raise AssertionError("it never came through")


if __name__ == "__main__":
    folder, of, *rest = sys.argv[1:]
    if rest == ["--killed"]:
        print(write_killed(Path(folder), of))
    else:
        write(Path(folder), of, rest[0], int(rest[1]))
