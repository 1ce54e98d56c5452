"""Callipers on noisy outlines find too much or too little: by how much, and what stays doubtful.

The largest calliper is the greatest of many distances. The smallest is both too large, since each jaw rests on the
outermost of the noisy points before it, and too small, since it is the least of several widths. The rules below were
tried on circles, ellipses, rectangles and torn outlines of 4 to 300 points (our own simulation): what they leave is
below 1.4 standard uncertainties of one point, which the rest that they keep in the budget covers.
"""

import math

import numpy as np

from portal.measure.greatest import greatest
from portal.measure.hull import Calliper, Indices, distances, widths
from portal.measure.sketch import Array, Pixels

_NEAR = 6.0
"""Candidates that lie farther behind than this many of their standard uncertainties can't have won by noise."""


def bias_of_largest(points: Array, hull: Indices, largest: Calliper, pixels: Pixels) -> tuple[float, float]:
    """How much too long the largest calliper is, and the standard uncertainty of that, µm.

    Candidates: pairs of the hull's corners that share no corner, farthest first.
    """
    corners = points[hull]
    sigma = sigma_along(largest.direction, pixels)
    of_pair = math.sqrt(2) * sigma
    pairs = _disjoint_pairs(distances(corners), largest.value - _NEAR * of_pair)
    return _taken_off(np.array(pairs), np.full(len(pairs), of_pair))


def bias_of_smallest(points: Array, hull: Indices, smallest: Calliper, pixels: Pixels) -> tuple[float, float]:
    """How much too wide the smallest calliper is (negative: too narrow), and the standard uncertainty of that, µm.

    The jaw on a corner rests on the outermost of the points before it; so does the jaw on a side, less one: that
    side follows two points wherever they are. Candidates of the least: widths that are smallest among their
    neighbours and share no corner.
    """
    sigma = sigma_along(smallest.direction, pixels)
    along = points @ smallest.direction
    outer = _outermost(along, sigma)
    inner = _outermost(-along, sigma)[1:]
    up_far, rest_far = _taken_off(outer, np.full(len(outer), sigma))
    up_near, rest_near = _taken_off(inner, np.full(len(inner), sigma))
    rivals, sigmas = _rival_widths(points[hull], smallest.value + _NEAR * math.sqrt(1.5) * sigma, sigma)
    down, rest_down = _taken_off(-rivals, sigmas)
    return up_far + up_near - down, math.hypot(rest_far, rest_near, rest_down)


def sigma_along(direction: Array, pixels: Pixels) -> float:
    """Standard uncertainty of a point along a unit vector, µm."""
    return float(np.hypot(*(direction * pixels.click_um)))


def _taken_off(values: Array, sigmas: Array) -> tuple[float, float]:
    if len(values) < 2:
        return 0.0, 0.0
    corrected, rest = greatest(values, sigmas)
    return float(values.max()) - corrected, rest


def _outermost(along: Array, sigma: float) -> Array:
    """Positions within reach of the outermost, outermost first."""
    return np.sort(along[along >= along.max() - _NEAR * sigma])[::-1]


def _disjoint_pairs(apart: Array, least: float) -> list[float]:
    """Distances of pairs that share no corner, the farthest first, down to a least one."""
    left, pairs = apart.copy(), []
    for i in np.argsort(-apart.max(axis=1)):
        k = int(left[i].argmax())
        if left[i, k] < least or left[i, k] <= 0:
            continue
        pairs.append(float(left[i, k]))
        left[[i, k], :] = left[:, [i, k]] = -1.0
    return pairs


def _rival_widths(corners: Array, most: float, sigma: float) -> tuple[Array, Array]:
    """Widths across sides that are smallest among their neighbours, share no corner and lie below `most`."""
    across = widths(corners)
    used: set[int] = set()
    kept: list[int] = []
    for i in np.argsort(across.values):
        three = {int(i), (int(i) + 1) % len(corners), int(across.opposite[i])}
        foot_on_side = 0 <= across.share[i] <= 1
        if across.values[i] > most or used & three or not (foot_on_side or not kept):
            continue
        used |= three
        kept.append(int(i))
    share = across.share[kept]
    return across.values[kept], sigma * np.sqrt(1 + share**2 + (1 - share) ** 2)
