"""From a drawn shape to a measured characteristic, or the reason why there is none."""

from collections.abc import Sequence
from functools import lru_cache

from portal.measure import blocks, line
from portal.measure.basepoint import base_and_point
from portal.measure.budget import combine
from portal.measure.outline import outline
from portal.measure.rules import BELOW, refusal
from portal.measure.sketch import NotDrawn, Pair, Pixels, Sketch
from portal.measure.terms import terms_of
from portal.model.result import Measurement, NoScale, Reading, Scale, Unmeasured
from portal.model.say import Say
from portal.model.scalars import Frame
from portal.model.tag import BaseAndPoint, EllipseShape, LineShape, OutlineShape, PointShape, RectangleShape, Shape
from portal.model.terms import Characteristic, Made, SeenAs, ShapeKind

_STRAIGHT = frozenset({Characteristic.WIDTH, Characteristic.THICKNESS})
"""What a line gives from end to end, however it runs between them."""


def measure_shape(
    shape: Shape,
    *,
    scale: Scale | NoScale,
    seen_as: SeenAs | None,
    zone: str,
    zone_depth_um: float | None,
    view: str | None,
    picture: str,
    index: int,
    frame: Frame,
    made: Made = Made.SINGLE,
) -> Reading:
    """Measure what the shape was drawn for, µm or µm², with its budget; or say why it can't be read.

    `seen_as` is how the picture's view sees the finding's zone, None where the view doesn't show it; `view` is None
    where the picture names none. `frame` is the upright picture's. Coordinates become micrometres before anything is
    worked out, so that unequal pixels do no harm. Uncertainty: JCGM 100:2008 by the sensitivity of the characteristic
    to each point and to the scale; the terms are those of `portal.measure.terms` and the shape's own.
    """
    kind = ShapeKind(shape.shape)

    def unmeasured(reason: Say) -> Unmeasured:
        return Unmeasured(shape.characteristic, reason, picture=picture, shape=kind, index=index)

    reason = refusal(shape.characteristic, kind, seen_as=seen_as, zone=zone, view=view, made=made)
    if reason is not None:
        return unmeasured(reason)
    if isinstance(scale, NoScale):
        return unmeasured(scale.reason)
    outside = _outside(points_of(shape), frame)
    if outside:
        return unmeasured(Say.of("measure.outside", n=outside))
    pixels = Pixels.of(scale, shape.drawn)
    try:
        sketch = sketch_of(shape, pixels)
    except NotDrawn as unclear:
        return unmeasured(Say.of(f"measure.{unclear.key}", **unclear.numbers))
    return _measurement(shape, sketch, scale, pixels, zone_depth_um, picture, index)


def points_of(shape: Shape) -> tuple[Pair, ...]:
    """All points of the shape, in pixels of the upright picture."""
    if isinstance(shape, BaseAndPoint):
        return shape.base.xy + shape.point.xy
    return shape.points.xy


@lru_cache(maxsize=256)
def sketch_of(shape: Shape, pixels: Pixels) -> Sketch:
    """What the shape comes to in micrometres; NotDrawn where its points give nothing.

    What was worked out of late is at hand: while somebody draws, all else on the picture stays as it is.
    """
    match shape:
        case LineShape():
            measure = line.across if shape.characteristic in _STRAIGHT else line.along
            return measure(shape.points.xy, pixels, edge=shape.edge)
        case BaseAndPoint():
            below = shape.characteristic in BELOW
            return base_and_point(shape.base.xy, shape.point.xy, pixels, edge=shape.edge, below=below)
        case RectangleShape():
            return blocks.rectangle(shape.points.xy, pixels, edge=shape.edge, characteristic=shape.characteristic)
        case EllipseShape():
            return blocks.ellipse(shape.points.xy, pixels, edge=shape.edge, characteristic=shape.characteristic)
        case OutlineShape():
            return outline(shape.points.xy, pixels, edge=shape.edge, characteristic=shape.characteristic)
        case PointShape():
            raise NotDrawn("no-length")


def _outside(points: Sequence[Pair], frame: Frame) -> int:
    """How many points lie outside the picture: nothing is calibrated there."""
    return sum(not (0 <= x <= frame.width and 0 <= y <= frame.height) for x, y in points)


def _measurement(
    shape: Shape,
    sketch: Sketch,
    scale: Scale,
    pixels: Pixels,
    zone_depth_um: float | None,
    picture: str,
    index: int,
) -> Measurement:
    given = shape.height_difference
    terms = terms_of(
        sketch,
        scale,
        pixels,
        height_difference_um=given.um if given else None,
        zone_depth_um=zone_depth_um,
    )
    combined = combine(terms)
    return Measurement(
        characteristic=shape.characteristic,
        value=sketch.value,
        u=combined.u,
        k=combined.k,
        dof=combined.dof,
        terms=terms,
        how="shape",
        picture=picture,
        shape=ShapeKind(shape.shape),
        drawn=shape.drawn,
        power=sketch.power,
        correction=sketch.correction,
        scale=scale,
        index=index,
        trace=sketch.trace,
    )
