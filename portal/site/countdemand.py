"""What a criterion that counts demands, as a page tells it."""

from collections.abc import Callable, Iterator

from portal.model.say import DefectTerm, Say, Several, Value
from portal.model.scalars import Length
from portal.model.standard import CountBand, Criterion

Told = Callable[[Length], Say]
"""Tells a length, with the reader's unit beside it where that is another one."""


def counted(own: Criterion, told: Told) -> Iterator[Say]:
    """Each count, the spacing, and what doesn't count at all."""
    for band in own.count:
        yield band_words(band, told)
    if own.spacing is not None:
        yield Say.of("clause.spacing", length=told(own.spacing))
    if own.smallest_counted is not None:
        yield Say.of("clause.smallest", length=told(own.smallest_counted))
    if own.line_if_longer_than_twice_width:
        yield Say.of("clause.line")


def band_words(band: CountBand, told: Told) -> Say:
    """How many of which sizes are allowed where."""
    per = Say.of("per.circle", circle=told(band.circle)) if band.circle else Say.of(f"per.{band.per}")
    said = Say.of("clause.count" if band.max else "clause.count_none", n=band.max, size=_sizes(band, told), per=per)
    if not band.together_with:
        return said
    classes: tuple[Value, ...] = tuple(DefectTerm(each) for each in band.together_with)
    return Say.of("clause.count_together", count=said, classes=Several(classes))


def _sizes(band: CountBand, told: Told) -> Say:
    if band.from_area is not None or band.to_area is not None:
        return Say.of("size.in_area", size=_between(band.from_area, band.to_area))
    lengths = (told(each) if each is not None else None for each in (band.from_, band.to))
    return _between(*lengths)


def _between(low: Value | None, high: Value | None) -> Say:
    if low is not None and high is not None:
        return Say.of("size.both", **{"from": low, "to": high})
    if low is not None:
        return Say.of("size.from", **{"from": low})
    return Say.of("size.to", to=high) if high is not None else Say.of("size.any")
