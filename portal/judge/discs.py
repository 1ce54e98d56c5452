"""The worst circle: the most points that any circle of a given diameter can hold."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]

CLOSED = 1e-9
"""A circle holds what lies on it: points up to this share of its radius outside count as on it."""
_LAST_BITS = 1e-12
_SMALL = 0.01
"""Cells of that share of the radius are small: few of their points are doubtful, unless many lie on one circle."""
_FEW = 16
"""With no more doubtful points than these a cell isn't quartered further: the places where circles around two of them
cross are looked at one by one."""
_AT_ONCE = 40_000
"""Pairs of a cell and a point that are looked at together: few enough to stay in a processor's cache."""
_CHILDREN = ((-0.25, -0.25), (-0.25, 0.25), (0.25, -0.25), (0.25, 0.25))


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle with the points it holds, by index, in rising order."""

    centre: tuple[float, float]
    members: tuple[int, ...]

    @property
    def count(self) -> int:
        """How many it holds."""
        return len(self.members)


def fullest(points: Array, diameter: float) -> Disc:
    """A circle of that diameter that holds as many points as any can; those on it count.

    Points have shape (n, 2), in the unit of the diameter, which is positive. Exact to one part in 10⁹ of the radius.
    Branch and bound over the place of the centre: square cells, each with what every circle centred in it holds and
    what some may hold, are quartered while they may beat the best circle found. Where few points are doubtful in small
    cells, the centres that matter are where circles of that diameter around two of those points cross: what a fullest
    circle holds it still holds when moved until two points lie on it. About O(n log n) for scattered points. Of several
    circles that hold as many, the same one is given each time.

    >>> fullest(np.array([[0.0, 0.0], [2.0, 0.0], [9.0, 0.0]]), 2.0).members
    (0, 1)
    """
    if not (math.isfinite(diameter) and diameter > 0):
        raise ValueError("a circle's diameter is a positive length")
    if len(points) == 0:
        return Disc((0.0, 0.0), ())
    centre, reach = _search(_Places.of(points), diameter / 2 * (1 + CLOSED))
    away = np.hypot(points[:, 0] - centre[0], points[:, 1] - centre[1])
    inside = away <= reach + diameter * _LAST_BITS
    return Disc(centre, tuple(int(i) for i in np.flatnonzero(inside)))


@dataclass(frozen=True, slots=True)
class _Places:
    """Points of one place taken together: x, y and how many, each of shape (n,)."""

    x: Array
    y: Array
    weight: Array

    @staticmethod
    def of(points: Array) -> "_Places":
        order = np.lexsort((points[:, 1], points[:, 0]))
        x, y = points[order, 0], points[order, 1]
        new = np.ones(len(x), dtype=np.bool_)
        new[1:] = (np.diff(x) != 0) | (np.diff(y) != 0)
        first = np.flatnonzero(new)
        return _Places(x[first], y[first], np.diff(np.append(first, len(x))).astype(np.float64))


@dataclass(frozen=True, slots=True)
class _Cells:
    """Square cells for a circle's centre, shape (m,), and the points that some but not all such circles hold.

    `sure` is what every circle centred in the cell holds, `most` what any may hold. `cell` and `point` are pairs of
    indices, shape (k,), in the order of cells.
    """

    side: float
    x: Array
    y: Array
    sure: Array
    most: Array
    cell: Indices
    point: Indices

    def only(self, kept: npt.NDArray[np.bool_]) -> "_Cells":
        """Those cells, with their pairs."""
        number = np.cumsum(kept) - 1
        pairs = np.flatnonzero(kept.take(self.cell))
        return _Cells(
            self.side,
            self.x[kept],
            self.y[kept],
            self.sure[kept],
            self.most[kept],
            number.take(self.cell.take(pairs)),
            self.point.take(pairs),
        )

    @property
    def doubtful(self) -> Indices:
        """How many points of each cell some circles hold and others don't."""
        return np.bincount(self.cell, minlength=len(self.x))

    def parted(self) -> "Iterator[_Cells]":
        """Few enough to be looked at together, the least promising first."""
        if len(self.cell) <= _AT_ONCE:
            yield self
            return
        order = np.argsort(-self.most, kind="stable")
        turn = np.empty(len(order), dtype=np.intp)
        turn[order] = np.cumsum(self.doubtful[order]) // _AT_ONCE
        for number in range(int(turn.max()), -1, -1):
            kept = turn == number
            if kept.any():
                yield self.only(kept)


@dataclass(slots=True)
class _Best:
    """The best circle so far: how much it holds, its centre, and how far from it what it holds may lie."""

    held: float
    centre: tuple[float, float]
    reach: float

    def offer(self, x: Array, y: Array, held: Array, reach: float) -> None:
        """Take the best of those circles where it is better."""
        if len(held) == 0:
            return
        i = int(held.argmax())
        if held[i] > self.held:
            self.held, self.centre, self.reach = float(held[i]), (float(x[i]), float(y[i])), reach


def _search(places: _Places, radius: float) -> tuple[tuple[float, float], float]:
    """The centre of the best circle, and how far from it what it holds may lie."""
    heaviest = int(places.weight.argmax())
    best = _Best(float(places.weight[heaviest]), (float(places.x[heaviest]), float(places.y[heaviest])), radius)
    stack = [_whole(places, radius)]
    while stack:
        cells = stack.pop()
        cells = cells.only(cells.most > best.held)
        if cells.side < radius * _SMALL:
            few = cells.doubtful <= _FEW
            best.offer(*_crossings(cells.only(few), places, radius), reach=radius)
            cells = cells.only(~few & (cells.most > best.held))
        if len(cells.x) == 0:
            continue
        quarters, held = _quartered(cells, places, radius)
        best.offer(quarters.x, quarters.y, held, radius)
        half_diagonal = quarters.side / math.sqrt(2)
        if half_diagonal > radius * CLOSED:
            stack.extend(quarters.parted())
        else:
            best.offer(quarters.x, quarters.y, quarters.most, radius + half_diagonal)
    return best.centre, best.reach


def _crossings(cells: _Cells, places: _Places, radius: float) -> tuple[Array, Array, Array]:
    """Where circles around two doubtful points of a cell cross within it: x, y, and what a circle centred there holds.

    All arrays of shape (v,).
    """
    m, size = len(cells.x), cells.doubtful
    order = np.argsort(cells.cell, kind="stable")
    row = cells.cell[order]
    column = np.arange(len(row)) - np.repeat(np.cumsum(size) - size, size)
    x, y, weight = np.full((m, _FEW), np.inf), np.full((m, _FEW), np.inf), np.zeros((m, _FEW))
    point = cells.point[order]
    x[row, column], y[row, column], weight[row, column] = places.x[point], places.y[point], places.weight[point]
    one, other = np.triu_indices(int(size.max(initial=0)), 1)
    cell, pair = np.nonzero(np.isfinite(x[:, other]))
    first, second = one[pair], other[pair]
    ends = np.stack([x[cell, first], y[cell, first]]), np.stack([x[cell, second], y[cell, second]])
    at, cell = _centres(*ends, cell, radius)
    edge = cells.side / 2 + radius * CLOSED
    within = np.flatnonzero((np.abs(at[0] - cells.x[cell]) <= edge) & (np.abs(at[1] - cells.y[cell]) <= edge))
    cell, at = cell.take(within), at[:, within]
    away = np.hypot(x[cell] - at[0][:, None], y[cell] - at[1][:, None])
    held = cells.sure[cell] + (weight[cell] * (away <= radius * (1 + _LAST_BITS))).sum(axis=1)
    return at[0], at[1], held


def _centres(one: Array, other: Array, cell: Indices, radius: float) -> tuple[Array, Indices]:
    """Both centres from which two points lie a radius away, shape (2, v), each with its cell.

    `one` and `other` have shape (2, k); two that lie farther apart than a diameter have none.
    """
    half = np.hypot(*(other - one)) / 2
    near = np.flatnonzero(half <= radius * (1 + _LAST_BITS))
    one, other, half = one[:, near], other[:, near], half[near]
    rise = np.sqrt(np.maximum(0.0, radius**2 - half**2)) / (2 * half)
    middle, off = (one + other) / 2, rise * np.stack([one[1] - other[1], other[0] - one[0]])
    return np.concatenate([middle + off, middle - off], axis=1), np.concatenate([cell[near], cell[near]])


def _whole(places: _Places, radius: float) -> _Cells:
    """One cell that holds every centre worth a look: a centre beside all points is no better than one among them."""
    low = np.array([places.x.min(), places.y.min()])
    high = np.array([places.x.max(), places.y.max()])
    middle, n = (low + high) / 2, len(places.x)
    return _Cells(
        side=max(float((high - low).max()), radius),
        x=middle[:1],
        y=middle[1:],
        sure=np.zeros(1),
        most=np.array([places.weight.sum()]),
        cell=np.zeros(n, dtype=np.intp),
        point=np.arange(n, dtype=np.intp),
    )


def _quartered(cells: _Cells, places: _Places, radius: float) -> tuple[_Cells, Array]:
    """Each cell's four quarters, and how much the circle around the middle of each holds."""
    m, half_diagonal = len(cells.x), cells.side / 2 / math.sqrt(2)
    dx = places.x.take(cells.point) - cells.x.take(cells.cell)
    dy = places.y.take(cells.point) - cells.y.take(cells.cell)
    weight = places.weight.take(cells.point)
    # A cell wider than the circle has nothing that every circle holds, not even a point in its middle.
    inner = (radius - half_diagonal) ** 2 if radius >= half_diagonal else -1.0
    outer = (radius + half_diagonal) ** 2
    made = []
    for number, (right, down) in enumerate(_CHILDREN):
        squared = (dx - right * cells.side) ** 2 + (dy - down * cells.side) ** 2
        here = _sum(squared <= radius * radius, cells.cell, weight, m)
        sure = _sum(squared <= inner, cells.cell, weight, m)
        pairs = np.flatnonzero((squared > inner) & (squared <= outer))
        cell = cells.cell.take(pairs)
        doubtful = np.bincount(cell, weight.take(pairs), m)
        made.append((here, sure, doubtful, cell + number * m, cells.point.take(pairs)))
    here, sure, doubtful, cell, point = (np.concatenate(parts) for parts in zip(*made, strict=True))
    before = np.tile(cells.sure, 4)
    quarters = _Cells(
        side=cells.side / 2,
        x=np.concatenate([cells.x + right * cells.side for right, _ in _CHILDREN]),
        y=np.concatenate([cells.y + down * cells.side for _, down in _CHILDREN]),
        sure=before + sure,
        most=before + sure + doubtful,
        cell=cell,
        point=point,
    )
    return quarters, before + here


def _sum(chosen: npt.NDArray[np.bool_], cell: Indices, weight: Array, cells: int) -> Array:
    """The weight of the chosen pairs by cell."""
    pairs = np.flatnonzero(chosen)
    total: Array = np.bincount(cell.take(pairs), weight.take(pairs), cells).astype(np.float64)
    return total
