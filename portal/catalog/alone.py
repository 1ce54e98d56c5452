"""Files of a catalogue that are read, changed and kept one by one while people work: tags, above all."""

import os
import secrets
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import TypeVar

from portal.catalog.folder import Folder
from portal.catalog.links.tag import check_tag
from portal.catalog.record import Broken, make_record, read_text
from portal.catalog.shelf import Shelf, TrialFolder
from portal.catalog.tree import parsed
from portal.catalog.write import write_whole
from portal.model.base import Record
from portal.model.catalogue import Catalogue
from portal.model.mould import Trial
from portal.model.tag import Tag
from portal.problem import PortalError, Problem

R = TypeVar("R", bound=Record)

STALE_S, PATIENCE_S = 15.0, 3.0
"""When what is held counts as left behind, and how long is waited for it."""
SETTLED_S = 0.1
"""How long two may need between seeing that something was left behind and taking it."""


def tag_file(picture: str) -> str:
    """The file of a picture's tag."""
    path = PurePosixPath(picture)
    return str(path.parent.parent / "tags" / f"{path.name}.yaml")


def read_alone(folder: Path, record: type[R], file: str) -> R | Broken:
    """Read one file as that record, without the rest of the catalogue."""
    shelf = Shelf(Folder(folder))
    text = read_text(shelf, file)
    return text if isinstance(text, Broken) else make_record(shelf, record, file, parsed(text), {})


class Busy(PortalError):
    """Somebody else writes the same file right now: what was asked for can be asked for again as it is."""


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Keep other benches from changing a file meanwhile, also over a share; what a killed one left is taken over."""
    path.parent.mkdir(parents=True, exist_ok=True)
    lock = path.with_name(f".{path.name[:200]}.held")
    own = secrets.token_bytes(12)
    until = time.monotonic() + PATIENCE_S
    while not _taken(lock, own):
        if time.monotonic() > until:
            raise Busy(f"{path.name} is being written by another bench", hint="try again in a moment")
        time.sleep(0.02)
    try:
        yield
    finally:
        if _owner(lock) == own:  # it may have been taken over from one that stood still for long
            lock.unlink(missing_ok=True)


def put_over(path: Path, content: bytes, known: bytes | None) -> None:
    """Put content in the place of a file that was read as `known`; Busy where it is another by now.

    An editor holds nothing, and who was stopped for long while holding is held no more.
    """
    if (path.read_bytes() if path.exists() else None) != known:
        raise Busy(f"{path.name} was changed this moment", hint="try again in a moment")
    write_whole(path, content)


def keep_beside(path: Path, content: bytes) -> Path:
    """Save what lost beside a file that somebody else changed; gives its path."""
    stem = path.name.removesuffix(".yaml")
    now = datetime.now(UTC).strftime("%Y%m%dT%H%M%S.%fZ")
    beside = path.with_name(f"{stem[:180]}.conflict-{now}.yaml")
    write_whole(beside, content)
    return beside


def _taken(lock: Path, own: bytes) -> bool:
    try:
        handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    except FileExistsError:
        return _is_stale(lock) and _taken_over(lock, own)
    except PermissionError:  # Windows, while the other one's is being taken away
        return False
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(own)
    except BaseException:  # a full disk: nobody waits for a hold that nobody has
        lock.unlink(missing_ok=True)
        raise
    return True


def _taken_over(lock: Path, own: bytes) -> bool:
    """Take what a killed one left; of two that do so at once, the one whose mark stands a moment later has it."""
    lock.unlink(missing_ok=True)
    if not _taken(lock, own):
        return False
    time.sleep(SETTLED_S)
    return _owner(lock) == own


def _owner(lock: Path) -> bytes | None:
    try:
        return lock.read_bytes()
    except OSError:
        return None


def _is_stale(lock: Path) -> bool:
    """Whether it was left long ago by the clock of the machine on which it lies, which may not be ours.

    One that lies in that clock's future was left before the clock was set back.
    """
    try:
        with tempfile.TemporaryFile(dir=lock.parent) as probe:
            return abs(os.fstat(probe.fileno()).st_mtime - lock.stat().st_mtime) > STALE_S
    except FileNotFoundError:
        return False


def unknown_in(folder: Path, catalogue: Catalogue, mould: str, trial: Trial, tag: Tag) -> tuple[Problem, ...]:
    """What a tag names that the catalogue doesn't have, as it is said where the whole folder is read."""
    shelf = Shelf(Folder(folder), **{each.name: getattr(catalogue, each.name) for each in fields(catalogue)})
    check_tag(shelf, TrialFolder(mould, trial.id, trial, trial.pictures, (), (tag,), tags_broken=False), tag)
    return tuple(each for each in shelf.problems if not each.warning)


def record_of(folder: Path, record: type[R], file: str, text: str, **given: str) -> R | tuple[Problem, ...]:
    """What the catalogue's reader would make of a file with that text, or all that it would say is wrong.

    `given` is what the file's path says.
    """
    shelf = Shelf(Folder(folder))
    made = make_record(shelf, record, file, parsed(text), given)
    return tuple(shelf.problems) if isinstance(made, Broken) else made
