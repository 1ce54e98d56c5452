"""Moves the points of a drawn shape onto the edge nearby; what it can't have stays where it was drawn."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from portal.measure import assumed
from portal.measure.edge import EdgeFound, Looked, NoEdge, Pair, find_edges, linear
from portal.measure.fit import fit_line
from portal.measure.tightrect import looks_of, moved, sides_of
from portal.model.scalars import Points
from portal.model.tag import BaseAndPoint, EllipseShape, LineShape, OutlineShape, RectangleShape, Shape
from portal.model.terms import Drawn


class Codes(Protocol):
    """The grey values of a whole picture in sRGB, of which rows and columns are asked for, as an array has them."""

    @property
    def shape(self) -> tuple[int, ...]:
        """Height and width."""

    def __getitem__(self, part: tuple[slice, slice], /) -> npt.NDArray[np.uint8]:
        """Some rows and columns."""


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
    """The standard uncertainty with which a point of it counts from now on. The fit of an edge states less, as it
    knows its noise only: how light and bevel shift an edge isn't in it."""


def tighten(shape: Shape, codes: Codes) -> Tightened:
    """A line's ends along it, an outline's vertices across it, a base and its point at right angles to the base, an
    ellipse's axes along themselves, a rectangle's sides outwards; `codes` are the grey values of the whole picture in
    sRGB. Points stay as they are."""
    if isinstance(shape, RectangleShape):
        return _rectangle(shape, codes)
    moves = _ways(shape)
    results = dict(zip(moves, _find(codes, list(moves.values())), strict=True))
    found = {key: each for key, each in results.items() if isinstance(each, EdgeFound)}
    lists = {name: _moved(name, points, found) for name, points in _lists(shape).items()}
    return _told(shape, lists, list(results.values()))


def _rectangle(shape: RectangleShape, codes: Codes) -> Tightened:
    xy = shape.points.xy
    sides = sides_of(xy) if len(xy) == 3 else ()
    results = _find(codes, looks_of(sides))
    points = _points(moved(sides, results, xy[2])) if sides else shape.points
    return _told(shape, {"points": points}, results)


def _told(shape: Shape, lists: Mapping[str, Points], results: Sequence[EdgeFound | NoEdge]) -> Tightened:
    found = [each for each in results if isinstance(each, EdgeFound)]
    refused = tuple(dict.fromkeys(each.key for each in results if isinstance(each, NoEdge)))
    whole = bool(results) and len(found) == len(results)
    drawn = Drawn.EDGE_FOUND if whole else Drawn.BY_HAND
    update: dict[str, object] = {**lists, "drawn": drawn}
    return Tightened(
        shape=shape.model_copy(update=update) if found else shape,
        found=len(found),
        of=len(results),
        refused=refused if results else ("shape",),
        u_px=assumed.POINTING_PX[drawn],
    )


_Key = tuple[str, int]


def _find(codes: Codes, looks: list[Looked]) -> list[EdgeFound | NoEdge]:
    """The edges near some points, those refused that are no better than by hand."""
    height, width = codes.shape
    found = find_edges(lambda rows, columns: linear(codes[rows, columns]), *looks, shape=(height, width))
    most = assumed.POINTING_PX[Drawn.EDGE_FOUND]
    return [NoEdge("unclear") if isinstance(each, EdgeFound) and each.u_px > most else each for each in found]


def _lists(shape: Shape) -> dict[str, Points]:
    if isinstance(shape, BaseAndPoint):
        return {"base": shape.base, "point": shape.point}
    return {"points": shape.points}


def _ways(shape: Shape) -> dict[_Key, Looked]:
    """Which points move, each from where and along which way."""
    match shape:
        case BaseAndPoint():
            return _of_base(shape)
        case LineShape():
            xy = shape.points.xy
            ends = ((0, 1), (len(xy) - 1, len(xy) - 2)) if len(xy) > 1 else ()
            return {
                ("points", at): Looked(xy[at], _way(xy[other], xy[at])) for at, other in ends if xy[at] != xy[other]
            }
        case OutlineShape():
            xy = shape.points.xy
            ways = ((place, _across(xy[place - 1], xy[(place + 1) % len(xy)])) for place in range(len(xy)))
            return {("points", place): Looked(xy[place], way) for place, way in ways if way != (0, 0)}
        case EllipseShape() if len(shape.points.xy) == 3:
            return _of_axes(shape.points.xy)
        case _:
            return {}


def _of_base(shape: BaseAndPoint) -> dict[_Key, Looked]:
    line = fit_line(np.asarray(shape.base.xy, dtype=np.float64))
    if line is None:
        return {}
    normal = (float(line.normal[0]), float(line.normal[1]))
    return {
        (name, place): Looked(at, normal)
        for name, points in (("base", shape.base), ("point", shape.point))
        for place, at in enumerate(points.xy)
    }


def _of_axes(xy: Sequence[Pair]) -> dict[_Key, Looked]:
    a, b, c = xy
    if a == b:
        return {}
    along = _way(a, b)
    across = (-along[1], along[0])
    return {("points", 0): Looked(a, along), ("points", 1): Looked(b, along), ("points", 2): Looked(c, across)}


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
    return _points(xy)


def _points(xy: tuple[Pair, ...]) -> Points:
    return Points(xy, " ".join(f"{x:.2f},{y:.2f}" for x, y in xy))
