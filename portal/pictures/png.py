"""Walks the chunks of a PNG file. Layout: PNG specification, third edition, section 5."""

from dataclasses import dataclass

from portal.model.scalars import Frame
from portal.pictures.jpeg import ENDS_EARLY
from portal.problem import PortalError


@dataclass(frozen=True, slots=True)
class Png:
    """What a PNG's chunks say before any pixel."""

    stored: Frame
    bits: int
    """Bits of one sample."""
    exif: bytes


def read_png(data: bytes) -> Png:
    """Read the chunks of a PNG to its very end; PortalError where it ends early or doesn't begin with its size."""
    at, exif, head = 8, b"", b""
    while at + 12 <= len(data):
        name = data[at + 4 : at + 8]
        end = at + 12 + int.from_bytes(data[at : at + 4], "big")
        if name == b"IHDR" and not head:
            head = data[at + 8 : end - 4]
        elif name == b"eXIf" and not exif:
            exif = data[at + 8 : end - 4]
        elif name == b"IEND" and end <= len(data) and len(head) == 13:
            return Png(Frame(int.from_bytes(head[:4], "big"), int.from_bytes(head[4:8], "big")), head[8], exif)
        at = end
    raise PortalError(ENDS_EARLY)
