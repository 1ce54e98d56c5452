"""Reads directories of tagged values, as TIFF files and Exif blocks have them, within hard bounds.

Only what a caller asks for is read, and never more than the bytes at hand hold: a crafted count costs
neither time nor memory. Layout: TIFF revision 6.0 section 2; 8-byte offsets: the BigTIFF extension.
"""

from dataclasses import dataclass
from typing import Literal

from portal.pictures.source import Data

Order = Literal["little", "big"]

_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4, 16: 8, 17: 8, 18: 8}
_UNSIGNED = {1, 3, 4, 13, 16, 18}
_BYTE, _ASCII, _RATIONAL, _UNDEFINED = 1, 2, 5, 7
_MOST_ENTRIES = 4096
MOST_DIRECTORIES, MOST_ENTRIES = 10_000, 200_000
"""In one chain, the entries of all together: directories of a crafted file may overlap, so that a small one has many
millions."""


class BrokenDirectory(ValueError):
    """The bytes are no directory of tagged values, or one that points outside of them."""


class EndlessChain(ValueError):
    """More directories follow each other, or with more entries, than a picture has."""


@dataclass(frozen=True, slots=True)
class Entry:
    """Where the values of one tag lie: their type, how many, and the offset of the first."""

    type: int
    count: int
    at: int

    @property
    def size(self) -> int:
        """All of its bytes."""
        return _SIZES.get(self.type, 1) * self.count


@dataclass(frozen=True, slots=True)
class Directory:
    """One directory over the bytes it was read from."""

    data: Data
    offset: int
    order: Order
    big: bool
    entries: dict[int, Entry]
    next: int
    """Offset of the directory after this one, 0 where it is the last."""
    says: int
    """How many entries it says to have; those of a tag that came before are not among `entries`."""

    def numbers(self, tag: int) -> tuple[int, ...]:
        """The unsigned whole numbers of that tag; empty where it is absent, of another type or out of bounds."""
        entry = self.entries.get(tag)
        if entry is None or entry.type not in _UNSIGNED or entry.at + entry.size > len(self.data):
            return ()
        step = _SIZES[entry.type]
        found = self.data[entry.at : entry.at + entry.size]
        return tuple(int.from_bytes(found[at : at + step], self.order) for at in range(0, entry.size, step))

    def number(self, tag: int, default: int) -> int:
        """The first number of that tag."""
        entry = self.entries.get(tag)
        if entry is None or entry.type not in _UNSIGNED or not entry.count:
            return default
        found = self.data[entry.at : entry.at + _SIZES[entry.type]]
        return int.from_bytes(found, self.order) if found else default

    def text(self, tag: int, *, most: int = 64) -> str | None:
        """The text of that tag up to its first NUL, at most so many bytes of it."""
        entry = self.entries.get(tag)
        if entry is None or entry.type not in {_ASCII, _UNDEFINED}:
            return None
        found = self.data[entry.at : entry.at + min(entry.size, most)]
        return found.split(b"\0")[0].decode("ascii", errors="replace").strip()

    def ratio(self, tag: int) -> float:
        """The first fraction of that tag; 0 where it is absent, of another type, out of bounds, or over nothing."""
        entry = self.entries.get(tag)
        if entry is None or entry.type != _RATIONAL or not entry.count or entry.at + 8 > len(self.data):
            return 0.0
        over, under = (int.from_bytes(self.data[at : at + 4], self.order) for at in (entry.at, entry.at + 4))
        return over / under if under else 0.0

    def raw(self, tag: int, *, most: int) -> bytes:
        """The bytes of that text up to its first NUL, at most so many of them."""
        entry = self.entries.get(tag)
        if entry is None or entry.type not in {_ASCII, _UNDEFINED, _BYTE}:
            return b""
        return self.data[entry.at : entry.at + min(entry.size, most)].split(b"\0")[0]

    def at(self, offset: int) -> "Directory":
        """Another directory in the same bytes."""
        return _read(self.data, offset, self.order, big=self.big)


def first_directory(data: Data) -> Directory:
    """The first directory of a TIFF file or an Exif block; BrokenDirectory where there is none."""
    order: Order | None = {b"II": "little", b"MM": "big"}.get(data[:2])  # type: ignore[assignment]  # the values are
    if order is None:
        raise BrokenDirectory("no byte order at the start")
    big = int.from_bytes(data[2:4], order) == 43
    start = data[8:16] if big else data[4:8]
    return _read(data, int.from_bytes(start, order), order, big=big)


def all_directories(data: Data) -> list[Directory]:
    """The chain of directories from the first; one that bites its tail ends there, EndlessChain where it has no end."""
    found = [first_directory(data)]
    seen = {0, found[0].offset}
    entries = found[0].says
    while (offset := found[-1].next) not in seen:
        if len(found) >= MOST_DIRECTORIES or entries > MOST_ENTRIES:
            raise EndlessChain
        seen.add(offset)
        try:
            found.append(found[-1].at(offset))
        except BrokenDirectory:
            break
        entries += found[-1].says
    return found


def _read(data: Data, offset: int, order: Order, *, big: bool) -> Directory:
    head, width, size = (8, 8, 20) if big else (2, 4, 12)
    if not 8 <= offset <= len(data) - head:
        raise BrokenDirectory(f"a directory is said to lie at byte {offset}, outside of the file")
    count = int.from_bytes(data[offset : offset + head], order)
    if count > _MOST_ENTRIES:
        raise BrokenDirectory(f"a directory says it has {count} entries")
    entries: dict[int, Entry] = {}
    for at in range(offset + head, min(offset + head + count * size, len(data) - size + 1), size):
        tag, entry = _entry(data, at, order, width)
        entries.setdefault(tag, entry)
    end = offset + head + count * size
    return Directory(data, offset, order, big, entries, int.from_bytes(data[end : end + width], order), count)


def _entry(data: Data, at: int, order: Order, width: int) -> tuple[int, Entry]:
    tag = int.from_bytes(data[at : at + 2], order)
    kind = int.from_bytes(data[at + 2 : at + 4], order)
    count = int.from_bytes(data[at + 4 : at + 4 + width], order)
    value = at + 4 + width
    if _SIZES.get(kind, 1) * count > width:
        return tag, Entry(kind, count, int.from_bytes(data[value : value + width], order))
    return tag, Entry(kind, count, value)
