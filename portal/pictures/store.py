"""Keeps derived files under names made of their content."""

import hashlib
import secrets
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
