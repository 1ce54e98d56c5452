"""Closed outlines: area, perimeter, callipers, equivalent diameter."""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from portal.measure.hull import Calliper, Indices, convex_hull, largest_calliper, smallest_calliper
from portal.measure.sketch import Array, EdgeShift, Lean, NotDrawn, Pair, Pixels, Sketch
from portal.model.terms import Characteristic, Edge

_ROWS = 128
"""How many sides are held against all others at a time."""


def outline(points: Sequence[Pair], pixels: Pixels, *, edge: Edge, characteristic: Characteristic) -> Sketch:
    """What an outline of three or more points comes to; the last point joins the first."""
    um = _closed(pixels.um(points))
    if characteristic is Characteristic.AREA:
        return area(um, edge)
    if characteristic is Characteristic.EQUIVALENT_DIAMETER:
        return equivalent_diameter(um, edge)
    if characteristic is Characteristic.PERIMETER:
        return perimeter(um, edge)
    return _by_calliper(um, pixels, edge, characteristic)


def _closed(um: Array) -> Array:
    """The outline without points that repeat the one before; refused where it has no area or crosses itself."""
    kept = um[np.any(um != np.roll(um, 1, axis=0), axis=1)]
    if len(kept) < 3:
        raise NotDrawn("three-points-at-least", n=len(kept))
    if crosses_itself(kept):
        raise NotDrawn("crosses-itself")
    if abs(signed_area(kept)) < 1e-9 * _lengths(kept).sum() ** 2:
        raise NotDrawn("no-area")
    return kept


def _sides(um: Array) -> Array:
    return np.roll(um, -1, axis=0) - um


def _lengths(um: Array) -> Array:
    sides = _sides(um)
    return np.hypot(sides[:, 0], sides[:, 1])


def signed_area(um: Array) -> float:
    """Shoelace formula; positive for an outline drawn from x towards y (clockwise on the screen)."""
    centred = um - um.mean(axis=0)
    following = np.roll(centred, -1, axis=0)
    return 0.5 * float((centred[:, 0] * following[:, 1] - following[:, 0] * centred[:, 1]).sum())


def crosses_itself(um: Array) -> bool:
    """Whether two sides that don't follow each other cross or touch."""
    n, start, end = len(um), um, np.roll(um, -1, axis=0)
    for first in range(0, n, _ROWS):
        rows = np.arange(first, min(first + _ROWS, n))
        gap = np.arange(n)[None, :] - rows[:, None]
        apart = (gap > 1) & (gap < n - 1)
        near = apart & _boxes_meet(start, end, rows)
        i, j = np.nonzero(near)
        if len(i) and _segments_meet(start[rows[i]], end[rows[i]], start[j], end[j]):
            return True
    return False


def _boxes_meet(start: Array, end: Array, rows: Indices) -> npt.NDArray[np.bool_]:
    low, high = np.minimum(start, end), np.maximum(start, end)
    meet = (low[rows, None, :] <= high[None, :, :]) & (high[rows, None, :] >= low[None, :, :])
    return meet[..., 0] & meet[..., 1]


def _segments_meet(a: Array, b: Array, c: Array, d: Array) -> bool:
    one, other = _cross(b - a, c - a) * _cross(b - a, d - a), _cross(d - c, a - c) * _cross(d - c, b - c)
    return bool(np.any((one <= 0) & (other <= 0)))


def _cross(a: Array, b: Array) -> Array:
    product: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product


def area(um: Array, edge: Edge) -> Sketch:
    """Area inside, µm²."""
    signed = signed_area(um)
    before, after = np.roll(um, 1, axis=0), np.roll(um, -1, axis=0)
    gradient = (
        0.5 * math.copysign(1, signed) * np.column_stack([after[:, 1] - before[:, 1], before[:, 0] - after[:, 0]])
    )
    span = largest_calliper(um, convex_hull(um)).value
    return Sketch(
        value=abs(signed),
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(float(_lengths(um).sum()), edge),),
        leans=(Lean(span),),
        power=2,
    )


def equivalent_diameter(um: Array, edge: Edge) -> Sketch:
    """Diameter of the circle of the same area, µm: 2 sqrt(A / pi)."""
    whole = area(um, edge)
    diameter = 2 * math.sqrt(whole.value / math.pi)
    by_area = diameter / (2 * whole.value)
    return Sketch(
        value=diameter,
        points=um,
        gradient=whole.gradient * by_area,
        pointed=whole.gradient * by_area,
        edges=tuple(EdgeShift(each.sensitivity * by_area, each.edge) for each in whole.edges),
        leans=tuple(Lean(each.sensitivity * by_area) for each in whole.leans),
    )


def perimeter(um: Array, edge: Edge) -> Sketch:
    """Length around, µm."""
    lengths = _lengths(um)
    units = _sides(um) / lengths[:, None]
    gradient = np.roll(units, 1, axis=0) - units
    return Sketch(
        value=float(lengths.sum()),
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2 * math.pi, edge),),
        leans=(Lean(2.0),),
    )


def _by_calliper(um: Array, pixels: Pixels, edge: Edge, characteristic: Characteristic) -> Sketch:
    hull = convex_hull(um)
    if characteristic is Characteristic.WIDTH:
        return _callipers(um, pixels, edge, (smallest_calliper(um, hull),))
    if characteristic is Characteristic.DIAMETER:
        return _callipers(um, pixels, edge, (largest_calliper(um, hull), smallest_calliper(um, hull)))
    return _callipers(um, pixels, edge, (largest_calliper(um, hull),))


def _callipers(um: Array, pixels: Pixels, edge: Edge, parts: tuple[Calliper, ...]) -> Sketch:
    """The mean of one or two callipers; its dimension line is that of the first."""
    gradient = np.mean([part.gradient for part in parts], axis=0)
    first = parts[0]
    return Sketch(
        value=sum(part.value for part in parts) / len(parts),
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2.0, edge, first.direction if len(parts) == 1 else None),),
        leans=tuple(Lean(1 / len(parts), part.direction) for part in parts),
        trace=(pixels.px(first.ends[0]), pixels.px(first.ends[1])),
    )
