"""Which countables a criterion counts: by size, with what is doubtful or not known.

A size's doubt is its one-sided 95 % interval: where it reaches over a border, the countable is doubtful. Under
`simple` the size as measured is compared. Lengths in µm, areas in µm².
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from portal.judge.conformity import guard_factor, is_above
from portal.model.countable import Countable
from portal.model.result import Measurement
from portal.model.say import Say
from portal.model.standard import CountBand, Criterion
from portal.model.terms import Characteristic, Decision


class Member(Enum):
    """Whether a countable is one of those that are counted."""

    YES = "yes"
    NO = "no"
    DOUBTFUL = "doubtful"
    """Its size is too near a border."""
    UNKNOWN = "unknown"
    """Something that the shop can still find out isn't known."""


@dataclass(frozen=True, slots=True)
class Sorted:
    """A countable with whether it is counted, the size that says so, and why it isn't known."""

    item: Countable
    member: Member
    size: Measurement | None = None
    why: Say | None = None


@dataclass(frozen=True, slots=True)
class Border:
    """From where to where a size counts, both ends included; by area or by length."""

    low: float | None
    high: float | None
    by_area: bool = False


Sizes = tuple[Measurement, ...]
"""What a countable may measure: a long one may be a line or a point, each with its own size."""


def needed(criterion: Criterion) -> frozenset[Characteristic]:
    """What has to be measured of a countable to know whether it is counted."""
    bands = [band for band in criterion.count if band.is_sized]
    if not bands and criterion.smallest_counted is None:
        return frozenset()
    lengths = {Characteristic.LENGTH, Characteristic.WIDTH} if criterion.line_if_longer_than_twice_width else set()
    areas = {Characteristic.AREA} if any(each.by_area for band in bands for each in borders(band)) else set()
    return frozenset({Characteristic.DIAMETER} | lengths | areas)


def borders(band: CountBand) -> tuple[Border, ...]:
    """What limits the sizes of a band; none where everything counts."""
    found = []
    if band.from_ is not None or band.to is not None:
        found.append(Border(band.from_.um if band.from_ else None, band.to.um if band.to else None))
    if band.from_area is not None or band.to_area is not None:
        low, high = band.from_area, band.to_area
        found.append(Border(low.um2 if low else None, high.um2 if high else None, by_area=True))
    return tuple(found)


def smallest(criterion: Criterion) -> tuple[Border, ...]:
    """What is smaller doesn't exist for the criterion."""
    least = criterion.smallest_counted
    return (Border(least.um, None),) if least is not None else ()


def sort(
    items: Iterable[Countable], criterion: Criterion, within: tuple[Border, ...], *, soft: bool, sized: bool
) -> Iterator[Sorted]:
    """Each countable with whether it counts between those borders.

    `sized` says that a band of sizes is set, where a point, which has no size, doesn't count. `soft` says that what
    was drawn along a class's edge is no size to judge by.
    """
    for item in items:
        found = _sort(item, criterion, within, soft=soft, sized=sized)
        if item.unsure is not None and found.member is not Member.NO:
            found = Sorted(item, Member.UNKNOWN, found.size, item.unsure)
        yield found


def _sort(item: Countable, criterion: Criterion, within: tuple[Border, ...], *, soft: bool, sized: bool) -> Sorted:
    if not within:
        return Sorted(item, Member.YES)
    if not item.is_drawn:
        return Sorted(item, Member.UNKNOWN, why=Say.of("reason.item-undrawn"))
    if not item.is_sizable:
        return Sorted(item, Member.NO if sized else Member.YES)
    if soft and criterion.edge_drawn is None:
        return Sorted(item, Member.UNKNOWN, why=Say.of("reason.item-soft"))
    worst = Sorted(item, Member.YES)
    for border in within:
        sizes = _sizes(item, criterion, by_area=border.by_area)
        if isinstance(sizes, Say):
            return Sorted(item, Member.UNKNOWN, why=sizes)
        found = _between(sizes, border, criterion.decision)
        if found is Member.NO:
            return Sorted(item, found, sizes[0])
        if worst.member is Member.YES:
            worst = Sorted(item, found, sizes[0])
    return worst


def _sizes(item: Countable, criterion: Criterion, *, by_area: bool) -> Sizes | Say:
    """What a countable counts as: a line by its length, else by its mean diameter, or its area."""
    if by_area:
        characteristics: tuple[Characteristic, ...] = (Characteristic.AREA,)
    elif item.is_line:
        characteristics = (Characteristic.LENGTH,)
    elif criterion.line_if_longer_than_twice_width:
        characteristics = (Characteristic.LENGTH, Characteristic.WIDTH, Characteristic.DIAMETER)
    else:
        characteristics = (Characteristic.DIAMETER,)
    read = []
    for each in characteristics:
        reading = _read(item, each)
        if isinstance(reading, Say):
            return reading
        read.append(reading)
    return tuple(read) if len(read) == 1 else _long_or_round(*read, decision=criterion.decision)


def _read(item: Countable, characteristic: Characteristic) -> Measurement | Say:
    reading = item.size(characteristic)
    if isinstance(reading, Measurement):
        return reading
    name = Say.of(f"characteristic.{characteristic.value}")
    return reading.reason if reading is not None else Say.of("reason.not-measured", characteristic=name)


def _long_or_round(length: Measurement, width: Measurement, diameter: Measurement, *, decision: Decision) -> Sizes:
    """Longer than twice its width: a line. Both where that is too close to call.

    Length and width are taken as independent, which doubts rather more than it has to.
    """
    excess = length.value - 2 * width.value
    reach = _reach(math.hypot(length.u, 2 * width.u), min(length.dof, width.dof), decision)
    if is_above(excess, reach):
        return (length,)
    if reach <= 0 or not is_above(excess, -reach):
        return (diameter,)
    return (diameter, length)


def _reach(u: float, dof: float, decision: Decision) -> float:
    return guard_factor(dof) * u if decision is Decision.GUARDED else 0.0


def _between(sizes: Sizes, border: Border, decision: Decision) -> Member:
    found = {_stands(each, border, decision) for each in sizes}
    return found.pop() if len(found) == 1 else Member.DOUBTFUL


def _stands(size: Measurement, border: Border, decision: Decision) -> Member:
    reach = _reach(size.u, size.dof, decision)
    least, most = size.value - reach, size.value + reach
    low = -math.inf if border.low is None else border.low
    high = math.inf if border.high is None else border.high
    if is_above(low, most) or is_above(least, high):
        return Member.NO
    return Member.DOUBTFUL if is_above(low, least) or is_above(most, high) else Member.YES
