"""Files of a JSON line for each thing: where lines stand is held, in a few bytes for each, and not what they say."""

import json
from array import array
from bisect import bisect_left
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import IO, Any

from portal.tasks.ahead import Ahead

_RUN = 1 << 16
"""Bytes of a file that are held: lines are mostly asked for as they stand there."""


class Places:
    """Where something stands, by a name: two numbers for each place, and several places of a name in their order."""

    def __init__(self) -> None:
        self._marks, self._first, self._second = array("q"), array("q"), array("q")
        self._is_sorted = True

    def add(self, name: str, first: int, second: int) -> None:
        """A place of that name."""
        for numbers, number in ((self._marks, hash(name)), (self._first, first), (self._second, second)):
            numbers.append(number)
        self._is_sorted = False

    def of(self, name: str) -> Iterator[tuple[int, int]]:
        """The places of a name, and seldom one of another: whoever looks there sees whose it is."""
        if not self._is_sorted:
            self._sort()
        mark = hash(name)
        at = bisect_left(self._marks, mark)
        while at < len(self._marks) and self._marks[at] == mark:
            yield self._first[at], self._second[at]
            at += 1

    def __iter__(self) -> Iterator[tuple[int, int]]:
        """All places, in their order."""
        return iter(sorted(zip(self._first, self._second, strict=True)))

    def __len__(self) -> int:
        return len(self._marks)

    def _sort(self) -> None:
        order = sorted(range(len(self._marks)), key=self._marks.__getitem__)
        self._marks, self._first, self._second = (
            array("q", map(numbers.__getitem__, order)) for numbers in (self._marks, self._first, self._second)
        )
        self._is_sorted = True


class Noted:
    """The lines of one kind in a file, by name; one is read when it is asked for.

    Nothing is found where another file stands there by now.
    """

    def __init__(self, path: Path, kind: bytes) -> None:
        self.path = path
        self._kind, self._places, self._ahead = kind, Places(), Ahead(_RUN)

    def add(self, name: str, at: int, length: int) -> None:
        """Where a line of that name begins, and how long it is."""
        self._places.add(name, at, length)

    def of(self, name: str) -> Iterator[Any]:
        """What the lines of that name say."""
        return (_plain(said.partition(b"\t")[2].partition(b"\t")[2]) for said in self.raw(name))

    def raw(self, name: str) -> Iterator[bytes]:
        """The lines of that name as they stand there."""
        plain = f'"{name}"'.encode()
        for said in self._read(self._places.of(name)):
            own = said.partition(b"\t")[2].partition(b"\t")[0]
            if own == plain or _plain(own) == name:
                yield said

    def lines(self, name: str) -> int:
        """How many lines that name has."""
        return sum(1 for _ in self._places.of(name))

    def all(self) -> Iterator[tuple[str, Any]]:
        """All lines, each with its name, in the file's order."""
        for said in self._read(iter(self._places)):
            own, _, data = said.partition(b"\t")[2].partition(b"\t")
            yield _plain(own), _plain(data)

    def names(self) -> Iterator[str]:
        """The names of all lines, in the file's order."""
        return (name_of(said.partition(b"\t")[2]) for said in self._read(iter(self._places)))

    def all_raw(self) -> Iterator[bytes]:
        """All lines as they stand there."""
        return self._read(iter(self._places))

    def __len__(self) -> int:
        return len(self._places)

    def _read(self, places: Iterator[tuple[int, int]]) -> Iterator[bytes]:
        with suppress(OSError, ValueError):
            for at, length in places:
                said = self._ahead.piece(self.path, at, length)
                if said.startswith(self._kind + b"\t"):
                    yield said


class Aside(Noted):
    """Lines written while a site is made and read until it is done: what nobody holds of thousands meanwhile."""

    def __init__(self, path: Path, kind: bytes = b"aside") -> None:
        super().__init__(path, kind)
        self._file: IO[bytes] | None = None
        self._at = 0

    def put(self, name: str, data: object) -> None:
        """A line of that name."""
        if self._file is None:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._file = self.path.open("ab")
            self._at = self._file.tell()
        said = line(self._kind, name, data)
        self._file.write(said)
        self.add(name, self._at, len(said))
        self._at += len(said)

    def done(self) -> None:
        """Nothing more is written; before this nothing is read."""
        if self._file is not None:
            self._file.close()
            self._file = None


def line(kind: bytes, name: str, data: object) -> bytes:
    """A line of that kind and name."""
    return b"%s\t%s\t%s\n" % (kind, as_json(name), as_json(data))


def name_of(said: bytes) -> str:
    """The name in what stands behind a line's kind."""
    name: str = _plain(said.partition(b"\t")[0])
    return name


def as_json(data: object) -> bytes:
    """Data in one line, the same for the same."""
    return _encoded(data).encode()


def _plain(said: bytes) -> Any:
    return _decoded(said.decode())


_encoded, _decoded = json.JSONEncoder(separators=(",", ":"), sort_keys=True).encode, json.JSONDecoder().decode
"""Made once: ten thousand short pieces are coded each time."""
