"""Pieces to be counted: what was drawn of a defect class on one picture, as judging takes it."""

from dataclasses import dataclass
from typing import Protocol

from portal.model.result import Measurement, Reading
from portal.model.say import Say
from portal.model.terms import Characteristic, Drawn, Edge

Spot = tuple[float, float]
"""A place on the object in micrometres: x right, y down, from the corner of the upright picture."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a countable lies, in micrometres; one corner is a point, two or more a line or an outline."""

    at: Spot
    """The point, the centre, the middle of a line."""
    corners: tuple[Spot, ...]
    closed: bool
    edge: Edge
    drawn: Drawn


@dataclass(frozen=True, slots=True)
class Countable:
    """One countable of a defect class on a picture.

    `sizes` has those characteristics that its shape was measured for, or why they can't be had; a point has none.
    """

    finding: str
    number: int | None
    """Which countable of its finding on that picture, from 1; None where the finding has only this one."""
    defect: str
    zones: tuple[str, ...]
    """Its zone; two where it lies across their border."""
    place: Place | None = None
    """None where the picture has no scale, or where nothing was drawn."""
    sizes: tuple[Reading, ...] = ()
    is_line: bool = False
    is_drawn: bool = True
    is_sizable: bool = True
    """Whether its shape has a size at all: a point has none."""
    unsure: Say | None = None
    """Why nobody knows whether it counts: not checked at the set condition."""

    def size(self, characteristic: Characteristic) -> Reading | None:
        """The reading of that characteristic; None where there is none."""
        return next((each for each in self.sizes if each.characteristic is characteristic), None)


class Ruler(Protocol):
    """Measures distances on one picture, with their uncertainty."""

    @property
    def shown_um(self) -> float:
        """The shorter side of what the picture shows."""
        ...

    def between(self, one: Spot, other: Spot, *, edge: Edge, drawn: Drawn) -> Measurement:
        """The distance between two places on the edges of two countables, µm."""
        ...

    def doubt(self, length_um: float, *, drawn: Drawn) -> float:
        """The standard uncertainty of how far apart the middles of two countables lie, µm, at about that length."""
        ...


@dataclass(frozen=True, slots=True)
class Group:
    """What can be counted on one picture under one criterion."""

    items: tuple[Countable, ...]
    """Of every class and zone that the criterion may have to count."""
    whole_zone: bool
    """Somebody said that the picture shows all of the zone."""
    whole_part: bool
    """Somebody said so of every zone that the criterion rules."""
    ruler: Ruler | Say
    """What measures distances on it, or why it has no scale."""
    refused: Say | None = None
    """Why nothing can be counted in this view."""
