"""Closed outlines: area, perimeter, callipers, equivalent diameter."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from portal.measure import ring
from portal.measure.chords import Sides, added, left_out_area, left_out_beyond, left_out_length
from portal.measure.hull import Calliper, Indices, convex_hull, largest_calliper, smallest_calliper
from portal.measure.jaws import bias_of_largest, bias_of_smallest
from portal.measure.roughness import as_rough_as_seen, roughness
from portal.measure.sketch import Array, EdgeShift, Lean, NotDrawn, Pair, Pixels, Sketch
from portal.model.result import Basis, Term
from portal.model.terms import Characteristic, Edge

_ROWS = 128
"""How many sides are held against all others at a time."""


def outline(points: Sequence[Pair], pixels: Pixels, *, edge: Edge, characteristic: Characteristic) -> Sketch:
    """What an outline of three or more points comes to; the last point joins the first.

    Straight lines between points of a curve, the roughness that pointing adds, and the jaws' choice of the outermost
    points are corrected for; what of that is doubtful is in the sketch's own terms.
    """
    um = _closed(pixels.um(points))
    if characteristic is Characteristic.AREA:
        return area(um, edge)
    if characteristic is Characteristic.EQUIVALENT_DIAMETER:
        return equivalent_diameter(um, edge)
    if characteristic is Characteristic.PERIMETER:
        return perimeter(um, pixels, edge)
    return callipers(um, pixels, edge, characteristic)


def _closed(um: Array) -> Array:
    """The outline without points that repeat the one before; refused where it has no area or crosses itself."""
    kept = um[np.any(um != ring.before(um), axis=1)]
    if len(kept) < 3:
        raise NotDrawn("three-points-at-least", n=len(kept))
    if crosses_itself(kept):
        raise NotDrawn("crosses-itself")
    steps = ring.following(kept) - kept
    if abs(signed_area(kept)) < 1e-9 * float(np.hypot(steps[:, 0], steps[:, 1]).sum()) ** 2:
        raise NotDrawn("no-area")
    return kept


def _sides(um: Array) -> Sides:
    return Sides.of(um, clockwise=math.copysign(1, signed_area(um)))


def signed_area(um: Array) -> float:
    """Shoelace formula; positive for an outline drawn from x towards y (clockwise on the screen)."""
    centred = um - um.mean(axis=0)
    following = ring.following(centred)
    return 0.5 * float((centred[:, 0] * following[:, 1] - following[:, 0] * centred[:, 1]).sum())


def crosses_itself(um: Array) -> bool:
    """Whether two sides that don't follow each other cross or touch."""
    n, start, end = len(um), um, ring.following(um)
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
    signed, sides = signed_area(um), _sides(um)
    before, after = ring.before(um), ring.following(um)
    chord = (after - before) * math.copysign(0.5, signed)
    gradient = np.column_stack([chord[:, 1], -chord[:, 0]])
    correction, extra = added(left_out_area(sides))
    return Sketch(
        value=abs(signed) - correction,
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(float(sides.lengths.sum()), edge),),
        leans=(Lean(largest_calliper(um, convex_hull(um)).value),),
        power=2,
        correction=correction,
        extra=extra,
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
        correction=2 * math.sqrt((whole.value + whole.correction) / math.pi) - diameter,
        extra=tuple(replace(term, u=term.u * by_area) for term in whole.extra),
    )


def perimeter(um: Array, pixels: Pixels, edge: Edge) -> Sketch:
    """Length around, µm."""
    sides, seen = _sides(um), as_rough_as_seen(um, pixels, closed=True)
    gradient = ring.before(sides.units) - sides.units
    across = float(np.sqrt((seen.click_um**2).mean()))
    curved, chords = added(left_out_length(sides, across_um=across))
    rough, extra = roughness(sides.lengths, sides.units, seen)
    return Sketch(
        value=float(sides.lengths.sum()) - rough - curved,
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(sides.outward, edge),),
        leans=(Lean(2.0),),
        correction=rough + curved,
        extra=(*chords, *extra),
    )


def callipers(um: Array, pixels: Pixels, edge: Edge, characteristic: Characteristic) -> Sketch:
    """The largest calliper, the smallest (width), or the mean of both (diameter), µm."""
    hull, sides, seen = convex_hull(um), _sides(um), as_rough_as_seen(um, pixels, closed=True)
    parts = []
    if characteristic is not Characteristic.WIDTH:
        largest = largest_calliper(um, hull)
        parts.append((largest, *bias_of_largest(um, hull, largest, seen)))
    if characteristic in (Characteristic.WIDTH, Characteristic.DIAMETER):
        smallest = smallest_calliper(um, hull)
        parts.append((smallest, *bias_of_smallest(um, hull, smallest, seen)))
    share, first = 1 / len(parts), parts[0][0]
    gradient = share * np.sum([part.gradient for part, _, _ in parts], axis=0)
    curved, chords = added(share * sum(_beyond(sides, part) for part, _, _ in parts))
    bias = share * sum(bias for _, bias, _ in parts)
    rest = share * math.hypot(*(rest for _, _, rest in parts))
    return Sketch(
        value=share * sum(part.value for part, _, _ in parts) - bias - curved,
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2.0, edge, first.direction if len(parts) == 1 else None),),
        leans=tuple(Lean(share, part.direction) for part, _, _ in parts),
        trace=(pixels.px(first.ends[0]), pixels.px(first.ends[1])),
        correction=bias + curved,
        extra=(*chords, Term("greatest", rest, Basis.RECTANGULAR)),
    )


def _beyond(sides: Sides, part: Calliper) -> float:
    """What a curve through the points adds at both jaws, µm."""
    near, far = part.jaws
    return left_out_beyond(sides, near, -part.direction) + left_out_beyond(sides, far, part.direction)
