"""Which files of a folder a program reads: told by Python itself, whoever opens them."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_told: list[str] = []
_HOOKED: list[bool] = []
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


def _watch(event: str, args: tuple[object, ...]) -> None:
    if event != "open" or not isinstance(args[0], str | os.PathLike):
        return
    if not (isinstance(args[2], int) and args[2] & _WRITES):
        _told.append(os.fspath(args[0]))


@contextmanager
def reading(folder: Path) -> Iterator[list[str]]:
    """The files below a folder that are opened to be read while the block runs, filled in when it ends."""
    if not _HOOKED:  # a hook stays for ever
        _HOOKED.append(True)
        sys.addaudithook(_watch)
    _told.clear()
    found: list[str] = []
    yield found
    top = f"{folder}{os.sep}"
    found += [each.removeprefix(top) for each in _told if each.startswith(top)]
