"""How much the scale differs over the field: divisions of a stage micrometer near the middle and towards the corners.

A lens that distorts shows the same division longer or shorter away from the middle; a stage that leans does so from
side to side. Both are seen where marks are read piece by piece: each piece's own division against the scale.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from portal.measure.calibrate import PixelSize
from portal.measure.graticule import LEAST_MARKS, Graticule, Mark, slope_u

PIECES = 5
"""A picture's marks are read in at most so many pieces."""
ENOUGH = 8
"""Marks of a piece where there are enough for several."""
CORNER = 0.8
"""Marks that reach so far, of the way from the middle to a corner, say something of the corners."""
SHARE = 1 / 3
"""A term that is smaller than this share of the rest changes their sum by at most a twentieth: it may be left out."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A few marks beside each other."""

    x: float
    y: float
    """Where in the picture their middle is, in pixels."""
    difference: float
    """By how much of it one division there is longer than the scale says, negative where it is shorter."""
    u: float
    """Standard uncertainty of that, of reading the marks alone."""


@dataclass(frozen=True, slots=True)
class Distortion:
    """What all pieces of all pictures of one setting come to."""

    pieces: tuple[Piece, ...]
    reach: float
    """How far the outermost mark lies, as a share of the way from the picture's middle to its corner."""

    @property
    def most(self) -> Piece:
        """The piece that differs most."""
        return max(self.pieces, key=lambda each: abs(each.difference))

    @property
    def half_width(self) -> float:
        """The largest difference of the scale over the field that was looked at."""
        return abs(self.most.difference)

    @property
    def reaches_corners(self) -> bool:
        """Whether marks were read that lie near to a corner."""
        return self.reach >= CORNER

    def is_seen(self) -> bool:
        """Whether the largest difference is more than the reading of marks lets expect."""
        return self.half_width > 2 * self.most.u

    def exceeds(self, stated: float | None, size: PixelSize) -> bool:
        """Whether it is seen, and more than a budget has for it: what the setting states, or what may be left out.

        `stated` is a half-width, relative. Without one, a third of the scale's own uncertainty may be left out.
        """
        share = max(stated or 0.0, SHARE * size.relative_u * math.sqrt(3))
        return self.is_seen() and self.half_width > share


def distortion(
    readings: Iterable[Graticule], size: PixelSize, *, pitch_um: float, frame: tuple[int, int]
) -> Distortion:
    """The scale over the field by every picture of the same setting that was read; `frame` is width and height, px."""
    width, height = frame
    pieces, far = [], 0.0
    for reading in readings:
        pieces += list(_pieces(reading, size, pitch_um))
        far = max(far, *(math.hypot(each.x - width / 2, each.y - height / 2) for each in reading.places))
    return Distortion(tuple(pieces), far / math.hypot(width / 2, height / 2))


def _pieces(reading: Graticule, size: PixelSize, pitch_um: float) -> Iterator[Piece]:
    count = max(1, min(PIECES, len(reading.places) // ENOUGH))
    angle = math.radians(reading.angle_deg)
    per_px = math.hypot(size.x_um * math.cos(angle), size.y_um * math.sin(angle))
    edges = np.linspace(0, len(reading.places), count + 1).round().astype(int)
    for start, end in zip(edges[:-1], edges[1:], strict=True):
        marks = reading.places[start:end]
        if len(marks) >= LEAST_MARKS:
            yield _piece(marks, reading.division_px, per_px, pitch_um)


def _piece(marks: tuple[Mark, ...], division_px: float, per_px: float, pitch_um: float) -> Piece:
    numbers = np.array([each.number for each in marks], dtype=np.float64)
    left = np.array([each.left_px for each in marks])
    slope, start = np.polyfit(numbers, left, 1)
    scatter = float(np.sqrt(((left - slope * numbers - start) ** 2).sum() / (len(marks) - 2)))
    own = division_px + float(slope)
    return Piece(
        float(np.mean([each.x for each in marks])),
        float(np.mean([each.y for each in marks])),
        own * per_px / pitch_um - 1,
        slope_u(len(marks), scatter / own),
    )
