"""Lines and circles fitted to points by orthogonal least squares, with the sensitivity of a distance to each point."""

from dataclasses import dataclass

import numpy as np

from portal.measure.sketch import Array, NotDrawn

_ROUNDS = 50
_CONVERGED = 1e-12


@dataclass(frozen=True, slots=True)
class Line:
    """A line through `centre` along the unit vector `direction`, which points from the first point to the last."""

    base: Array
    centre: Array
    direction: Array
    parameters = 2

    @property
    def normal(self) -> Array:
        """The left hand of whoever walks along it, on a screen whose y points down."""
        return np.array([self.direction[1], -self.direction[0]])

    def residuals(self) -> Array:
        """Signed distances of the base's points, shape (n,)."""
        return (self.base - self.centre) @ self.normal

    def distance(self, tip: Array) -> float:
        """Signed distance of a point: left of the walk is positive."""
        return float((tip - self.centre) @ self.normal)

    def away(self, tip: Array) -> Array:
        """Unit vector at that point in which the distance grows."""
        return self.normal

    def by_base(self, tip: Array) -> Array:
        """The distance's derivative by each of the base's points, shape (n, 2).

        First order, exact: the line turns by (sum of t n·e + r d·e) / (Stt - Srr) where the points shift by e.
        """
        along, across = (self.base - self.centre) @ self.direction, self.residuals()
        lever = float((tip - self.centre) @ self.direction)
        turn = np.outer(along, self.normal) + np.outer(across, self.direction)
        return -self.normal / len(self.base) - lever * turn / float((along**2).sum() - (across**2).sum())


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; `outside` is 1 where the left of the walk is its outside, else -1."""

    base: Array
    centre: Array
    radius: float
    outside: float
    parameters = 3

    def residuals(self) -> Array:
        """Signed distances of the base's points, shape (n,)."""
        spokes = self.base - self.centre
        return self.outside * (np.hypot(spokes[:, 0], spokes[:, 1]) - self.radius)

    def distance(self, tip: Array) -> float:
        """Signed distance of a point: left of the walk is positive."""
        return self.outside * (float(np.hypot(*(tip - self.centre))) - self.radius)

    def away(self, tip: Array) -> Array:
        """Unit vector at that point in which the distance grows."""
        spoke = tip - self.centre
        reach = float(np.hypot(*spoke))
        if reach < 1e-6 * self.radius:
            raise NotDrawn("no-direction")
        return self.outside * spoke / reach

    def by_base(self, tip: Array) -> Array:
        """The distance's derivative by each of the base's points, shape (n, 2); first order at small residuals."""
        spokes = _units(self.base - self.centre)
        design = np.column_stack([spokes, np.ones(len(spokes))])
        at_tip = np.append(self.outside * self.away(tip), 1.0)
        weights = design @ np.linalg.solve(design.T @ design, at_tip)
        return -self.outside * weights[:, None] * spokes


Fit = Line | Circle


def fit_line(base: Array) -> Line | None:
    """The line of least orthogonal distances through points of shape (n, 2); None where they lie as wide as long."""
    centre = base.mean(axis=0)
    _, spread, axes = np.linalg.svd(base - centre, full_matrices=False)
    if spread[0] == 0 or spread[0] - spread[1] < 1e-9 * spread[0]:
        return None
    direction: Array = axes[0]
    walked = float((base[-1] - base[0]) @ direction)
    return Line(base, centre, direction if walked >= 0 else -direction)


def fit_circle(base: Array) -> Circle | None:
    """The circle of least orthogonal distances; None where none is found, as for points on a line.

    Starts from the algebraic circle (least squares of x² + y² + ax + by + c) and steps by Gauss and Newton.
    """
    middle, size = base.mean(axis=0), float(base.std())
    if size == 0:
        return None
    scaled = (base - middle) / size
    start = _algebraic(scaled)
    found = None if start is None else _geometric(scaled, start)
    if found is None:
        return None
    centre = middle + size * found[:2]
    spokes = base - centre
    turn = float((spokes[:-1, 0] * spokes[1:, 1] - spokes[:-1, 1] * spokes[1:, 0]).sum())
    return Circle(base, centre, size * float(found[2]), 1.0 if turn >= 0 else -1.0)


def _algebraic(points: Array) -> Array | None:
    design = np.column_stack([points, np.ones(len(points))])
    solved, _, rank, _ = np.linalg.lstsq(design, (points**2).sum(axis=1), rcond=1e-10)
    if rank < 3:
        return None
    centre = solved[:2] / 2
    return np.append(centre, np.sqrt(solved[2] + centre @ centre))


def _geometric(points: Array, start: Array) -> Array | None:
    found = start
    for _ in range(_ROUNDS):
        spokes = points - found[:2]
        reach = np.hypot(spokes[:, 0], spokes[:, 1])
        if not reach.all():
            return None
        design = np.column_stack([spokes / reach[:, None], np.ones(len(points))])
        step, _, rank, _ = np.linalg.lstsq(design, reach - found[2], rcond=1e-12)
        if rank < 3:
            return None
        found = found + step
        if float(np.abs(step).max()) < _CONVERGED * float(np.abs(found).max()):
            return found if found[2] > 0 else None
    return None


def _units(vectors: Array) -> Array:
    return vectors / np.hypot(vectors[:, 0], vectors[:, 1])[:, None]
