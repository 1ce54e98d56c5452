"""Limit samples: physical, signed pieces that both sides hold; pictures of them are references."""

from enum import StrEnum
from typing import Annotated

from portal.model.base import FROM_PATH, Record
from portal.model.scalars import Day, FrameField, LengthField, Sha256, Text, Whole
from portal.model.tag import Shape


class SampleKind(StrEnum):
    """Whether there is a piece."""

    PIECE = "piece"
    PICTURE_ONLY = "picture only"


class Side(StrEnum):
    """Which side of the limit a sample stands for."""

    LAST_GOOD = "last good"
    FIRST_BAD = "first bad"


class SamplePiece(Record):
    """One piece that somebody holds."""

    serial: Text | None
    """None where an audience doesn't see serial numbers; a file always has it."""
    cavity: Text | None = None
    shot: Whole | None = None
    holder: Text
    place: Text
    next_check: Day | None = None


class SamplePicture(Record):
    """A reference picture of a limit sample."""

    file: Text
    sha256: Sha256
    stored: FrameField
    scope: Text | None = None
    setting: Text | None = None
    shapes: tuple[Shape, ...] = ()


class SignedBy(Record):
    """A name and a date."""

    by: Text
    date: Day


class BothAgreed(Record):
    """Both sides' names."""

    shop: SignedBy
    customer: SignedBy


class LimitSample(Record):
    """`limit-samples/<id>/sample.yaml`."""

    format: Whole
    kind: SampleKind
    part: Text
    defect: Text
    zone_class: Text
    side: Side
    pair: Text | None = None
    condition: Text
    value: LengthField | None = None
    u: LengthField | None = None
    """Expanded uncertainty of the value."""
    pieces: tuple[SamplePiece, ...] = ()
    pictures: tuple[SamplePicture, ...] = ()
    agreed: BothAgreed
    expires: Day | None = None
    replaced_by: Text | None = None
    id: Annotated[str, FROM_PATH]
    folder: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]
