"""Remembers tags, and what was looked at, as they were read: a file that surely hasn't changed isn't parsed again.

Of thousands of files one or two change between two builds. What is kept lies in the user's cache folder in some blocks,
so that little is written for one that changed, and under the key of the program that reads.
"""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TypeVar
from zlib import crc32

from portal.catalog.trials import Known
from portal.model.base import Record
from portal.tasks.keys import judging_key
from portal.tasks.manifest import TOO_FRESH_NS
from portal.tasks.records import Keeper, NotKept
from portal.tasks.store import Store, store_for

R = TypeVar("R", bound=Record)

_BLOCKS = 32

Stamp = tuple[int, int, int]
"""Size in bytes, time of last change and time at which the system took the file for changed, in nanoseconds.

The last one nobody can set, so that a file which is put in another's place with its size and time is told from it."""
_Entry = tuple[Stamp, int, str, bytes, Record]
"""A file's stamp, when it was read, its digest, its lines, its record."""


class KeptFiles:
    """What a catalogue's files came to when they were read before (`portal.catalog.trials.Memory`)."""

    def __init__(self, folder: Path, store: Store) -> None:
        self._folder, self._store, self._keeper = folder, store, Keeper(())
        self._blocks: dict[int, dict[str, _Entry]] = {}
        self._seen: dict[str, tuple[int, dict[str, Stamp]]] = {}
        self._stamps: dict[str, tuple[Stamp, int]] = {}
        """Of files that have to be read."""
        self._asked: set[str] = set()
        self._new: set[int] = set()

    def of(self, record: type[R], file: str) -> Known[R] | None:
        """What a file came to, if it is surely the one that was read then; asked before it is read."""
        self._asked.add(file)
        stamp, at = self._stamp(file)
        entry = self._block(_number(file)).get(file)
        if entry is not None:
            then, read_at, digest, lines, made = entry
            if then == stamp and max(then[1:]) < read_at - TOO_FRESH_NS and isinstance(made, record):
                return Known(made, lines, digest)
        if stamp is not None:
            self._stamps[file] = (stamp, at)
        return None

    def note(self, file: str, known: Known[R]) -> None:
        """A file that was asked for and read."""
        if file not in self._stamps:  # nobody would know whether it is the same
            return
        stamp, at = self._stamps[file]
        number = _number(file)
        self._block(number)[file] = (stamp, at, known.digest, known.lines, known.record)
        self._new.add(number)

    def close(self) -> None:
        """Keep what was read anew; forget what isn't there any more."""
        for number in sorted(self._new):
            block = {file: each for file, each in self._blocks[number].items() if file in self._asked}
            self._store.put(_key(number), self._keeper.dump(block))
        self._store.close()

    def _stamp(self, file: str) -> tuple[Stamp | None, int]:
        """A file's stamp, and when it was seen: those of a folder at once; None where it can't be had."""
        folder, _, name = file.rpartition("/")
        if folder not in self._seen:
            self._seen[folder] = (time.time_ns(), _stamps(self._folder / folder))
        at, stamps = self._seen[folder]
        return stamps.get(name), at

    def _block(self, number: int) -> dict[str, _Entry]:
        if number not in self._blocks:
            self._blocks[number] = self._loaded(number)
        return self._blocks[number]

    def _loaded(self, number: int) -> dict[str, _Entry]:
        data = self._store.get(_key(number))
        if data is None:
            return {}
        try:
            known: dict[str, _Entry] = self._keeper.load(data)
        except NotKept:
            return {}
        return known


def _stamps(folder: Path) -> dict[str, Stamp]:
    found: dict[str, Stamp] = {}
    with suppress(OSError), os.scandir(folder) as entries:
        for each in entries:
            with suppress(OSError):  # a link that leads nowhere
                seen = each.stat()
                found[each.name] = (seen.st_size, seen.st_mtime_ns, seen.st_ctime_ns)
    return found


@contextmanager
def kept_files(folder: Path) -> Iterator[KeptFiles]:
    """What is remembered of a catalogue's folder while it is read."""
    kept = KeptFiles(folder, store_for(folder, "read"))
    yield kept
    kept.close()


def _number(file: str) -> int:
    return crc32(file.encode("utf-8", "surrogatepass")) % _BLOCKS


def _key(number: int) -> str:
    return f"{judging_key()} {number}"
