"""Deep colours of a TIFF that has each by itself: the planes are read as greys side by side, some rows at a time.

The reading library doesn't know them. Tags: TIFF revision 6.0, PlanarConfiguration 2 and ExtraSamples.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image

from portal.pictures.deep import Deep, Shown, bands
from portal.pictures.depth import U8, Ends, Range
from portal.pictures.kinds import AS_WHAT, Kind
from portal.pictures.opening import open_as
from portal.pictures.parts import Parts, parts_of
from portal.pictures.tiff import Tiff
from portal.problem import PortalError

_PHOTOMETRIC, _COLOURS, _EXTRA, _PROFILE = 262, 277, 338, 34675
_RGB, _CLEAR, _UNSAID = 2, 2, 0


def deep_planes(tiff: Tiff) -> Deep:
    """Colours of red, green, blue, with transparency or without; PortalError of any other."""
    page = tiff.directory
    extra = page.numbers(_EXTRA)
    parts = parts_of(tiff, also_small=True)
    is_clear = extra == (_CLEAR,)
    known = page.number(_PHOTOMETRIC, 0) == _RGB and (is_clear or set(extra) <= {_UNSAID})
    if parts is None or not known or page.number(_COLOURS, 1) != 3 + len(extra):
        raise PortalError("a TIFF of more than 8 bits with each ink by itself, which isn't read", hint=AS_WHAT)
    colours = [parts.plane(number) for number in range(3)]
    clear = parts.plane(3) if is_clear else None
    entry = page.entries.get(_PROFILE)
    icc = page.data[entry.at : entry.at + entry.size] if entry else None
    size = (tiff.stored.width, tiff.stored.height)

    def uppers() -> Iterator[Image.Image]:
        for plane in colours:
            yield from _rows(plane)

    def rows() -> Iterator[Shown]:
        every = zip(*(_rows(plane) for plane in (*colours, *([clear] if clear else []))), strict=True)
        yield from (_Planes(planes, tiff.bits) for planes in every)

    mode = next(_rows(colours[0])).mode
    return Deep(size, mode, tiff.bits, icc, white_is_zero=False, uppers=uppers, rows=rows)


def _rows(plane: Parts) -> Iterator[Image.Image]:
    for content in plane.files():
        image = open_as(Kind.TIFF, content)
        image.load()
        yield image


@dataclass(frozen=True, slots=True)
class _Planes:
    """Some rows of each colour, and of their transparency, which uses all bits."""

    planes: Sequence[Image.Image]
    bits: int

    def shown(self, by: Range, ends: Ends) -> Image.Image:
        """What is shown of them; the ends of their samples are noted on the way."""
        width, height = self.planes[0].size
        codes: U8 = np.empty((height, width, len(self.planes)), np.uint8)
        for number, plane in enumerate(self.planes):
            for top, values in bands(plane):
                if number < 3:
                    ends.take(values)
                    by.check(ends)
                own = by.codes(values) if number < 3 else values >> (self.bits - 8)
                codes[top : top + len(values), :, number] = own
        return Image.fromarray(codes)
