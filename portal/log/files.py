"""A new file that is there whole or not at all, never over another, durable when the call returns."""

import contextlib
import errno
import os
import secrets
import shutil
from collections.abc import Iterable
from pathlib import Path

TEMPORARY = ".tmp"
HALF = ".half-"
_NO_LINKS = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}
"""What a file system without hard links answers."""


def create(path: Path, content: bytes) -> bool:
    """Write a new file; False, and nothing changed, where there is one of that name.

    Killed at any moment, the file is there whole or not at all; a temporary file may be left beside it.
    """
    beside = path.with_name(f".{path.name[:120]}.{secrets.token_hex(6)}{TEMPORARY}")
    try:
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        try:
            _write_all(handle, content)
            os.fsync(handle)
        finally:
            os.close(handle)
        made = _take_name(beside, path)
    finally:
        with contextlib.suppress(FileNotFoundError):
            beside.unlink()
    settle(path.parent)
    return made


def make_folder(folder: Path) -> None:
    """A folder and those above it, durable."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    settle(folder.parent)


def create_folder(folder: Path, files: Iterable[tuple[str, bytes]]) -> bool:
    """Write a new folder with its files, whole or not at all; False where there is one of that name.

    Names of files may have folders of their own before them. Killed at any moment, a folder whose name begins with
    `HALF` may be left beside it.
    """
    make_folder(folder.parent)
    if folder.exists():
        return False
    half = folder.with_name(f"{HALF}{folder.name[-40:]}-{secrets.token_hex(4)}")
    try:
        for name, content in files:
            make_folder((half / name).parent)
            create(half / name, content)
        try:
            half.rename(folder)
        except OSError:
            if folder.exists():
                return False
            raise
        settle(folder.parent)
    finally:
        shutil.rmtree(half, ignore_errors=True)
    return True


def settle(folder: Path) -> None:
    """Make the names in a folder durable, where the system lets a folder be synchronised."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        with contextlib.suppress(OSError):
            os.fsync(handle)
    finally:
        os.close(handle)


def _write_all(handle: int, content: bytes) -> None:
    rest = memoryview(content)
    while rest:
        rest = rest[os.write(handle, rest) :]


def _take_name(beside: Path, path: Path) -> bool:
    """Give the finished file its name, unless another has it."""
    try:
        os.link(beside, path)
    except FileExistsError:
        return False
    except OSError as error:
        if os.name == "posix" and error.errno not in _NO_LINKS:
            raise
        return _rename(beside, path)
    return True


def _rename(beside: Path, path: Path) -> bool:
    """Without hard links. On Windows a rename never overwrites; elsewhere the name is looked at first.

    An event's name holds the hash of its content, so that what could be overwritten in between is the same.
    """
    if path.exists():
        return False
    try:
        beside.rename(path)
    except FileExistsError:
        return False
    return True
