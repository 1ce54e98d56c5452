"""Walks the chunks of a PNG file. Layout: PNG specification, third edition, section 5."""

import zlib
from dataclasses import dataclass
from typing import BinaryIO

from portal.model.scalars import Frame
from portal.pictures.jpeg import ENDS_EARLY
from portal.pictures.kinds import AS_WHAT, PIXEL
from portal.pictures.source import Data, joined
from portal.problem import PortalError

_KEPT = {b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"}
"""What the pixels need; a profile beside these, where it isn't too large."""

_MOST_CHUNKS = 1_000_000
"""Writers part the pixels into pieces of 8 kB and more, so that the largest picture that is read has 200,000."""

_DEEP_AT_ONCE, _OF_COLOURS = 9.5, {2, 6}
"""The decoded pixel, its upper bytes, and what is made of both; measured."""
_LARGEST_PROFILE = 1_000_000
"""Bytes of a profile once unpacked; the reading library takes no more, and refuses the picture along with it."""


@dataclass(frozen=True, slots=True)
class Png:
    """What a PNG's chunks say before any pixel."""

    stored: Frame
    bits: int
    """Bits of one sample."""
    colours: int
    """What its samples stand for: 0 grey, 2 colours, 3 a palette, 4 and 6 with transparency."""
    is_interlaced: bool
    exif: bytes
    kept: tuple[tuple[int, int], ...]
    """Where the chunks begin and end that the pixels and their colours need."""
    profile_too_large: bool = False
    has_profile: bool = False
    """Whether its colours have a profile that is used."""

    @property
    def bytes_a_pixel(self) -> float:
        """The memory that its pixels take while they are decoded: deep colours that are interlaced come all at once."""
        return _DEEP_AT_ONCE if self.is_interlaced and self.bits == 16 and self.colours in _OF_COLOURS else PIXEL

    def stripped(self, data: Data) -> bytes | BinaryIO:
        """The same coded pixels without text, times, further pictures or trailing bytes."""
        return joined(data, data[:8], self.kept)


def read_png(data: Data) -> Png:
    """Read the chunks of a PNG to its very end; PortalError where it ends early or doesn't begin with its size."""
    at, exif, head, too_large, profiled = 8, b"", b"", False, False
    kept: list[tuple[int, int]] = []
    for _ in range(_MOST_CHUNKS):
        if at + 12 > len(data):
            raise PortalError(ENDS_EARLY)
        name = data[at + 4 : at + 8]
        end = at + 12 + int.from_bytes(data[at : at + 4], "big")
        if name == b"IHDR" and not head:
            head = data[at + 8 : end - 4]
        elif name == b"eXIf" and not exif:
            exif = data[at + 8 : end - 4]
        elif name == b"iCCP":
            too_large = _unpacks_to_more(data[at + 8 : end - 4])
            profiled = not too_large
        if name in _KEPT or (name == b"iCCP" and not too_large):
            begin = kept.pop()[0] if kept and kept[-1][1] == at else at
            kept.append((begin, end))
        if name == b"IEND" and end <= len(data) and len(head) == 13:
            frame = Frame(int.from_bytes(head[:4], "big"), int.from_bytes(head[4:8], "big"))
            return Png(frame, head[8], head[9], bool(head[12]), exif, tuple(kept), too_large, profiled)
        at = end
    raise PortalError(f"a PNG of more than {_MOST_CHUNKS} chunks, which isn't read", hint=AS_WHAT)


def _unpacks_to_more(profile: bytes) -> bool:
    """Whether a profile's chunk (its name, NUL, method, packed bytes) comes to more than the largest that is read."""
    packed = profile.partition(b"\0")[2][1:]
    try:
        return len(zlib.decompressobj().decompress(packed, _LARGEST_PROFILE + 1)) > _LARGEST_PROFILE
    except zlib.error:
        return False
