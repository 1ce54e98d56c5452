"""The convex hull of an outline and its callipers."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from portal.measure import ring
from portal.measure.sketch import Array, NotDrawn

Indices = npt.NDArray[np.intp]
_Corner = tuple[float, float, int]


@dataclass(frozen=True, slots=True)
class Calliper:
    """A distance between two parallel jaws.

    `weights` has shape (n,): the value is the weighted sum of the points' positions along `direction`, so that its
    gradient by the points is weights x direction. `ends` are the two ends of the distance, µm, the second one
    farther along `direction`; `jaws` are the points that lie there, by index.
    """

    value: float
    direction: Array
    weights: Array
    ends: tuple[Array, Array]
    jaws: tuple[int, int]

    @property
    def gradient(self) -> Array:
        """The value's derivative by each point, shape (n, 2)."""
        return self.weights[:, None] * self.direction


@dataclass(frozen=True, slots=True)
class Widths:
    """Widths of a hull across each of its sides; all arrays by side, shape (m,) or (m, 2).

    `opposite` is the hull's corner farthest from the side, `share` where its foot lies along the side (0 to 1 from
    the side's first corner to its second; outside that the width is no smallest one).
    """

    values: Array
    normals: Array
    opposite: Indices
    share: Array


def convex_hull(points: Array) -> Indices:
    """Indices of the hull's corners in the order of the turn from x to y, points on its sides left out.

    Andrew's monotone chain: O(n log n). Points have shape (n, 2).
    """
    order = np.lexsort((points[:, 1], points[:, 0]))
    listed = [(x, y, i) for (x, y), i in zip(points[order].tolist(), order.tolist(), strict=True)]
    lower, upper = _chain(listed), _chain(listed[::-1])
    return np.array([i for _, _, i in lower[:-1] + upper[:-1]], dtype=np.intp)


def _chain(listed: list[_Corner]) -> list[_Corner]:
    chain: list[_Corner] = []
    for point in listed:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain


def _turn(a: _Corner, b: _Corner, c: _Corner) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def distances(corners: Array) -> Array:
    """All distances between points of shape (m, 2), shape (m, m)."""
    return np.hypot(
        corners[:, None, 0] - corners[None, :, 0],
        corners[:, None, 1] - corners[None, :, 1],
    )


def widths(corners: Array) -> Widths:
    """The widths of a convex outline, its corners in the order of the turn from x to y, across each side."""
    sides = ring.following(corners) - corners
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    normals = np.column_stack([-sides[:, 1], sides[:, 0]]) / lengths[:, None]
    reach = normals @ corners.T - (normals * corners).sum(axis=1)[:, None]
    opposite = reach.argmax(axis=1)
    share = ((corners[opposite] - corners) * sides).sum(axis=1) / lengths**2
    return Widths(reach.max(axis=1), normals, opposite, share)


def largest_calliper(points: Array, hull: Indices) -> Calliper:
    """The largest distance of two points: the largest Feret diameter."""
    corners = points[hull]
    apart = distances(corners)
    i, j = divmod(int(apart.argmax()), len(corners))
    value = float(apart[i, j])
    if value == 0:
        raise NotDrawn("no-length")
    weights = np.zeros(len(points))
    weights[hull[i]], weights[hull[j]] = 1.0, -1.0
    ends = (corners[j], corners[i])
    return Calliper(value, (corners[i] - corners[j]) / value, weights, ends, (int(hull[j]), int(hull[i])))


def smallest_calliper(points: Array, hull: Indices) -> Calliper:
    """The smallest distance of two parallel lines that hold the outline between them; one of them lies on a side."""
    corners = points[hull]
    across = widths(corners)
    i = int(across.values.argmin())
    k, following = int(across.opposite[i]), (i + 1) % len(corners)
    value, share = float(across.values[i]), float(across.share[i])
    weights = np.zeros(len(points))
    weights[hull[k]] = 1.0
    weights[hull[i]], weights[hull[following]] = share - 1, -share
    normal: Array = across.normals[i]
    ends = (corners[k] - value * normal, corners[k])
    return Calliper(value, normal, weights, ends, (int(hull[i]), int(hull[k])))
