"""What an inspector writes under a picture."""

from typing import Annotated, Literal, Union

from pydantic import Field

from portal.model.base import FROM_PATH, Record
from portal.model.scalars import (
    FindingId,
    FrameField,
    LengthField,
    MomentField,
    PointsField,
    SecondsField,
    Sha256,
    Text,
    Whole,
    YesNo,
)
from portal.model.terms import Characteristic, Compared, Drawn, Edge, Made, Probe, Seen


class TaggedPicture(Record):
    """Which pixels the tag is about."""

    sha256: Sha256
    stored: FrameField


class _Drawn(Record):
    characteristic: Characteristic
    edge: Edge
    drawn: Drawn
    height_difference: LengthField | None = None
    """How far apart in height the ends of the measured distance lie."""


class PointShape(_Drawn):
    """One point, to be counted."""

    shape: Literal["point"]
    points: PointsField


class LineShape(_Drawn):
    """A line of two or more points."""

    shape: Literal["line"]
    points: PointsField


class BaseAndPoint(_Drawn):
    """A base of three or more points on the sound edge, and the farthest point (or candidates for it)."""

    shape: Literal["base-and-point"]
    base: PointsField
    point: PointsField


class RectangleShape(_Drawn):
    """A rectangle by three points: both ends of one side, then a point of the opposite side."""

    shape: Literal["rectangle"]
    points: PointsField


class EllipseShape(_Drawn):
    """An ellipse by three points: both ends of one axis, then an end of the other axis."""

    shape: Literal["ellipse"]
    points: PointsField


class OutlineShape(_Drawn):
    """A closed outline of three or more points; the last joins the first."""

    shape: Literal["outline"]
    points: PointsField


Shape = Annotated[
    Union[PointShape, LineShape, BaseAndPoint, RectangleShape, EllipseShape, OutlineShape],
    Field(discriminator="shape"),
]


class Gauge(Record):
    """A reading of what the view can't give."""

    characteristic: Characteristic
    readings: tuple[LengthField, ...]
    instrument: Text
    u: LengthField
    """Standard uncertainty of the instrument in this use."""


class Check(Record):
    """What was felt rather than seen."""

    what: Probe
    result: Literal["yes", "no"]
    method: Text


class Finding(Record):
    """One case of a defect class on one piece."""

    id: FindingId
    defect: Text
    zone: Text
    seen: Seen
    compared: Compared | None = None
    whole_zone: YesNo | None = None
    attached: YesNo | None = None
    shapes: tuple[Shape, ...] = ()
    gauge: tuple[Gauge, ...] = ()
    checks: tuple[Check, ...] = ()
    question: Text | None = None
    note: Text | None = None
    shop_note: Text | None = None
    by: Text
    at: MomentField


class More(Record):
    """More of a finding that is written under another picture of the same piece."""

    finding: FindingId
    shapes: tuple[Shape, ...]
    by: Text
    at: MomentField


class Known(Record):
    """The view's known feature, drawn."""

    feature: Text
    points: PointsField


class Reference(Record):
    """A reference of known size in the frame."""

    length: LengthField
    u: LengthField
    """Standard uncertainty of the length."""
    points: PointsField
    source: Text | None = None
    """Where its length comes from: a certificate, a drawing, the bar of a camera program."""


class BurnedInBar(Record):
    """A scale bar that the camera program drew into the pixels."""

    length: LengthField
    points: PointsField


class MovieWish(Record):
    """How a movie is to be shown."""

    poster: SecondsField | None = None
    """Seconds from its start: the frame that stands for it; else the one in the middle."""
    sound: YesNo | None = None
    """Whether its sound goes along; else it is left out."""


class Tag(Record):
    """`tags/<file name with its ending>.yaml`."""

    format: Whole
    picture: TaggedPicture
    taken: MomentField | None = None
    cavity: Text | None = None
    shot: Whole | None = None
    piece: Text | None = None
    view: Text | None = None
    scope: Text | None = None
    setting: Text | None = None
    made: Made = Made.SINGLE
    native: FrameField | None = None
    """Of a stitched picture: the frame of the single pictures of which it was made without changing their pixels."""
    known: Known | None = None
    reference: Reference | None = None
    burned_in_bar: BurnedInBar | None = None
    masks: tuple[PointsField, ...] = ()
    movie: MovieWish | None = None
    caption: Text | None = None
    shop_note: Text | None = None
    findings: tuple[Finding, ...] = ()
    also: tuple[More, ...] = ()
    file: Annotated[str, FROM_PATH]
