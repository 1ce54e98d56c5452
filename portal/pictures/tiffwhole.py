"""Whether the packed strips or tiles of a TIFF are as they were written: the reading library passes over what is wrong.

Of those packed by JPEG each is a JPEG by itself once what all share is put before it, so what is held against a plain
one is held against each. Deflate has a sum of the pixels at its end, which that library doesn't look at. LZW, PackBits
and open pixels have nothing by which a changed byte could be told. Tags: TIFF revision 6.0 section 22 and its Technical
Note 2; Deflate: RFC 1950.
"""

import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.scalars import Frame
from portal.pictures.ifd import Directory
from portal.pictures.jpeg import ENDS_EARLY, Inks, Jpeg, read_jpeg
from portal.pictures.tiff import Tiff
from portal.pictures.whole import DAMAGED, is_doubtful
from portal.problem import PortalError

_BITS, _PACKING, _COLOURS, _STRIP_ROWS = 258, 259, 277, 278
_STRIPS, _STRIP_BYTES, _TILES, _TILE_BYTES = 273, 279, 324, 325
_TABLES, _STREAM, _STREAM_BYTES = 347, 513, 514
_OLD_JPEG, _JPEG = 6, 7
_DEFLATE = {8, 32946}
_UNPACKED = 1
_START, _END = b"\xff\xd8", b"\xff\xd9"
_PIECE = 1 << 18
_NEAR = 64
"""Bytes at the end of a part, among which its JPEG ends."""
_NEVER_WRITTEN = bytes(8)
_MODES = {Inks.GREY: "L", Inks.CMYK: "CMYK", Inks.YCCK: "CMYK"}


@dataclass(frozen=True, slots=True)
class _Part:
    """A strip or a tile: where its bytes lie, and the pixels that it has to hold."""

    start: int
    end: int
    frame: Frame
    is_tile: bool


def has_doubtful_parts(tiff: Tiff) -> bool:
    """Whether some packed pixels may have been changed; PortalError where some were, or aren't there."""
    page = tiff.directory
    packing = page.number(_PACKING, _UNPACKED)
    if packing != _UNPACKED and tiff.ends_early():
        raise PortalError(ENDS_EARLY)
    if packing in _DEFLATE:
        for part in _parts(tiff):
            _refuse_other_sum(tiff, part)
    elif packing == _JPEG and (1 if tiff.in_planes else page.number(_COLOURS, 1)) in {1, 3, 4}:
        shared = _shared(page)
        doubtful = [_is_doubtful_part(tiff, part, shared) for part in _parts(tiff)]
        return any(doubtful) or not shared.endswith(_END)
    elif packing == _OLD_JPEG:
        return _is_doubtful_stream(tiff)
    return False


def _parts(tiff: Tiff) -> Iterator[_Part]:
    page, whole = tiff.directory, tiff.stored
    is_tiled = _TILES in page.entries
    starts = page.numbers(_TILES if is_tiled else _STRIPS)
    sizes = page.numbers(_TILE_BYTES if is_tiled else _STRIP_BYTES)
    rows = min(page.number(_STRIP_ROWS, whole.height), whole.height) or whole.height
    down = -(-whole.height // rows)
    for number, (start, size) in enumerate(zip(starts, sizes, strict=False)):
        frame = tiff.tile if is_tiled else Frame(whole.width, min(rows, whole.height - number % down * rows))
        if size:  # a part without bytes stands for one without pixels
            yield _Part(start, start + size, frame, is_tiled)


def _refuse_other_sum(tiff: Tiff, part: _Part) -> None:
    """PortalError where Deflate's own sum of what was packed isn't that of what is unpacked."""
    samples = 1 if tiff.in_planes else tiff.directory.number(_COLOURS, 1)
    most = -(-part.frame.width * samples * tiff.bits // 8) * part.frame.height
    packed, got = zlib.decompressobj(), 0
    try:
        for at in range(part.start, part.end, _PIECE):
            left = tiff.directory.data[at : min(at + _PIECE, part.end)]
            while left and got <= most and not packed.eof:
                got += len(packed.decompress(left, _PIECE))
                left = packed.unconsumed_tail
            if got > most or packed.eof:
                return
    except zlib.error as error:
        raise PortalError(DAMAGED) from error


def _shared(page: Directory) -> bytes:
    """The tables that all parts share: a JPEG without a picture."""
    entry = page.entries.get(_TABLES)
    return page.data[entry.at : entry.at + entry.size] if entry else _START + _END


def _is_doubtful_part(tiff: Tiff, part: _Part, shared: bytes) -> bool:
    own = tiff.directory.data[part.start : part.end]
    tables = shared.removeprefix(_START).removesuffix(_END)
    data = b"".join((_START, tables, own.removeprefix(_START), _END))
    found = read_jpeg(data)
    fits = found.stored == part.frame if part.is_tile else found.stored.width == part.frame.width
    if not fits or found.stored.height < part.frame.height:
        raise PortalError(DAMAGED)
    if _END in own[-_NEAR:]:
        return _is_doubtful(data, found)
    if own.endswith(_NEVER_WRITTEN):
        raise PortalError(ENDS_EARLY)
    _is_doubtful(data, found)
    return True


def _is_doubtful_stream(tiff: Tiff) -> bool:
    """Of the older way, where one whole JPEG lies in the file; without such a one nothing can be told."""
    page = tiff.directory
    start = page.number(_STREAM, 0)
    end = max(start + page.number(_STREAM_BYTES, 0), tiff.pixels_end)
    data = page.data[start:end] + _END
    if not data.startswith(_START):
        return False
    found = read_jpeg(data)
    return _is_doubtful(data, found)


def _is_doubtful(data: bytes, found: Jpeg) -> bool:
    if found.ends_early or found.lacks_scans(data):
        raise PortalError(ENDS_EARLY)
    return found.decoded_by_huffman and is_doubtful(data, found, _MODES.get(found.inks, "RGB"))
