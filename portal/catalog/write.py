"""Writes files of the catalogue, so that there is always a whole one: beside it first, then in its place."""

import contextlib
import errno
import os
import secrets
import shutil
from pathlib import Path
from typing import Any

import yaml

_WRITABLE = 0o222


def write_whole(path: Path, content: bytes) -> None:
    """Put content in the place of a file; killed at any moment, the old or the new file is there, whole.

    Who may read and write it stays as it was; one that nobody may write is left alone, since somebody closed it.
    """
    known = path.stat() if path.is_file() else None
    if known is not None and not known.st_mode & _WRITABLE:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
    beside = path.with_name(f".{path.name[:80]}.{secrets.token_hex(6)}.tmp")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if known is not None:
            with contextlib.suppress(OSError):  # a share that has no such rights
                shutil.copymode(path, beside)
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    _settle(path.parent)


def _settle(folder: Path) -> None:
    """Make the new name durable too, where the system lets a folder be synchronised."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)


def as_yaml(data: dict[str, Any]) -> bytes:
    """Plain data as a file of the catalogue: keys in their order, the innermost lists and tables on one line each."""
    text = yaml.safe_dump(data, sort_keys=False, allow_unicode=True, default_flow_style=None, width=100_000)
    return text.encode("utf-8")
