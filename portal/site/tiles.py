"""In which sizes a picture's page shows it, and which of them are so large that they come in tiles.

A browser decodes a picture as a whole before it shows any of it, and of a very large one again at each move, which
takes seconds. So what has more than `LARGE` pixels comes in squares, of which the page asks for those in view; of a
picture that large the whole file stays behind a link. Nothing else changes for smaller ones.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.scalars import Frame
from portal.pictures.derive import Crop, Want, Whole

LARGE = 24_000_000
"""Pixels that a browser still decodes within some tenths of a second."""
TILE = 1024
"""Pixels of a tile along each side, but for the last ones of a row and a column."""

_LEAST_WIDTH = 700
_FITTED_WIDTH = 1400
"""Of the smallest size of a picture that comes in tiles, so that it fills a page and no more."""


@dataclass(frozen=True, slots=True)
class Size:
    """A picture divided by a whole number: one file, or tiles row by row."""

    divide: int
    tiles: tuple[Crop, ...] = ()

    def wants(self) -> tuple[Want, ...]:
        """The derived files it takes."""
        return self.tiles or (Whole(self.divide),)


def sizes(frame: Frame) -> tuple[Size, ...]:
    """The sizes that are worth their own files, from small to full."""
    if not is_large(frame):
        return (*(Size(divide) for divide in (4, 2) if frame.width // divide >= _LEAST_WIDTH), Size(1))
    smaller = (8, 4, 2) if frame.width // 8 >= _FITTED_WIDTH else (4, 2)
    return tuple(Size(each, tuple(_tiles(frame, each)) if is_large(frame, each) else ()) for each in (*smaller, 1))


def is_large(frame: Frame, divide: int = 1) -> bool:
    """Whether a picture of that frame, divided, comes in tiles."""
    return frame.width * frame.height > LARGE * divide * divide


def _tiles(frame: Frame, divide: int) -> Iterator[Crop]:
    side = TILE * divide
    for top in range(0, frame.height, side):
        for left in range(0, frame.width, side):
            yield Crop((left, top, min(left + side, frame.width), min(top + side, frame.height)), divide)
