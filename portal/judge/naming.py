"""What a count is about, and which countables it names, in words."""

from collections.abc import Iterable, Sequence

from portal.judge.sized import Sorted
from portal.model import show
from portal.model.countable import Countable
from portal.model.say import DefectTerm, Figure, Quantity, Say, Several, Value
from portal.model.scalars import Area, Length
from portal.model.standard import CountBand, Criterion

_NAMED = 6
"""So many countables are named; of more, the rest is a number."""


def counted_as(band: CountBand, criterion: Criterion, zone: str) -> Say:
    """Which classes, of which sizes, where."""
    classes = Several(tuple(DefectTerm(each) for each in (criterion.defect, *band.together_with)))
    return Say.of("verdict.counted", defect=classes, sizes=_sizes(band, criterion), where=_where(band, zone))


def items(found: Sequence[Sorted]) -> Several:
    """Pieces by their finding and number, with the size that is doubtful."""
    named: list[Value] = [_piece(each) for each in found[:_NAMED]]
    if len(found) > _NAMED:
        named.append(Say.of("verdict.item.more", n=len(found) - _NAMED))
    return Several(tuple(named))


def names(found: Iterable[Countable]) -> Several:
    """Pieces by their finding and number only."""
    return Several(tuple(_name(each) for each in found))


def narrower(um: float, than: Length) -> Figure:
    """A width that is less than a length, in that length's unit, with enough digits to be seen to be less."""
    unit = than.unit if than.unit in {"mm", "in", "um", "µm", "μm"} else "mm"
    for digits in range(2, 8):
        text = show.about(um, unit, digits=digits)
        if float(text.split()[0]) < show.in_unit(than.um, unit):
            return Figure(text)
    return Figure(show.about(um, unit, digits=8))


def _sizes(band: CountBand, criterion: Criterion) -> Say:
    said = [
        _between("size", band.from_, band.to),
        _between("area", band.from_area, band.to_area),
    ]
    given = [each for each in said if each is not None]
    if criterion.smallest_counted is not None and band.from_ is None:
        given.append(Say.of("verdict.counted.smallest", min=criterion.smallest_counted))
    return Say.of("verdict.counted.sizes", all=Several(tuple(given))) if given else Say.of("verdict.counted.any")


def _between(kind: str, low: Length | Area | None, high: Length | Area | None) -> Say | None:
    if low is not None and high is not None:
        return Say.of(f"verdict.counted.{kind}.both", min=low, max=high)
    if low is not None:
        return Say.of(f"verdict.counted.{kind}.min", min=low)
    return Say.of(f"verdict.counted.{kind}.max", max=high) if high is not None else None


def _where(band: CountBand, zone: str) -> Say:
    if band.circle is not None:
        return Say.of("verdict.counted.circle", diameter=band.circle, zone=zone)
    return Say.of("verdict.counted.part") if band.per == "part" else Say.of("verdict.counted.zone", zone=zone)


def _piece(found: Sorted) -> Say:
    if found.size is None:
        return _name(found.item)
    size = Quantity(found.size.value, found.size.expanded, power=found.size.power)
    return Say.of("verdict.item.sized", item=_name(found.item), size=size)


def _name(item: Countable) -> Say:
    if item.number is None:
        return Say.of("verdict.item", finding=item.finding)
    return Say.of("verdict.item.numbered", finding=item.finding, number=item.number)
