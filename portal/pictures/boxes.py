"""Walks the outer boxes of a file of the ISO base media file format. Layout: ISO/IEC 14496-12 section 4.2."""

import os
from dataclasses import dataclass
from typing import BinaryIO

from portal.pictures.jpeg import ENDS_EARLY
from portal.pictures.kinds import AS_WHICH
from portal.problem import PortalError

_MOST_EDITS = 1000
"""Each is looked for among all frames. A camera writes up to three to a track; common practice, no source."""
_AROUND_EDITS = {b"trak", b"edts"}


def check_whole(data: bytes) -> None:
    """PortalError where the file ends before a box does: decoders show what is there, and grey or green below it."""
    at = 0
    while at < len(data):
        head = 16 if data[at : at + 4] == b"\0\0\0\1" else 8
        size = int.from_bytes(data[at + head - 8 : at + head] if head == 16 else data[at : at + 4], "big")
        if size == 0 and at + head <= len(data):  # the last box, which reaches to the end of the file
            return
        if size < head or at + size > len(data):
            raise PortalError(ENDS_EARLY)
        at += size


def check_movie(file: BinaryIO) -> None:
    """PortalError where a movie's index isn't there, has too many edits, or its file ends before its frames do."""
    at, size, edits, has_index = 0, file.seek(0, os.SEEK_END), 0, False
    while (box := _box(file, at, size)) is not None:
        if box.name == b"moov":
            has_index = True
            edits += _edits(file, box)
        if box.end > size or box.end < box.inner:
            if box.name in {b"mdat", b"moov"}:
                raise PortalError(ENDS_EARLY)
            break  # what a writer left behind its last box
        at = box.end
    if not has_index:
        raise PortalError("damaged file: its recording was never finished, so that its index isn't there")
    if edits > _MOST_EDITS:
        too_many = f"its lists of edits have {edits} entries, more than the {_MOST_EDITS} that are read"
        raise PortalError(too_many, hint=AS_WHICH)


@dataclass(frozen=True, slots=True)
class _Box:
    """What a file calls a part of it, and where the part's content begins and ends."""

    name: bytes
    inner: int
    end: int


def _box(file: BinaryIO, at: int, end: int) -> _Box | None:
    """The box that begins there; one that says no length reaches to the end, where none fits there is none."""
    if at + 8 > end:
        return None
    file.seek(at)
    head = file.read(16)
    length, begin = int.from_bytes(head[:4], "big"), 8
    if length == 1:
        length, begin = int.from_bytes(head[8:16], "big"), 16
    return _Box(head[4:8], at + begin, at + length if length else end)


def _edits(file: BinaryIO, box: _Box) -> int:
    """How many edits an index, a track or what holds its list says to have: ISO/IEC 14496-12 section 8.6.6."""
    found, at = 0, box.inner
    while (inner := _box(file, at, box.end)) is not None and inner.inner <= inner.end <= box.end:
        if inner.name == b"elst":
            file.seek(inner.inner + 4)
            found += int.from_bytes(file.read(4), "big")
        elif inner.name in _AROUND_EDITS:
            found += _edits(file, inner)
        at = inner.end
    return found
