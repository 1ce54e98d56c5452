"""Whether the runs of a packed BMP come to the rows that they are for: a decoder cuts what is too long, or fills up.

Layout: BITMAPINFOHEADER (40 bytes and more) and its packings BI_RLE8 and BI_RLE4; from memory.
"""

from portal.pictures.jpeg import ENDS_EARLY
from portal.problem import PortalError

_PIXELS_AT, _HEADER_AT, _WIDTH_AT, _PACKING_AT, _SIZE_AT = 10, 14, 18, 30, 34
_RLE8, _RLE4 = 1, 2
_END_OF_ROW, _END, _JUMP = 0, 1, 2
_WHOLE_HEADER = 40


def has_doubtful_runs(data: bytes) -> bool:
    """Whether a row's runs don't come to its width, or bytes follow their end; PortalError where they go beyond it."""
    packing = _number(data, _PACKING_AT)
    if _number(data, _HEADER_AT) < _WHOLE_HEADER or packing not in {_RLE8, _RLE4}:
        return False
    if _number(data, _PIXELS_AT) + _number(data, _SIZE_AT) > len(data):
        raise PortalError(ENDS_EARLY)
    at, width, x, doubtful = _number(data, _PIXELS_AT), _number(data, _WIDTH_AT), 0, False
    while at + 1 < len(data):
        count, what = data[at], data[at + 1]
        at += 2
        if count:
            x += count
        elif what == _END_OF_ROW:
            doubtful |= x != width
            x = 0
        elif what == _END:
            return doubtful or x not in {0, width}
        elif what == _JUMP:  # to another row, so that no row is full
            return False
        else:
            x += what
            size = what if packing == _RLE8 else -(-what // 2)
            at += size + size % 2
        if x > width:
            raise PortalError("damaged file: its runs of pixels go beyond the picture's side")
    return True


def _number(data: bytes, at: int) -> int:
    return int.from_bytes(data[at : at + 4], "little")
