"""How wide an agreement is, and how finely it has to be measured for it."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from portal.model.standard import CountBand, Criterion, Limit
from portal.model.terms import Characteristic

FINE, USABLE = 10, 3
"""U of at most a tenth of what is agreed is fine, of at most a third usable: common practice, no source. A third is
also where the decision `simple` ends."""


class Grade(StrEnum):
    """What a scale is good for."""

    FINE = "fine"
    USABLE = "usable"
    COARSE = "coarse"
    TOO_LONG = "too-long"
    """Longer than the picture is wide."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """A length at which a criterion decides, and the width of what is agreed there, both in micrometres."""

    characteristic: Characteristic
    length_um: float
    width_um: float

    def grade(self, expanded_um: float | None) -> Grade:
        """What an expected U of that length is good for; None stands for a length that the picture can't hold."""
        if expanded_um is None:
            return Grade.TOO_LONG
        if expanded_um <= self.width_um / FINE:
            return Grade.FINE
        return Grade.USABLE if expanded_um <= self.width_um / USABLE else Grade.COARSE


def tolerances(own: Criterion) -> tuple[Tolerance, ...]:
    """Every length at which a criterion decides; a limit of nothing has no width and is left out."""
    return tuple(each for each in dict.fromkeys(_all(own)) if each.width_um > 0 and each.length_um > 0)


def _all(own: Criterion) -> Iterator[Tolerance]:
    for limit in own.limits:
        yield from _of_limit(limit)
    for band in own.count:
        yield from _of_band(band)
    if own.smallest_counted:
        yield _size(own.smallest_counted.um)
    if own.spacing:
        yield Tolerance(Characteristic.SPACING, own.spacing.um, own.spacing.um)


def _of_limit(limit: Limit) -> Iterator[Tolerance]:
    ends = [abs(each.um) for each in (limit.min, limit.max) if each is not None]
    if not ends:
        return
    both = limit.min is not None and limit.max is not None
    width = limit.max.um - limit.min.um if limit.max is not None and limit.min is not None else ends[0]
    yield Tolerance(limit.characteristic, max(ends) if both else ends[0], width)


def _of_band(band: CountBand) -> Iterator[Tolerance]:
    for each in (band.from_, band.to):
        if each is not None:
            yield _size(each.um)


def _size(um: float) -> Tolerance:
    return Tolerance(Characteristic.DIAMETER, um, um)
