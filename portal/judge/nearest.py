"""The smallest distance from edge to edge between any two pieces drawn on one picture."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from portal.model.countable import Spot

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawn piece: a middle, and corners of shape (n, 2); one corner is a point, two or more a line or an outline."""

    middle: Spot
    corners: Array
    closed: bool


@dataclass(frozen=True, slots=True)
class Gap:
    """Two pieces by index, the smaller first, and the distance between their edges; 0 where they touch or overlap.

    `ends` are the places on their edges between which it lies; both the same where they touch or overlap.
    """

    first: int
    second: int
    distance: float
    ends: tuple[Spot, Spot]


def nearest(pieces: Sequence[Drawn]) -> Gap | None:
    """The two pieces that lie nearest to each other, edge to edge; None where there are fewer than two.

    Exact for points, lines of straight parts and outlines with straight sides. Drawns are compared in the order of
    their middles along the wider axis, so that only those are looked at whose middles lie near each other there:
    O(n log n) for pieces that are scattered, O(n²) where all lie side by side.

    >>> near, far = np.array([[0.0, 0.0]]), np.array([[3.0, 4.0]])
    >>> nearest([Drawn((0.0, 0.0), near, False), Drawn((3.0, 4.0), far, False)])
    Gap(first=0, second=1, distance=5.0, ends=((0.0, 0.0), (3.0, 4.0)))
    """
    if len(pieces) < 2:
        return None
    best = _gap(pieces, 0, 1)
    for least, i, j in _candidates(pieces, _Sorted.of(pieces)):
        if least >= best.distance:
            break
        best = min(best, _gap(pieces, i, j), key=lambda gap: (gap.distance, gap.first, gap.second))
    return best


def _gap(pieces: Sequence[Drawn], i: int, j: int) -> Gap:
    first, second = min(i, j), max(i, j)
    return Gap(first, second, *between(pieces[first], pieces[second]))


class Between(NamedTuple):
    """A distance and the two places, one on each edge, between which it lies."""

    distance: float
    ends: tuple[Spot, Spot]


def between(one: Drawn, other: Drawn) -> Between:
    """The distance between the edges of two pieces; 0 where they touch, cross, or one lies within the other."""
    if _holds(one, other) or _holds(other, one) or _cross(one, other):
        inner = one if _holds(other, one) else other
        spot = (float(inner.corners[0, 0]), float(inner.corners[0, 1]))
        return Between(0.0, (spot, spot))
    there, back = _from_corners(one, other), _from_corners(other, one)
    return there if there.distance <= back.distance else Between(back.distance, (back.ends[1], back.ends[0]))


@dataclass(frozen=True, slots=True)
class _Sorted:
    """Drawns in the order of their middles along the wider axis; all arrays of shape (n,).

    `order` is the original index, `reach` how far a piece's farthest corner lies from its middle, `x` and `y` its
    first corner.
    """

    order: Indices
    along: Array
    across: Array
    reach: Array
    x: Array
    y: Array

    @staticmethod
    def of(pieces: Sequence[Drawn]) -> "_Sorted":
        middles = np.array([piece.middle for piece in pieces])
        wider, other = (0, 1) if np.ptp(middles[:, 0]) >= np.ptp(middles[:, 1]) else (1, 0)
        order = np.lexsort((middles[:, other], middles[:, wider]))
        sizes = np.array([len(piece.corners) for piece in pieces])
        corners, starts = np.concatenate([piece.corners for piece in pieces]), np.cumsum(sizes) - sizes
        away = corners - np.repeat(middles, sizes, axis=0)
        reach, first = np.maximum.reduceat(np.hypot(away[:, 0], away[:, 1]), starts), corners[starts]
        return _Sorted(
            order, middles[order, wider], middles[order, other], reach[order], first[order, 0], first[order, 1]
        )


def _candidates(pieces: Sequence[Drawn], placed: _Sorted) -> Iterator[tuple[float, int, int]]:
    """Pairs that may be the nearest, by original index, with what they are at least apart; from the nearest on."""
    found, limit, widest = [], np.inf, 2 * float(placed.reach.max())
    for step in range(1, len(placed.along)):
        gap = placed.along[step:] - placed.along[:-step]
        if float(gap.min()) > limit + widest:
            break
        i = np.flatnonzero(gap - placed.reach[step:] - placed.reach[:-step] <= limit)
        if len(i) == 0:
            continue
        j = i + step
        least = np.hypot(gap.take(i), placed.across.take(j) - placed.across.take(i))
        least -= placed.reach.take(i) + placed.reach.take(j)
        most = np.hypot(placed.x.take(j) - placed.x.take(i), placed.y.take(j) - placed.y.take(i))
        limit, deepest = min(limit, float(most.min())), int(least.argmin())
        first, second = placed.order.take(i), placed.order.take(j)
        if least[deepest] < 0:
            limit = min(limit, _gap(pieces, int(first[deepest]), int(second[deepest])).distance)
        near = np.flatnonzero(least <= limit)
        found.append((least.take(near), first.take(near), second.take(near)))
        if limit == 0:
            break
    least, first, second = (np.concatenate(parts) for parts in zip(*found, strict=True))
    order = np.lexsort((second, first, least))
    order = order[: int(np.searchsorted(least[order], limit, side="right"))]
    yield from zip(least[order].tolist(), first[order].tolist(), second[order].tolist(), strict=True)


def _sides(piece: Drawn) -> tuple[Array, Array]:
    """Starts and ends of the straight parts; a point is one part without length."""
    if len(piece.corners) == 1:
        return piece.corners, piece.corners
    if piece.closed:
        return piece.corners, np.concatenate((piece.corners[1:], piece.corners[:1]))
    return piece.corners[:-1], piece.corners[1:]


def _from_corners(one: Drawn, other: Drawn) -> Between:
    """The smallest distance from a corner of one to a side of the other, with both places."""
    start, end = _sides(other)
    side = end - start
    length = (side**2).sum(axis=1)
    to = one.corners[:, None, :] - start[None, :, :]
    share = np.divide((to * side).sum(axis=2), length, out=np.zeros(to.shape[:2]), where=length > 0)
    rest = to - np.clip(share, 0.0, 1.0)[:, :, None] * side
    away = np.hypot(rest[:, :, 0], rest[:, :, 1])
    i, j = divmod(int(away.argmin()), away.shape[1])
    (x, y), (dx, dy) = one.corners[i].tolist(), rest[i, j].tolist()
    return Between(float(away[i, j]), ((x, y), (x - dx, y - dy)))


def _holds(one: Drawn, other: Drawn) -> bool:
    """Whether an outline holds the first corner of another piece (even-odd rule)."""
    if not one.closed or len(one.corners) < 3:
        return False
    x, y = other.corners[0]
    start, end = _sides(one)
    spans = (start[:, 1] > y) != (end[:, 1] > y)
    rise = np.where(spans, end[:, 1] - start[:, 1], 1.0)
    at = start[:, 0] + (y - start[:, 1]) / rise * (end[:, 0] - start[:, 0])
    return bool(np.count_nonzero(spans & (at > x)) % 2)


def _cross(one: Drawn, other: Drawn) -> bool:
    """Whether a side of one crosses a side of the other."""
    (a, b), (c, d) = _sides(one), _sides(other)
    a, b, c, d = a[:, None, :], b[:, None, :], c[None, :, :], d[None, :, :]
    return bool(np.any((_turn(a, b, c) * _turn(a, b, d) < 0) & (_turn(c, d, a) * _turn(c, d, b) < 0)))


def _turn(a: Array, b: Array, c: Array) -> Array:
    product: Array = (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (
        c[..., 0] - a[..., 0]
    )
    return product
