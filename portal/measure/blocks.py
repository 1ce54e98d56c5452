"""Rectangles and ellipses by three points."""

import math
from collections.abc import Callable, Sequence

import numpy as np

from portal.measure.sketch import Array, EdgeShift, Lean, NotDrawn, Pair, Pixels, Sketch
from portal.model.terms import Characteristic, Edge

Extent = tuple[float, Array, Array, tuple[Array, Array]]
"""An extent in µm, its gradient by the three points (3, 2), its direction, and its two ends."""


def rectangle(points: Sequence[Pair], pixels: Pixels, *, edge: Edge, characteristic: Characteristic) -> Sketch:
    """A rectangle by both ends of one side, then a point of the opposite side."""
    return _block(points, pixels, edge=edge, characteristic=characteristic, reach=1.0, fill=1.0)


def ellipse(points: Sequence[Pair], pixels: Pixels, *, edge: Edge, characteristic: Characteristic) -> Sketch:
    """An ellipse by both ends of one axis, then an end of the other axis."""
    return _block(points, pixels, edge=edge, characteristic=characteristic, reach=2.0, fill=math.pi / 4)


def _block(
    points: Sequence[Pair], pixels: Pixels, *, edge: Edge, characteristic: Characteristic, reach: float, fill: float
) -> Sketch:
    """`reach`: how many times the third point's distance the other extent is; `fill`: area by product of extents."""
    if len(points) != 3:
        raise NotDrawn("three-points", n=len(points))
    um = pixels.um(points)
    first, second = _extents(um, reach)
    longer, shorter = (first, second) if first[0] >= second[0] else (second, first)
    measure = _MEASURES[characteristic]
    return measure(um, pixels, longer, shorter, edge, fill)


def _extents(um: Array, reach: float) -> tuple[Extent, Extent]:
    a, b, c = um
    side = b - a
    length = float(np.hypot(*side))
    if length == 0:
        raise NotDrawn("no-length")
    unit = side / length
    normal = np.array([-unit[1], unit[0]])
    distance = float((c - a) @ normal)
    if distance == 0:
        raise NotDrawn("no-area")
    normal, distance = (normal, distance) if distance > 0 else (-normal, -distance)
    t = float((c - a) @ unit) / length
    by_side = np.array([-unit, unit, [0.0, 0.0]])
    by_distance = reach * np.array([-(1 - t) * normal, -t * normal, normal])
    foot = c - distance * normal
    far = c if reach == 1 else foot - distance * normal
    ends = (foot, far) if reach == 1 else (c, far)
    return (length, by_side, unit, (a, b)), (reach * distance, by_distance, normal, ends)


def _extent(um: Array, pixels: Pixels, extent: Extent, edge: Edge) -> Sketch:
    value, gradient, direction, ends = extent
    return Sketch(
        value=value,
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2.0, edge, direction),),
        leans=(Lean(1.0, direction),),
        trace=(pixels.px(ends[0]), pixels.px(ends[1])),
    )


def _longer(um: Array, pixels: Pixels, longer: Extent, shorter: Extent, edge: Edge, fill: float) -> Sketch:
    return _extent(um, pixels, longer, edge)


def _shorter(um: Array, pixels: Pixels, longer: Extent, shorter: Extent, edge: Edge, fill: float) -> Sketch:
    return _extent(um, pixels, shorter, edge)


def _mean(um: Array, pixels: Pixels, longer: Extent, shorter: Extent, edge: Edge, fill: float) -> Sketch:
    gradient = (longer[1] + shorter[1]) / 2
    return Sketch(
        value=(longer[0] + shorter[0]) / 2,
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2.0, edge),),
        leans=(Lean(0.5, longer[2]), Lean(0.5, shorter[2])),
    )


def _area(um: Array, pixels: Pixels, longer: Extent, shorter: Extent, edge: Edge, fill: float) -> Sketch:
    gradient = fill * (longer[1] * shorter[0] + shorter[1] * longer[0])
    return Sketch(
        value=fill * longer[0] * shorter[0],
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2 * fill * (longer[0] + shorter[0]), edge),),
        leans=(Lean(fill * longer[0], shorter[2]), Lean(fill * shorter[0], longer[2])),
        power=2,
    )


_MEASURES: dict[Characteristic, Callable[[Array, Pixels, Extent, Extent, Edge, float], Sketch]] = {
    Characteristic.LENGTH: _longer,
    Characteristic.RUN: _longer,
    Characteristic.STRING_LENGTH: _longer,
    Characteristic.WIDTH: _shorter,
    Characteristic.DIAMETER: _mean,
    Characteristic.AREA: _area,
}
