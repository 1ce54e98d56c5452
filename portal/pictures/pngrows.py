"""A large PNG of deep colours, some rows at a time.

Each row of a PNG is told by its difference from the one above, so that a part of it is a whole file to the reading
library once that row is put before it as it is. Layout: PNG specification, third edition, sections 7, 9 and 10.
"""

import struct
import zlib
from collections.abc import Iterator

import numpy as np
from PIL import Image

from portal.pictures.deep import Rows, bands, lower
from portal.pictures.jpeg import ENDS_EARLY
from portal.pictures.kinds import Kind
from portal.pictures.opening import open_as
from portal.pictures.png import Png
from portal.pictures.source import Data
from portal.problem import PortalError

_PIECE = 1 << 18
_AS_IT_IS = b"\0"
"""The filter of a row that is told by itself."""
_COLOURS = {2: 3, 6: 4}


def rows_of(data: Data, png: Png, *, other: str, band: int) -> Iterator[Rows]:
    """A picture of colours of 16 bits that isn't interlaced, about so many pixels at a time."""
    row_bytes = 1 + 2 * _COLOURS[png.colours] * png.stored.width
    unpacked = _Unpacked(data, png)
    above, top = b"", 0
    while top < png.stored.height:
        count = min(max(1, band // png.stored.width), png.stored.height - top)
        content = _file(png, count + bool(above), above + unpacked.read(count * row_bytes))
        upper: Image.Image = open_as(Kind.PNG, content)
        low = lower(open_as(Kind.PNG, content), other)
        if above:
            upper, low = (each.crop((0, 1, *each.size)) for each in (upper, low))
        above = _AS_IT_IS + _last_row(upper, low)
        yield Rows(low, [values for _, values in bands(upper)])
        top += count


def _last_row(upper: Image.Image, low: Image.Image) -> bytes:
    last = (0, upper.height - 1, *upper.size)
    row: bytes = np.stack([np.asarray(each.crop(last)) for each in (upper, low)], axis=-1).tobytes()
    return row


def _file(png: Png, rows: int, filtered: bytes) -> bytes:
    head = struct.pack(">IIBBBBB", png.stored.width, rows, png.bits, png.colours, 0, 0, 0)
    parts = [b"\x89PNG\r\n\x1a\n"]
    for name, payload in ((b"IHDR", head), (b"IDAT", zlib.compress(filtered, 0)), (b"IEND", b"")):
        mark = zlib.crc32(payload, zlib.crc32(name))
        parts += (struct.pack(">I", len(payload)), name, payload, struct.pack(">I", mark))
    return b"".join(parts)


class _Unpacked:
    """The rows of a PNG one after the other, each with its filter."""

    def __init__(self, data: Data, png: Png) -> None:
        self._pieces = _pieces(data, png)
        self._zlib = zlib.decompressobj()

    def read(self, size: int) -> bytes:
        """So many bytes; PortalError where there are less."""
        found, left = [], size
        while left:
            packed = self._zlib.unconsumed_tail or next(self._pieces, b"")
            if not packed or self._zlib.eof:
                raise PortalError(ENDS_EARLY)
            found.append(self._zlib.decompress(packed, left))
            left -= len(found[-1])
        return b"".join(found)


def _pieces(data: Data, png: Png) -> Iterator[bytes]:
    """The packed bytes of the pixels."""
    for at, end in png.kept:
        while at < end:
            size = int.from_bytes(data[at : at + 4], "big")
            if data[at + 4 : at + 8] == b"IDAT":
                for begin in range(at + 8, at + 8 + size, _PIECE):
                    yield data[begin : min(begin + _PIECE, at + 8 + size)]
            at += 12 + size
