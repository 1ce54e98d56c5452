"""Moves the points of a drawn shape onto the edge nearby; what it can't have stays where it was drawn."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from portal.measure import assumed
from portal.measure.edge import BESIDE_PX, REACH_PX, EdgeFound, NoEdge, Pair, find_edge, linear
from portal.measure.fit import fit_line
from portal.model.scalars import Points
from portal.model.tag import BaseAndPoint, EllipseShape, LineShape, OutlineShape, Shape
from portal.model.terms import Drawn

Codes = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Tightened:
    """The shape with its points where edges were found.

    Only where each of them was found is the shape said to be of found edges.
    """

    shape: Shape
    found: int
    of: int
    refused: tuple[str, ...] = ()
    """Why points stayed: keys of the message catalogue below `edge.`, each once."""
    u_px: float = 0.0
    """The largest standard uncertainty of those found."""


def tighten(shape: Shape, codes: Codes) -> Tightened:
    """A line's ends along it, an outline's vertices across it, a base and its point at right angles to the base, an
    ellipse's axes along themselves; `codes` are the grey values
    of the whole picture in sRGB. Others stay as they are."""
    moves = _ways(shape)
    results = {key: _find(codes, at, way) for key, (at, way) in moves.items()}
    found = {key: each for key, each in results.items() if isinstance(each, EdgeFound)}
    refused = tuple(dict.fromkeys(each.key for each in results.values() if isinstance(each, NoEdge)))
    whole = bool(moves) and len(found) == len(moves)
    lists = {name: _moved(name, points, found) for name, points in _lists(shape).items()}
    update: dict[str, object] = {**lists, "drawn": Drawn.EDGE_FOUND if whole else Drawn.BY_HAND}
    return Tightened(
        shape=shape.model_copy(update=update) if found else shape,
        found=len(found),
        of=len(moves),
        refused=refused if moves else ("shape",),
        u_px=max((each.u_px for each in found.values()), default=0.0),
    )


_Key = tuple[str, int]


def _find(codes: Codes, at: Pair, way: Pair) -> EdgeFound | NoEdge:
    """The edge in the part of the picture around a point."""
    around = math.ceil(REACH_PX + BESIDE_PX) + 2
    left, top = max(0, int(at[0]) - around), max(0, int(at[1]) - around)
    part = linear(codes[top : int(at[1]) + around, left : int(at[0]) + around])
    found = find_edge(part, (at[0] - left, at[1] - top), way)
    if isinstance(found, NoEdge):
        return found
    if found.u_px > assumed.POINTING_PX[Drawn.EDGE_FOUND]:
        return NoEdge("unclear")
    return replace(found, x=found.x + left, y=found.y + top)


def _lists(shape: Shape) -> dict[str, Points]:
    if isinstance(shape, BaseAndPoint):
        return {"base": shape.base, "point": shape.point}
    return {"points": shape.points}


def _ways(shape: Shape) -> dict[_Key, tuple[Pair, Pair]]:
    """Which points move, each from where and along which way."""
    match shape:
        case BaseAndPoint():
            return _of_base(shape)
        case LineShape():
            xy = shape.points.xy
            ends = ((0, 1), (len(xy) - 1, len(xy) - 2)) if len(xy) > 1 else ()
            return {("points", at): (xy[at], _way(xy[other], xy[at])) for at, other in ends if xy[at] != xy[other]}
        case OutlineShape():
            xy = shape.points.xy
            ways = ((place, _across(xy[place - 1], xy[(place + 1) % len(xy)])) for place in range(len(xy)))
            return {("points", place): (xy[place], way) for place, way in ways if way != (0, 0)}
        case EllipseShape() if len(shape.points.xy) == 3:
            return _of_axes(shape.points.xy)
        case _:
            return {}


def _of_base(shape: BaseAndPoint) -> dict[_Key, tuple[Pair, Pair]]:
    line = fit_line(np.asarray(shape.base.xy, dtype=np.float64))
    if line is None:
        return {}
    normal = (float(line.normal[0]), float(line.normal[1]))
    return {
        (name, place): (at, normal)
        for name, points in (("base", shape.base), ("point", shape.point))
        for place, at in enumerate(points.xy)
    }


def _of_axes(xy: Sequence[Pair]) -> dict[_Key, tuple[Pair, Pair]]:
    a, b, c = xy
    if a == b:
        return {}
    along = _way(a, b)
    return {("points", 0): (a, along), ("points", 1): (b, along), ("points", 2): (c, (-along[1], along[0]))}


def _way(a: Pair, b: Pair) -> Pair:
    return (b[0] - a[0], b[1] - a[1])


def _across(a: Pair, b: Pair) -> Pair:
    dx, dy = _way(a, b)
    length = math.hypot(dx, dy)
    return (0, 0) if length == 0 else (-dy / length, dx / length)


def _moved(name: str, points: Points, found: dict[_Key, EdgeFound]) -> Points:
    xy = tuple(
        (found[name, place].x, found[name, place].y) if (name, place) in found else at
        for place, at in enumerate(points.xy)
    )
    return Points(xy, " ".join(f"{x:.2f},{y:.2f}" for x, y in xy))
