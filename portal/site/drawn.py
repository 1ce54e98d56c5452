"""What was drawn on a picture, as lines to be drawn again over it: outlines, bases, dimensions."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from portal.model.result import Measurement
from portal.model.tag import BaseAndPoint, EllipseShape, PointShape, RectangleShape, Shape
from portal.site.rect import Point, Rect

_ROUND = 48
_TURNS = tuple((math.cos(t), math.sin(t)) for t in (2 * math.pi * step / _ROUND for step in range(_ROUND)))


@dataclass(frozen=True, slots=True)
class Line:
    """One line over a picture, in pixels of the upright picture."""

    points: tuple[Point, ...]
    closed: bool = False
    kind: str = "outline"
    """`outline`, `base` (the sound edge), `dimension`, `direct` (on what it measures), or `spot` (a single point)."""
    aside: float | None = None
    """How far beside what it measures a dimension stands, along the base; to the other side where negative."""


def lines_of(shape: Shape) -> tuple[Line, ...]:
    """The lines of one drawn shape."""
    match shape:
        case PointShape():
            return (Line(shape.points.xy[:1], kind="spot"),)
        case BaseAndPoint():
            return (Line(_fitted(shape.base.xy), kind="base"),)
        case RectangleShape():
            return (Line(_rectangle(shape.points.xy), closed=True),)
        case EllipseShape():
            return (Line(_ellipse(shape.points.xy), closed=True),)
        case _:
            return (Line(shape.points.xy, closed=shape.shape == "outline"),)


def extent(shapes: Iterable[Shape], measurements: Iterable[Measurement] = ()) -> Rect | None:
    """What the drawn shapes and dimensions cover, in pixels; None where nothing was drawn."""
    points = [point for shape in shapes for line in lines_of(shape) for point in line.points]
    points += [point for shape in shapes if isinstance(shape, BaseAndPoint) for point in shape.point.xy]
    points += [point for each in measurements for point in each.trace]
    return Rect.around(points) if points else None


def feature(shapes: Sequence[Shape], measurements: Iterable[Measurement] = ()) -> Rect | None:
    """The same without the sound edge beside it, which a picture needs to show only in part."""
    points = [
        point
        for shape in shapes
        for line in lines_of(shape)
        for point in (shape.point.xy if isinstance(shape, BaseAndPoint) else line.points)
    ]
    points += [point for each in measurements for point in each.trace]
    return Rect.around(points) if points else None


def dimension(trace: Sequence[Point], shape: Shape | None) -> Line:
    """The dimension of a measured distance; that of a base and point stands where the sound edge begins."""
    if not isinstance(shape, BaseAndPoint):
        return Line(tuple(trace), kind="direct")
    ends, foot = _fitted(shape.base.xy), trace[0]
    length = math.dist(*ends) or 1.0
    along = ((ends[1][0] - ends[0][0]) / length, (ends[1][1] - ends[0][1]) / length)
    reaches = [(x - foot[0]) * along[0] + (y - foot[1]) * along[1] for x, y in shape.base.xy]
    beside = [reach for reach in reaches if abs(reach) > 0.06 * length]
    return Line(tuple(trace), kind="dimension", aside=min(beside, key=abs) if beside else 0.3 * length)


def anchor(shapes: Sequence[Shape]) -> Point | None:
    """The point at which two pictures of the same kind of finding are laid over each other.

    The middle of the base where there is one, so that vestiges stand on the same line; else the middle of all.
    """
    for shape in shapes:
        if isinstance(shape, BaseAndPoint):
            xs, ys = zip(*shape.base.xy, strict=True)
            return (sum(xs) / len(xs), sum(ys) / len(ys))
    covered = extent(shapes)
    return covered.centre if covered else None


def _fitted(points: Sequence[Point]) -> tuple[Point, ...]:
    """The straight line through the points of a base, from end to end (least squares at right angles)."""
    n = len(points)
    mean_x, mean_y = sum(x for x, _ in points) / n, sum(y for _, y in points) / n
    xx = sum((x - mean_x) ** 2 for x, _ in points)
    yy = sum((y - mean_y) ** 2 for _, y in points)
    xy = sum((x - mean_x) * (y - mean_y) for x, y in points)
    turn = 0.5 * math.atan2(2 * xy, xx - yy)
    along = (math.cos(turn), math.sin(turn))
    spread = [(x - mean_x) * along[0] + (y - mean_y) * along[1] for x, y in points]
    return tuple((mean_x + t * along[0], mean_y + t * along[1]) for t in (min(spread), max(spread)))


def _across(points: Sequence[Point]) -> tuple[Point, Point, Point]:
    """The first side's two ends, and the way at right angles to it as far as the third point reaches."""
    (ax, ay), (bx, by), (cx, cy) = points[:3]
    along = (bx - ax, by - ay)
    length = math.hypot(*along) or 1.0
    normal = (-along[1] / length, along[0] / length)
    reach = (cx - (ax + bx) / 2) * normal[0] + (cy - (ay + by) / 2) * normal[1]
    return (ax, ay), (bx, by), (normal[0] * reach, normal[1] * reach)


def _rectangle(points: Sequence[Point]) -> tuple[Point, ...]:
    if len(points) < 3:
        return tuple(points)
    (ax, ay), (bx, by), (nx, ny) = _across(points)
    return ((ax, ay), (bx, by), (bx + nx, by + ny), (ax + nx, ay + ny))


def _ellipse(points: Sequence[Point]) -> tuple[Point, ...]:
    if len(points) < 3:
        return tuple(points)
    (ax, ay), (bx, by), (nx, ny) = _across(points)
    middle, half = ((ax + bx) / 2, (ay + by) / 2), ((bx - ax) / 2, (by - ay) / 2)
    return tuple((middle[0] + half[0] * cos + nx * sin, middle[1] + half[1] * cos + ny * sin) for cos, sin in _TURNS)
