"""The convex hull of an outline and its callipers."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from portal.measure.sketch import Array, NotDrawn

Indices = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Calliper:
    """A distance between two parallel jaws.

    `weights` has shape (n,): the value is the weighted sum of the points' positions along `direction`, so that its
    gradient by the points is weights x direction. `ends` are the two ends of the distance, µm.
    """

    value: float
    direction: Array
    weights: Array
    ends: tuple[Array, Array]

    @property
    def gradient(self) -> Array:
        """The value's derivative by each point, shape (n, 2)."""
        return self.weights[:, None] * self.direction


def convex_hull(points: Array) -> Indices:
    """Indices of the hull's corners in the order of the turn from x to y, points on its sides left out.

    Andrew's monotone chain: O(n log n). Points have shape (n, 2).
    """
    order = np.lexsort((points[:, 1], points[:, 0]))
    listed = [(float(x), float(y), int(i)) for (x, y), i in zip(points[order], order, strict=True)]
    lower, upper = _chain(listed), _chain(listed[::-1])
    return np.array([i for _, _, i in lower[:-1] + upper[:-1]], dtype=np.intp)


def _chain(listed: list[tuple[float, float, int]]) -> list[tuple[float, float, int]]:
    chain: list[tuple[float, float, int]] = []
    for point in listed:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain


def _turn(a: tuple[float, float, int], b: tuple[float, float, int], c: tuple[float, float, int]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def largest_calliper(points: Array, hull: Indices) -> Calliper:
    """The largest distance of two points: the largest Feret diameter."""
    corners = points[hull]
    apart = np.hypot(
        corners[:, None, 0] - corners[None, :, 0],
        corners[:, None, 1] - corners[None, :, 1],
    )
    i, j = divmod(int(apart.argmax()), len(corners))
    value = float(apart[i, j])
    if value == 0:
        raise NotDrawn("no-length")
    weights = np.zeros(len(points))
    weights[hull[i]], weights[hull[j]] = 1.0, -1.0
    return Calliper(value, (corners[i] - corners[j]) / value, weights, (corners[j], corners[i]))


def smallest_calliper(points: Array, hull: Indices) -> Calliper:
    """The smallest distance of two parallel lines that hold the outline between them; one of them lies on a side."""
    corners = points[hull]
    sides = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    normals = np.column_stack([-sides[:, 1], sides[:, 0]]) / lengths[:, None]
    reach = normals @ corners.T - (normals * corners).sum(axis=1)[:, None]
    farthest = reach.max(axis=1)
    i = int(farthest.argmin())
    k, value = int(reach[i].argmax()), float(farthest[i])
    following = (i + 1) % len(corners)
    share = float((corners[k] - corners[i]) @ sides[i]) / float(lengths[i]) ** 2
    weights = np.zeros(len(points))
    weights[hull[k]] = 1.0
    weights[hull[i]], weights[hull[following]] = share - 1, -share
    foot = corners[k] - value * normals[i]
    return Calliper(value, normals[i], weights, (foot, corners[k]))
