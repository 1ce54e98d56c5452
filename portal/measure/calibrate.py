"""From one or two readings of a stage micrometer to micrometres per pixel, with the artefact's uncertainty in it."""

import math
from dataclasses import dataclass

import numpy as np

from portal.measure.graticule import Graticule

SQUARE = 0.001 / math.sqrt(3)
"""Relative standard uncertainty of taking pixels for square: an assumption of ours, half-width 0.1 %, rectangular."""
APART_DEG = 45.0
"""Two readings give both axes only where their directions are so far apart."""


@dataclass(frozen=True, slots=True)
class PixelSize:
    """Micrometres per pixel of the stored frame, with standard uncertainties."""

    x_um: float
    y_um: float
    u_x_um: float
    u_y_um: float
    square: bool
    """Whether only one axis was read and the other is taken to be like it."""


def pixel_size(first: Graticule, second: Graticule | None, *, pitch_um: float, artefact_u_um: float) -> PixelSize:
    """The size of a pixel by the divisions of one picture, or of two that are turned against each other.

    `artefact_u_um` is the standard uncertainty of the distance between the first and the last mark that were read.
    ValueError where the two directions are too near to each other.
    """
    size, u = _along(first, pitch_um, artefact_u_um)
    if second is None:
        beside = math.hypot(u, SQUARE * size)
        is_x = abs(math.cos(math.radians(first.angle_deg))) >= math.cos(math.pi / 4)
        return PixelSize(size, size, u if is_x else beside, beside if is_x else u, square=True)
    if _between(first.angle_deg, second.angle_deg) < APART_DEG:
        raise ValueError("both are turned alike")
    other, u_other = _along(second, pitch_um, artefact_u_um)
    rows, sides = [], []
    for each in (first, second):
        angle = math.radians(each.angle_deg)
        rows.append([(each.division_px * math.cos(angle)) ** 2, (each.division_px * math.sin(angle)) ** 2])
        sides.append(pitch_um**2)
    x, y = np.sqrt(np.linalg.solve(np.array(rows), np.array(sides)))
    along_x, along_y = (u / size, u_other / other)
    if abs(math.cos(math.radians(first.angle_deg))) < math.cos(math.pi / 4):
        along_x, along_y = along_y, along_x
    return PixelSize(float(x), float(y), float(x) * along_x, float(y) * along_y, square=False)


def _along(read: Graticule, pitch_um: float, artefact_u_um: float) -> tuple[float, float]:
    size = pitch_um / read.division_px
    whole_um = pitch_um * (read.marks - 1)
    return size, size * math.hypot(read.u_px / read.division_px, artefact_u_um / whole_um)


def _between(one: float, other: float) -> float:
    apart = abs(one - other) % 180
    return min(apart, 180 - apart)
