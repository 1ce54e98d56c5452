"""What a criterion that counts demands, as a page tells it."""

from collections.abc import Callable, Iterator

from portal.model.say import DefectTerm, Say, Several, Value
from portal.model.scalars import Area, Length
from portal.model.standard import CountBand, Criterion

Told = Callable[[Length], Say]
"""Tells a length, with the reader's unit beside it where that is another one."""


def counted(own: Criterion, told: Told) -> Iterator[Say]:
    """Each count, the spacing, and what doesn't count at all."""
    for band in own.count:
        yield Say.of("criterion.count", max=band.max, where=_where(band, told), of=Several(tuple(_of(band, told))))
    if own.spacing is not None:
        yield Say.of("criterion.spacing", min=told(own.spacing))
    if own.smallest_counted is not None:
        yield Say.of("criterion.smallest_counted", min=told(own.smallest_counted))
    if own.line_if_longer_than_twice_width:
        yield Say.of("criterion.line_if_long")


def _where(band: CountBand, told: Told) -> Say:
    if band.circle is not None:
        return Say.of("criterion.count_circle", diameter=told(band.circle))
    return Say.of("criterion.count_part" if band.per == "part" else "criterion.count_zone")


def _of(band: CountBand, told: Told) -> Iterator[Say]:
    sizes = [told(each) if each is not None else None for each in (band.from_, band.to)]
    areas = [Say.of("criterion.area", area=each) if each is not None else None for each in _areas(band)]
    found = [_between(*sizes), _between(*areas)]
    yield from (each for each in found if each is not None)
    if not band.is_sized:
        yield Say.of("criterion.count_any")
    if band.together_with:
        classes: tuple[Value, ...] = tuple(DefectTerm(each) for each in band.together_with)
        yield Say.of("criterion.count_together", classes=Several(classes))


def _areas(band: CountBand) -> tuple[Area | None, Area | None]:
    return band.from_area, band.to_area


def _between(low: Say | None, high: Say | None) -> Say | None:
    if low is not None and high is not None:
        return Say.of("criterion.count_between", low=low, high=high)
    if low is not None:
        return Say.of("criterion.count_from", low=low)
    return Say.of("criterion.count_to", high=high) if high is not None else None
