"""Keeps derived files under names made of their content."""

import hashlib
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

_DIGITS = 20


@dataclass(frozen=True, slots=True)
class Kept:
    """A file that lies in the folder: its name, its hash, how many bytes."""

    name: str
    sha256: str
    bytes: int


def keep(folder: Path, content: bytes, *, ending: str) -> Kept:
    """Write a file under the first digits of its hash, whole or not at all; one that is there already stays."""
    sha256 = hashlib.sha256(content).hexdigest()
    kept = Kept(f"{sha256[:_DIGITS]}{ending}", sha256, len(content))
    target = folder / kept.name
    if not _holds(target, content):
        folder.mkdir(parents=True, exist_ok=True)
        _write(target, content)
    return kept


def keep_file(folder: Path, made: Path, *, ending: str) -> Kept:
    """Give a file that was written into the folder the first digits of its hash as its name."""
    with made.open("rb") as file:
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    kept = Kept(f"{sha256[:_DIGITS]}{ending}", sha256, made.stat().st_size)
    try:
        made.replace(folder / kept.name)
    except PermissionError:  # on Windows another may hold the very same file open
        made.unlink(missing_ok=True)
        if not (folder / kept.name).is_file():
            raise
    return kept


@contextmanager
def half_written(folder: Path, *, ending: str) -> Iterator[Path]:
    """The path of a file in the folder that is being written; it is gone when the block ends, unless it was renamed."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f".{secrets.token_hex(8)}{ending}.tmp"
    try:
        yield path
    finally:
        path.unlink(missing_ok=True)


def _holds(target: Path, content: bytes) -> bool:
    try:
        return target.stat().st_size == len(content) and target.read_bytes() == content
    except FileNotFoundError:
        return False


def _write(target: Path, content: bytes) -> None:
    temporary = target.with_name(f".{target.name}.{secrets.token_hex(4)}.tmp")
    try:
        temporary.write_bytes(content)
        temporary.replace(target)
    except BaseException as error:
        temporary.unlink(missing_ok=True)
        # On Windows another worker may hold the very same file open; then it is there, and all is well.
        if not (isinstance(error, PermissionError) and _holds(target, content)):
            raise
