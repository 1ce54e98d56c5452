"""Limits and the bounds of a decision as they are said: digits that never contradict the verdict."""

from portal.judge import rounding
from portal.judge.conformity import Limits, Region
from portal.judge.rounding import Bound
from portal.model.result import Measurement
from portal.model.say import Quantity, Say, Value
from portal.model.scalars import Length
from portal.model.standard import Limit


def limits_of(limit: Limit) -> Limits:
    """The agreed limit in µm, on the exact conversion."""
    return Limits(low=limit.min.um if limit.min else None, high=limit.max.um if limit.max else None)


def agreed(limit: Limit) -> Say:
    """The agreed limit in words, as it was written."""
    ends: dict[str, Value] = {name: end for name, end in (("min", limit.min), ("max", limit.max)) if end is not None}
    return Say.of("verdict.bound.both" if len(ends) == 2 else f"verdict.bound.{next(iter(ends))}", **ends)


def accepted(region: Region, limit: Limit, measurement: Measurement) -> Say:
    """From where to where a value is called conforming, rounded towards the inside."""
    if not region.can_accept:
        return Say.of("verdict.accept.none")
    return _span("verdict.accept", region.accept_low, region.accept_high, limit, measurement, inwards=True)


def rejected(region: Region, limit: Limit, measurement: Measurement) -> Say:
    """Beyond which a value is called not conforming, rounded towards the outside."""
    return _span("verdict.reject", region.reject_below, region.reject_above, limit, measurement, inwards=False)


def shown(measurement: Measurement, limit: Limit, *bounds: Say, on_limit: bool = False) -> Quantity:
    """The value with its ±, in the limit's unit, on the same side of every bound that the sentence shows.

    `on_limit` says that the sentence takes no side of the limit itself, so that rounding onto it contradicts nothing.
    """
    ends = () if on_limit else (limit.min, limit.max)
    lengths = [*ends, *(value for bound in bounds for _, value in bound.values)]
    return Quantity(
        measurement.value,
        measurement.expanded,
        power=measurement.power,
        against_um=tuple(length.um for length in lengths if isinstance(length, Length)),
        like=limit.max or limit.min,
    )


def _span(
    key: str, low_um: float | None, high_um: float | None, limit: Limit, measurement: Measurement, *, inwards: bool
) -> Say:
    ends = (("min", limit.min, low_um, -1), ("max", limit.max, high_um, 1))
    lengths: dict[str, Value] = {
        name: rounding.shown(Bound(um, sign, inwards, measurement.value, measurement.expanded), agreed)
        for name, agreed, um, sign in ends
        if agreed is not None and um is not None
    }
    return Say.of(f"{key}.both" if len(lengths) == 2 else f"{key}.{next(iter(lengths))}", **lengths)
