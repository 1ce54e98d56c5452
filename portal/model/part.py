"""Parts with their zones and views."""

from typing import Annotated

from pydantic import Field

from portal.model.base import FROM_PATH, Record
from portal.model.scalars import LengthField, PointsField, Text, Whole
from portal.model.standard import Criterion
from portal.model.terms import Concern, Rank, Required, SeenAs, ZoneKind


class Numbers(Record):
    """The part's number on both sides; text, leading zeros kept."""

    shop: Text
    customer: Text


class Drawing(Record):
    """The drawing and its revision."""

    number: Text
    revision: Text


class Zone(Record):
    """A zone of the part; its class says which criteria hold."""

    class_: Text = Field(alias="class")
    kind: ZoneKind
    component: Text | None = None
    concern: Concern | None = None
    depth: LengthField | None = None
    """How far surfaces of the zone may lie apart in height; bounds the parallax."""


class Sees(Record):
    """How a view sees one zone, and where its outline lies in the reference picture."""

    as_: SeenAs = Field(alias="as")
    outline: PointsField | None = None


class KnownFeature(Record):
    """A feature from the drawing that must measure right."""

    name: Text
    length: LengthField
    u: LengthField


class View(Record):
    """A view of the part that a trial has to look at."""

    picture: Required
    reference: Text | None = None
    sees: dict[str, Sees]
    known_feature: KnownFeature | None = None


class Part(Record):
    """`parts/<part>/part.yaml`."""

    format: Whole
    customer: Text
    name: Text
    numbers: Numbers
    drawing: Drawing
    reference: Text | None = None
    material: Text
    components: tuple[Text, ...] = ()
    zones: dict[str, Zone]
    views: dict[str, View]
    standards: tuple[Text, ...]
    criteria: tuple[Criterion, ...] = ()
    precedence: tuple[Rank, ...]
    id: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]
