"""Moulds, cavities, trials, pieces, and what was looked at."""

from enum import StrEnum
from functools import cached_property
from typing import Annotated

from pydantic import Field

from portal.model.base import FROM_PATH, Record
from portal.model.picture import Picture
from portal.model.scalars import Day, MomentField, Number, Text, Whole


class Status(StrEnum):
    """Whether a cavity makes parts."""

    RUNNING = "running"
    BLOCKED = "blocked"


class Cavity(Record):
    """A cavity by its engraved mark."""

    part: Text
    insert: Text | None = None
    insert_revision: Text | None = None
    status: Status
    reason: Text | None = None


class Shots(Record):
    """Which shots were thrown away and kept, and how many each cavity and view needs."""

    discarded: Whole = 0
    kept: tuple[Whole, ...]
    required: Whole = 1


class Piece(Record):
    """One inspected piece and where it is now."""

    id: Text
    cavity: Text
    shot: Whole
    place: Text | None = None


class Checked(Record):
    """Somebody marked the trial checked."""

    by: Text
    at: MomentField


class Looked(Record):
    """`looked/<cavity>-<view>-<shot>.yaml`: looked at, nothing seen."""

    format: Whole
    cavity: Text
    view: Text
    shot: Whole
    piece: Text | None = None
    condition: Text
    by: Text
    at: MomentField
    file: Annotated[str, FROM_PATH]


class Trial(Record):
    """`moulds/<mould>/trials/<trial>/trial.yaml` with its pictures and what was looked at."""

    format: Whole
    stage: Text
    date: Day
    standards: dict[str, Text]
    changed: Text | None = None
    press: Text | None = None
    settings_sheet: Text | None = None
    material_lot: Text | None = None
    colour_lot: Text | None = None
    shots: Shots
    hours_to_inspection: Number | None = None
    pieces: tuple[Piece, ...] = ()
    checked: Checked | None = None
    id: Annotated[str, FROM_PATH]
    mould: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]
    pictures: Annotated[tuple[Picture, ...], FROM_PATH] = ()
    looked: Annotated[tuple[Looked, ...], FROM_PATH] = ()

    @cached_property
    def also_on(self) -> dict[str, tuple[Picture, ...]]:
        """The pictures that add shapes to a finding written under another one, by the finding's id."""
        found: dict[str, tuple[Picture, ...]] = {}
        for picture in self.pictures:
            for finding in {more.finding: None for more in (picture.tag.also if picture.tag else ())}:
                found[finding] = (*found.get(finding, ()), picture)
        return found


class Mould(Record):
    """`moulds/<mould>/mould.yaml` with its trials, in the order of their dates."""

    format: Whole
    customer_tool_number: Text
    revision: Text
    cavities: dict[str, Cavity]
    id: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]
    trials: Annotated[dict[str, Trial], FROM_PATH] = Field(default_factory=dict)

    def may_share_part(self, one: Picture, other: Picture) -> bool:
        """Whether two pictures may show the same part: unless their cavities make different ones."""
        named = [self.cavities.get(each.tag.cavity or "") for each in (one, other) if each.tag]
        return len({cavity.part for cavity in named if cavity}) < 2
