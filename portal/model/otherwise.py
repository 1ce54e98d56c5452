"""What was agreed of a limit sample otherwise than of the criterion beside whose findings it is looked at."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from portal.model.part import Zone
from portal.model.sample import LimitSample
from portal.model.standard import Criterion


@dataclass(frozen=True, slots=True)
class Otherwise:
    """One thing that differs: how a piece was looked at, or for which class of zones it was agreed."""

    what: Literal["condition", "zone_class"]
    sample: str
    criterion: str


def agreed_otherwise(sample: LimitSample, criterion: Criterion, zone: Zone | None) -> Iterator[Otherwise]:
    """What differs; where a criterion is one of a single zone, that zone's class is meant."""
    if sample.condition != criterion.condition:
        yield Otherwise("condition", sample.condition, criterion.condition)
    wanted = criterion.zone_class or (zone.class_ if zone else None)
    if wanted is not None and sample.zone_class != wanted:
        yield Otherwise("zone_class", sample.zone_class, wanted)
