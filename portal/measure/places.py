"""Where drawn countables lie, how far they are apart, and how sure that is."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from portal.measure import ring
from portal.measure.budget import combine
from portal.measure.outline import signed_area
from portal.measure.shapes import points_of
from portal.measure.sketch import Array, EdgeShift, Lean, Pixels, Sketch
from portal.measure.terms import terms_of
from portal.model.countable import Place, Spot
from portal.model.result import Measurement, Scale
from portal.model.tag import BaseAndPoint, EllipseShape, LineShape, PointShape, RectangleShape, Shape
from portal.model.terms import Characteristic, Drawn, Edge

_ROUND = np.linspace(0.0, 2 * math.pi, 96, endpoint=False)
"""An ellipse's edge is taken as so many chords: they lie inside it by up to 0.06 % of its half axis."""
_WHOLE = np.column_stack([np.cos(_ROUND), np.sin(_ROUND)])


def countables_in(shape: Shape) -> int:
    """How many countables a shape stands for: every point of a point shape is one."""
    return len(shape.points.xy) if isinstance(shape, PointShape) else 1


def places_of(shape: Shape, scale: Scale) -> tuple[Place, ...]:
    """Where the countables of a shape lie, µm: the point, the centre, the middle of a line; with their edges.

    A base and point gives its point: what it was drawn for stands there.
    """
    um = Pixels.of(scale, shape.drawn).um(points_of(shape))
    match shape:
        case PointShape():
            return tuple(_place(shape, corner, corner[None, :]) for corner in um)
        case BaseAndPoint():
            return (_place(shape, um[-1], um[-1:]),)
        case LineShape():
            return (_place(shape, _middle(um), um),)
        case RectangleShape() | EllipseShape() if len(um) == 3:
            return (_block(shape, um),)
        case _:
            return (_place(shape, _centroid(um), um, closed=True),)


@dataclass(frozen=True, slots=True)
class PictureRuler:
    """Distances on one picture, by its scale; the zone's depth bounds how far apart in height two places may lie."""

    shown_um: float
    """The shorter side of what the picture shows."""
    scale: Scale
    zone_depth_um: float | None
    picture: str

    def between(self, one: Spot, other: Spot, *, edge: Edge, drawn: Drawn) -> Measurement:
        """The distance between two places on the edges of two countables, µm, with the budget of a line between them.

        Each end is as uncertain as one click; both edges shift as edges of that kind do. JCGM 100:2008.
        """
        sketch, pixels = self._line(one, other, drawn), Pixels.of(self.scale, drawn)
        direction = sketch.leans[0].direction
        return self._measured(replace(sketch, edges=(EdgeShift(2.0, edge, direction),)), pixels, drawn)

    def doubt(self, length_um: float, *, drawn: Drawn) -> float:
        """The standard uncertainty of how far apart the middles of two countables lie, µm, at about that length.

        The worse of both axes of the picture. A middle doesn't move where all of its edge is taken further out.
        """
        pixels = Pixels.of(self.scale, drawn)
        ends = ((length_um, 0.0), (0.0, length_um))
        return max(self._measured(self._line((0.0, 0.0), end, drawn), pixels, drawn).u for end in ends)

    def _line(self, one: Spot, other: Spot, drawn: Drawn) -> Sketch:
        um = np.array([one, other])
        value = math.dist(one, other)
        direction = (um[1] - um[0]) / value if value > 0 else np.array([1.0, 0.0])
        gradient = np.array([-direction, direction])
        pixels = Pixels.of(self.scale, drawn)
        return Sketch(
            value=value,
            points=um,
            gradient=gradient,
            pointed=gradient,
            edges=(),
            leans=(Lean(1.0, direction),),
            trace=(pixels.px(um[0]), pixels.px(um[1])),
        )

    def _measured(self, sketch: Sketch, pixels: Pixels, drawn: Drawn) -> Measurement:
        terms = terms_of(sketch, self.scale, pixels, height_difference_um=None, zone_depth_um=self.zone_depth_um)
        combined = combine(terms)
        return Measurement(
            characteristic=Characteristic.SPACING,
            value=sketch.value,
            u=combined.u,
            k=combined.k,
            dof=combined.dof,
            terms=terms,
            how="shape",
            picture=self.picture,
            drawn=drawn,
            scale=self.scale,
            trace=sketch.trace,
        )


def _place(shape: Shape, at: Array, corners: Array, *, closed: bool = False) -> Place:
    listed: Sequence[Sequence[float]] = corners.tolist()
    return Place((float(at[0]), float(at[1])), tuple((x, y) for x, y in listed), closed, shape.edge, shape.drawn)


def _block(shape: RectangleShape | EllipseShape, um: Array) -> Place:
    """By both ends of one side or axis, then a point of the opposite side or an end of the other axis."""
    a, b, c = um
    side = b - a
    length = float(np.hypot(*side))
    if length == 0:
        return _place(shape, um.mean(axis=0), um, closed=True)
    normal = np.array([-side[1], side[0]]) / length
    across = float((c - a) @ normal) * normal
    if isinstance(shape, RectangleShape):
        return _place(shape, (a + b + across) / 2, np.array([a, b, b + across, a + across]), closed=True)
    middle = (a + b) / 2
    return _place(shape, middle, middle + _WHOLE @ np.array([side / 2, across]), closed=True)


def _middle(um: Array) -> Array:
    """Half way along a line."""
    lengths = np.hypot(*np.diff(um, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    half = along[-1] / 2
    return np.array([np.interp(half, along, um[:, 0]), np.interp(half, along, um[:, 1])])


def _centroid(um: Array) -> Array:
    """The centre of an outline's area; the mean of its points where it has none."""
    mean: Array = um.mean(axis=0)
    centred = um - mean
    following = ring.following(centred)
    cross = centred[:, 0] * following[:, 1] - following[:, 0] * centred[:, 1]
    whole = signed_area(um)
    if abs(whole) <= 1e-12 * float((centred**2).sum()):
        return mean
    away: Array = ((centred + following) * cross[:, None]).sum(axis=0) / (6 * whole)
    return mean + away
