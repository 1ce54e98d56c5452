"""Straight lines between points of a curved outline leave something out: how much, from how the outline turns.

A side of length L along which a smooth curve turns by an angle a lies inside it by s = L a / 8 at its middle; it
leaves out an area of 2/3 L s and is shorter than the curve by L a² / 24 (circle segment, small angles). Whether the
points were set on a curve or mark a true polygon isn't known, a curve is likelier: all of it is added, and as much
either way stays in the budget, rectangular, so that none is possible too. From 50 degrees on a turn is a corner.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from portal.measure import assumed, ring
from portal.measure.budget import rectangular
from portal.measure.sketch import Array
from portal.model.result import Basis, Term


@dataclass(frozen=True, slots=True)
class Sides:
    """Sides of a closed outline, each from its point to the next, and the turn at each point; all of shape (n,).

    `turns` in radians, positive where the outline is convex; `curved` where a turn may belong to a curve.
    """

    lengths: Array
    units: Array
    turns: Array

    @staticmethod
    def of(um: Array, *, clockwise: float) -> "Sides":
        """The sides of an outline of shape (n, 2); `clockwise` is 1 where it runs from x to y, else -1."""
        steps = ring.following(um) - um
        lengths = np.hypot(steps[:, 0], steps[:, 1])
        units = steps / lengths[:, None]
        before = ring.before(units)
        sine = before[:, 0] * units[:, 1] - before[:, 1] * units[:, 0]
        return Sides(lengths, units, clockwise * np.arctan2(sine, (before * units).sum(axis=1)))

    @property
    def curved(self) -> npt.NDArray[np.bool_]:
        """Whether the turn at each point is below that of a corner."""
        below: npt.NDArray[np.bool_] = np.abs(self.turns) < np.radians(assumed.CORNER_DEG)
        return below

    @property
    def outward(self) -> float:
        """How much longer the way around gets for each µm that the outline grows by on all sides.

        2 pi for a smooth one; at a corner that turns by t the sides grow by 2 tan(t/2), up to a turn of 120 degrees.
        """
        widest = np.radians(120)
        return max(2 * np.pi, float(2 * np.tan(np.clip(self.turns, -widest, widest) / 2).sum()))

    @property
    def bends(self) -> Array:
        """How far a curve would turn along each side: the mean turn of those of its ends that are no corners."""
        turns, counts = np.where(self.curved, self.turns, 0.0), self.curved.astype(np.float64)
        return (turns + ring.following(turns)) / np.maximum(counts + ring.following(counts), 1.0)


def left_out_area(sides: Sides) -> float:
    """Area between the outline and a curve through its points, µm²; negative where it is hollow."""
    return float((sides.lengths**2 * sides.bends).sum()) / 12


def left_out_length(sides: Sides, *, across_um: float) -> float:
    """How much longer a curve through the points is, µm; `across_um` is the pointing, which makes turns of its own."""
    bends = sides.bends**2 - (across_um / sides.lengths) ** 2
    return max(0.0, float((sides.lengths * bends).sum()) / 24)


def left_out_beyond(sides: Sides, point: int, direction: Array) -> float:
    """How far a curve through the points reaches beyond one of them along a unit vector that points outwards, µm.

    The curve turns evenly round the point; it is farthest out where its tangent lies across the direction, at most
    half of the point's turn away.
    """
    turn = abs(float(sides.turns[point]))
    if turn == 0 or not sides.curved[point]:
        return 0.0
    tangent = sides.units[point] + sides.units[point - 1]
    tangent = tangent / float(np.hypot(*tangent))
    away = min(abs(float(np.arcsin(np.clip(tangent @ direction, -1, 1)))), turn / 2)
    reach = float(sides.lengths[point] + sides.lengths[point - 1]) / 2
    return reach / turn * away**2 / 2


def added(left_out: float) -> tuple[float, tuple[Term, ...]]:
    """The correction to take off (negative: something is added) and the term of what stays open."""
    return -left_out, (Term("chords", rectangular(left_out), Basis.RECTANGULAR),)
