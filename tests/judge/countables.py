"""Small groups of what is counted, for the tests of counts and spacing."""

import math
from dataclasses import dataclass
from typing import Any

from portal.model.countable import Countable, Group, Place, Spot
from portal.model.result import Measurement
from portal.model.say import Say
from portal.model.standard import Criterion
from portal.model.terms import Characteristic, Drawn, Edge
from tests.judge.records import a_criterion, measured

FIELD_UM = 12_000.0


@dataclass(frozen=True)
class PlainRuler:
    """Distances that all have the same standard uncertainty, µm."""

    u: float = 3.0
    shown_um: float = FIELD_UM

    def between(self, one: Spot, other: Spot, *, edge: Edge, drawn: Drawn) -> Measurement:
        """The straight distance."""
        return measured(math.dist(one, other), self.u, characteristic="spacing", shape=None)

    def doubt(self, length_um: float, *, drawn: Drawn) -> float:
        """The same at any length."""
        return self.u


def a_speck(
    diameter: float | None,
    at: Spot | None = (0.0, 0.0),
    *,
    u: float = 3.0,
    length: float | None = None,
    width: float | None = None,
    area: float | None = None,
    **other: Any,
) -> Countable:
    """A round speck in zone B with its diameter in µm; without one it is a point."""
    given = {"diameter": diameter, "length": length, "width": width, "area": area}
    sizes = tuple(measured(value, u, characteristic=name) for name, value in given.items() if value is not None)
    place = None
    if at is not None:
        reach = (diameter or 0.0) / 2
        turns = [2 * math.pi * k / 8 for k in range(8)]
        ring = tuple((at[0] + reach * math.cos(turn), at[1] + reach * math.sin(turn)) for turn in turns)
        place = Place(at, ring if reach else (at,), bool(reach), Edge.SHARP, Drawn.BY_HAND)
    values: dict[str, Any] = {"finding": "7K3F", "number": 1, "defect": "black-speck", "zones": ("B",), "place": place}
    return Countable(**(values | {"sizes": sizes, "is_sizable": bool(sizes)} | other))


def a_group(*items: Countable, u: float = 3.0, shown_um: float = FIELD_UM, **other: Any) -> Group:
    """A picture 12 mm wide that shows all of the zone, with its specks numbered."""
    numbered = tuple(
        Countable(**({name: getattr(each, name) for name in each.__slots__} | {"number": number}))
        for number, each in enumerate(items, 1)
    )
    values: dict[str, Any] = {"items": numbered, "whole_zone": True, "whole_part": True}
    return Group(**(values | {"ruler": PlainRuler(u, shown_um)} | other))


def counting(*bands: dict[str, Any], **other: Any) -> Criterion:
    """A criterion for black specks of class B that counts; bands are per zone unless they say otherwise."""
    count = [{"per": "zone"} | band for band in bands]
    return a_criterion(**({"defect": "black-speck", "limits": [], "count": count} | other))


def reading_of(item: Countable) -> Measurement:
    """The diameter of a speck."""
    found = item.size(Characteristic.DIAMETER)
    assert isinstance(found, Measurement)
    return found


NOT_CHECKED = Say.of("reason.not-checked")
