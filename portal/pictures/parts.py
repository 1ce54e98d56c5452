"""A large TIFF as small ones below each other, so that neither its samples nor its bytes are ever held whole.

A TIFF keeps its pixels in strips or tiles, each of which is decoded by itself. A directory that names some of them and
their rows is a whole file to the reading library, so every part is decoded by the very code that decodes small
pictures. Rows that aren't packed are parted wherever that suits. Tags: TIFF revision 6.0.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from portal.pictures.ifd import Directory, Order
from portal.pictures.jpeg import ENDS_EARLY
from portal.pictures.source import Data
from portal.pictures.tiff import Tiff
from portal.problem import PortalError

WHOLE = 30_000_000
"""A picture of no more pixels is decoded at once."""
BAND = 2_000_000
"""Pixels that are decoded at once of a larger one, or as many as a strip or a row of tiles has."""

_WIDTH, _HEIGHT, _BITS, _PACKING, _PHOTOMETRIC = 256, 257, 258, 259, 262
_STRIPS, _COLOURS, _STRIP_ROWS, _STRIP_BYTES, _PLANES = 273, 277, 278, 279, 284
_TILE_WIDTH, _TILE_HEIGHT, _TILES, _TILE_BYTES = 322, 323, 324, 325
_KEPT = (_BITS, _PACKING, _PHOTOMETRIC, 266, _COLOURS, _PLANES, 317, _TILE_WIDTH, _TILE_HEIGHT, 332, 338, 339, 347)
"""Beside these: the order of bits, the predictor, the inks, what further samples are, whether they are whole numbers,
and what all parts of JPEG share."""
_OF_COLOURS = (529, 530, 531, 532, 34675)
"""How brightness and colour differences are meant, and a profile."""
_OF_ONE = (_PACKING, 266, 317, _TILE_WIDTH, _TILE_HEIGHT)
"""Of those what holds for one colour as well."""
_FORMAT = 339
_BLACK_IS_ZERO = 1
_PLAIN = 1
_PACKED = {5, 7, 8, 32773, 32946}
"""LZW, JPEG, Deflate in both of its numbers, PackBits: each strip and each tile stands for itself."""
_PHOTOMETRICS = {0, 1, 2, 5, 6, 8}
"""Grey both ways round, colours, inks, brightness and colour differences, Lab; a palette's pixels take a byte each."""
_MOST_TAG = 4_000_000
_SHORT, _LONG = 3, 4
_ROOM = 1 << 16
"""Bytes that a strip or tile may have beyond twice those of its samples; more are no pixels of it."""


@dataclass(frozen=True, slots=True)
class _Layout:
    """How the strips or tiles of a page lie."""

    width: int
    height: int
    rows: int
    """Of a strip or a tile."""
    across: int
    """Tiles beside each other, 1 of strips."""
    planes: int
    row_bytes: int
    """Of the samples in a row of a plane."""
    starts: tuple[int, ...]
    sizes: tuple[int, ...]
    """As they are stored; none where rows aren't packed and lie as strips."""
    is_tiled: bool

    @property
    def down(self) -> int:
        """Strips, or rows of tiles, in a plane."""
        return -(-self.height // self.rows)


def parts_of(tiff: Tiff, *, also_small: bool = False) -> "Parts | None":
    """The parts of a picture's page; None where it is small, or of a form that isn't parted.

    Of 8-byte offsets in big order, which the reading library doesn't know, also a small one has them.
    """
    frame, page = tiff.stored, tiff.directory
    is_small = frame.width * frame.height <= WHOLE and not (page.big and page.order == "big")
    if is_small and not also_small:
        return None
    packing, photometric = page.number(_PACKING, _PLAIN), page.number(_PHOTOMETRIC, -1)
    if packing not in {_PLAIN, *_PACKED} or photometric not in _PHOTOMETRICS:
        return None
    if any(page.entries[tag].size > _MOST_TAG for tag in (*_KEPT, *_OF_COLOURS) if tag in page.entries):
        return None
    layout = _layout(page, tiff, is_plain=packing == _PLAIN)
    return Parts(page, layout) if layout else None


@dataclass(frozen=True, slots=True)
class Parts:
    """A page that is read in parts."""

    page: Directory
    layout: _Layout
    of_one: bool = False
    """Whether they are of one of its colours, as if that were grey."""

    def plane(self, number: int) -> "Parts":
        """One of the colours of a page that has each by itself."""
        a = self.layout
        first, count = number * a.down * a.across, a.down * a.across
        own = replace(a, planes=1, starts=a.starts[first : first + count], sizes=a.sizes[first : first + count])
        return Parts(self.page, own, of_one=True)

    def files(self) -> Iterator[bytes]:
        """The parts from above as files, each with all columns and some rows; PortalError where one isn't there."""
        a = self.layout
        if not a.sizes:
            rows = max(1, BAND // a.width)
            for top in range(0, a.height, rows):
                yield self._plain(top, min(rows, a.height - top))
        else:
            step = max(1, BAND // (a.width * a.rows))
            for first in range(0, a.down, step):
                yield self._packed(first, min(step, a.down - first))

    def _plain(self, top: int, rows: int) -> bytes:
        """Rows that lie open in strips, which may begin and end in the middle of them."""
        a = self.layout
        found = []
        for plane in range(a.planes):
            spans = []
            for strip in range(top // a.rows, -(-(top + rows) // a.rows)):
                first, last = max(top, strip * a.rows), min(top + rows, (strip + 1) * a.rows)
                at = a.starts[plane * a.down + strip] + (first - strip * a.rows) * a.row_bytes
                spans.append((at, (last - first) * a.row_bytes))
            found.append(b"".join(_bytes(self.page.data, at, size) for at, size in spans))
        return self._file(rows, rows, found)

    def _packed(self, first: int, count: int) -> bytes:
        a = self.layout
        found = []
        for plane in range(a.planes):
            begin = (plane * a.down + first) * a.across
            for part in range(begin, begin + count * a.across):
                found.append(_bytes(self.page.data, a.starts[part], a.sizes[part]))
        return self._file(a.rows, min(count * a.rows, a.height - first * a.rows), found)

    def _file(self, part_rows: int, rows: int, found: Sequence[bytes]) -> bytes:
        order, a = self.page.order, self.layout
        starts, sizes = (_TILES, _TILE_BYTES) if a.is_tiled else (_STRIPS, _STRIP_BYTES)
        kept = _OF_ONE if self.of_one else (*_KEPT, *_OF_COLOURS)
        values = {tag: _value(self.page, tag) for tag in kept if tag in self.page.entries}
        if a.planes == 1:
            values.pop(_PLANES, None)
        if self.of_one:
            bits = self.page.number(_BITS, 1)
            values |= {_BITS: _shorts([bits], order), _PHOTOMETRIC: _shorts([_BLACK_IS_ZERO], order)}
            if _FORMAT in self.page.entries:
                values[_FORMAT] = _shorts([self.page.number(_FORMAT, 1)], order)
        for tag, number in ((_WIDTH, a.width), (_HEIGHT, rows), (_STRIP_ROWS, part_rows)):
            values[tag] = _longs([number], order)
        values[sizes] = _longs([len(each) for each in found], order)
        values[starts] = _longs([0] * len(found), order)
        head = 8 + 2 + 12 * len(values) + 4
        beyond = head + sum(len(value) for _, _, value in values.values() if len(value) > 4)
        places, at = [], beyond
        for each in found:
            places.append(at)
            at += len(each)
        values[starts] = _longs(places, order)
        return b"".join((*_directory(values, head, order), *found))


def _layout(page: Directory, tiff: Tiff, *, is_plain: bool) -> _Layout | None:
    frame, is_tiled = tiff.stored, _TILES in page.entries
    colours = page.number(_COLOURS, 1)
    bits = page.numbers(_BITS) or (1,)
    if len(set(bits)) != 1 or len(bits) not in {1, colours} or is_tiled == (_STRIPS in page.entries):
        return None
    planes = colours if tiff.in_planes else 1
    wide, rows = tiff.tile.width if is_tiled else frame.width, tiff.tile.height if is_tiled else frame.height
    if not is_tiled:
        rows = min(page.number(_STRIP_ROWS, frame.height), frame.height)
    if not (wide and rows):
        return None
    row_bytes = -(-wide * bits[0] * (1 if tiff.in_planes else colours) // 8)
    starts = page.numbers(_TILES if is_tiled else _STRIPS)
    sizes = page.numbers(_TILE_BYTES if is_tiled else _STRIP_BYTES)
    if is_plain:  # how many bytes they have follows from the samples, and the reading library goes by that
        sizes = (rows * row_bytes,) * len(starts) if is_tiled else ()
    across = -(-frame.width // wide)
    layout = _Layout(frame.width, frame.height, rows, across, planes, row_bytes, starts, sizes, is_tiled)
    needed = layout.down * across * planes
    if len(starts) != needed or (sizes and len(sizes) != needed):
        return None
    return None if any(size > 2 * rows * row_bytes + _ROOM for size in sizes) else layout


def _bytes(data: Data, at: int, size: int) -> bytes:
    if at + size > len(data):
        raise PortalError(ENDS_EARLY)
    return data[at : at + size]


_Value = tuple[int, int, bytes]
"""A tag's type, how many, and their bytes."""


def _value(page: Directory, tag: int) -> _Value:
    entry = page.entries[tag]
    if numbers := page.numbers(tag):
        return _longs(numbers, page.order) if entry.type != _SHORT else _shorts(numbers, page.order)
    return entry.type, entry.count, _bytes(page.data, entry.at, entry.size)


def _longs(numbers: Sequence[int], order: Order) -> _Value:
    return _LONG, len(numbers), b"".join(min(each, 0xFFFFFFFF).to_bytes(4, order) for each in numbers)


def _shorts(numbers: Sequence[int], order: Order) -> _Value:
    return _SHORT, len(numbers), b"".join(each.to_bytes(2, order) for each in numbers)


def _directory(values: dict[int, _Value], head: int, order: Order) -> Iterator[bytes]:
    """The start of a file: its only directory, and behind it the values that are too long to stand in it."""
    at, beyond = head, []

    def whole(number: int, size: int) -> bytes:
        return number.to_bytes(size, order)

    yield (b"II" if order == "little" else b"MM") + whole(42, 2) + whole(8, 4) + whole(len(values), 2)
    for tag, (kind, count, value) in sorted(values.items()):
        yield whole(tag, 2) + whole(kind, 2) + whole(count, 4)
        if len(value) > 4:
            yield whole(at, 4)
            at += len(value)
            beyond.append(value)
        else:
            yield value.ljust(4, b"\0")
    yield bytes(4)
    yield from beyond
