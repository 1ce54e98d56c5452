"""Files of a catalogue that are read, changed and kept one by one while people work: tags, above all."""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import TypeVar

from portal.catalog.folder import Folder
from portal.catalog.record import Broken, make_record, read_text
from portal.catalog.shelf import Shelf
from portal.catalog.tree import parsed
from portal.catalog.write import write_whole
from portal.model.base import Record
from portal.problem import PortalError, Problem

R = TypeVar("R", bound=Record)

STALE_S = 15.0
PATIENCE_S = 3.0


def tag_file(picture: str) -> str:
    """The file of a picture's tag."""
    path = PurePosixPath(picture)
    return str(path.parent.parent / "tags" / f"{path.name}.yaml")


def read_alone(folder: Path, record: type[R], file: str) -> R | Broken:
    """Read one file as that record, without the rest of the catalogue."""
    shelf = Shelf(Folder(folder))
    text = read_text(shelf, file)
    return text if isinstance(text, Broken) else make_record(shelf, record, file, parsed(text), {})


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Keep other benches from changing a file meanwhile, also over a share; what a killed one left is taken over."""
    path.parent.mkdir(parents=True, exist_ok=True)
    lock = path.with_name(f".{path.name[:200]}.held")
    until = time.monotonic() + PATIENCE_S
    while not _taken(lock):
        if time.monotonic() > until:
            raise PortalError(f"{path.name} is being written by another bench", hint="try again in a moment")
        time.sleep(0.02)
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def keep_beside(path: Path, content: bytes) -> Path:
    """Save what lost beside a file that somebody else changed; gives its path."""
    stem = path.name.removesuffix(".yaml")
    now = datetime.now(UTC).strftime("%Y%m%dT%H%M%S.%fZ")
    beside = path.with_name(f"{stem[:180]}.conflict-{now}.yaml")
    write_whole(beside, content)
    return beside


def _taken(lock: Path) -> bool:
    try:
        os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
    except FileExistsError:
        try:
            if time.time() - lock.stat().st_mtime > STALE_S:
                lock.unlink(missing_ok=True)
        except FileNotFoundError:
            pass
        return False
    except PermissionError:  # Windows, while the other one's is being taken away
        return False
    return True


def record_of(folder: Path, record: type[R], file: str, text: str, **given: str) -> R | tuple[Problem, ...]:
    """What the catalogue's reader would make of a file with that text, or all that it would say is wrong.

    `given` is what the file's path says.
    """
    shelf = Shelf(Folder(folder))
    made = make_record(shelf, record, file, parsed(text), given)
    return tuple(shelf.problems) if isinstance(made, Broken) else made
