"""From one or two readings of a stage micrometer to micrometres per pixel, with the artefact's uncertainty in it."""

import math
from dataclasses import dataclass

import numpy as np

from portal.measure.graticule import Graticule
from portal.model.result import Basis, Term

SQUARE = 0.001 / math.sqrt(3)
"""Relative standard uncertainty of taking pixels for square: an assumption of ours, half-width 0.1 %, rectangular."""
APART_DEG = 45.0
"""Two readings give both axes only where their directions are so far apart."""


@dataclass(frozen=True, slots=True)
class PixelSize:
    """Micrometres per pixel of the stored frame, with standard uncertainties."""

    x_um: float
    y_um: float
    x_terms: tuple[Term, ...]
    y_terms: tuple[Term, ...]
    """What the uncertainty is made of, each in micrometres per pixel."""
    square: bool
    """Whether only one axis was read and the other is taken to be like it."""

    @property
    def u_x_um(self) -> float:
        """Standard uncertainty in x."""
        return math.hypot(*(each.u for each in self.x_terms))

    @property
    def u_y_um(self) -> float:
        """Standard uncertainty in y."""
        return math.hypot(*(each.u for each in self.y_terms))

    @property
    def relative_u(self) -> float:
        """The larger of both, relative."""
        return max(self.u_x_um / self.x_um, self.u_y_um / self.y_um)

    @property
    def largest(self) -> Term:
        """What limits the uncertainty: the largest term of the less sure axis."""
        x_counts = self.u_x_um / self.x_um >= self.u_y_um / self.y_um
        return max(self.x_terms if x_counts else self.y_terms, key=lambda each: each.u)


def pixel_size(first: Graticule, second: Graticule | None, *, pitch_um: float, artefact_u_um: float) -> PixelSize:
    """The size of a pixel by the divisions of one picture, or of two that are turned against each other.

    `artefact_u_um` is the standard uncertainty of the distance between the first and the last mark that were read.
    ValueError where the two directions are too near to each other.
    """
    if second is None:
        size = pitch_um / first.division_px
        read = _relative(first, pitch_um, artefact_u_um)
        beside = (*read, Term("square", SQUARE, Basis.RECTANGULAR))
        x, y = (read, beside) if _is_along_x(first) else (beside, read)
        return PixelSize(size, size, _times(size, x), _times(size, y), square=True)
    if _between(first.angle_deg, second.angle_deg) < APART_DEG:
        raise ValueError("both are turned alike")
    rows, sides = [], []
    for each in (first, second):
        angle = math.radians(each.angle_deg)
        rows.append([(each.division_px * math.cos(angle)) ** 2, (each.division_px * math.sin(angle)) ** 2])
        sides.append(pitch_um**2)
    x_um, y_um = (float(each) for each in np.sqrt(np.linalg.solve(np.array(rows), np.array(sides))))
    of_x, of_y = (first, second) if _is_along_x(first) else (second, first)
    x, y = (_relative(each, pitch_um, artefact_u_um) for each in (of_x, of_y))
    return PixelSize(x_um, y_um, _times(x_um, x), _times(y_um, y), square=False)


def _relative(read: Graticule, pitch_um: float, artefact_u_um: float) -> tuple[Term, ...]:
    """The budget of a division relative to it, the artefact's certificate included."""
    own = _times(1 / read.division_px, read.terms)
    return (*own, Term("certificate", artefact_u_um / (pitch_um * read.divisions)))


def _times(factor: float, terms: tuple[Term, ...]) -> tuple[Term, ...]:
    return tuple(Term(each.name, factor * each.u, each.distribution, each.dof) for each in terms)


def _is_along_x(read: Graticule) -> bool:
    return abs(math.cos(math.radians(read.angle_deg))) >= math.cos(math.pi / 4)


def _between(one: float, other: float) -> float:
    apart = abs(one - other) % 180
    return min(apart, 180 - apart)
