"""Limits and the bounds of a decision as they are said: digits that never contradict the verdict."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from portal.judge.conformity import Limits, Region, is_above
from portal.model import show
from portal.model.result import Measurement
from portal.model.say import Quantity, Say
from portal.model.scalars import Length, read_length
from portal.model.standard import Limit

_MOST_DECIMALS = 9


def limits_of(limit: Limit) -> Limits:
    """The agreed limit in µm, on the exact conversion."""
    return Limits(low=limit.min.um if limit.min else None, high=limit.max.um if limit.max else None)


def agreed(limit: Limit) -> Say:
    """The agreed limit in words, as it was written."""
    if limit.min and limit.max:
        return Say.of("verdict.bound.both", min=limit.min, max=limit.max)
    if limit.max:
        return Say.of("verdict.bound.max", max=limit.max)
    return Say.of("verdict.bound.min", min=_given(limit.min))


def accepted(region: Region, limit: Limit, measurement: Measurement) -> Say:
    """From where to where a value is called conforming, rounded towards the inside."""
    if not region.can_accept:
        return Say.of("verdict.accept.none")
    return _span(
        "verdict.accept",
        _bound(region.accept_low, limit.min, measurement, rounding=ROUND_CEILING),
        _bound(region.accept_high, limit.max, measurement, rounding=ROUND_FLOOR),
    )


def rejected(region: Region, limit: Limit, measurement: Measurement) -> Say:
    """Beyond which a value is called not conforming, rounded towards the outside."""
    return _span(
        "verdict.reject",
        _bound(region.reject_below, limit.min, measurement, rounding=ROUND_FLOOR),
        _bound(region.reject_above, limit.max, measurement, rounding=ROUND_CEILING),
    )


def shown(measurement: Measurement, limit: Limit, *bounds: Say) -> Quantity:
    """The value with its ±, in the limit's unit, on the same side of every bound that the sentence shows."""
    lengths = [limit.min, limit.max, *(value for bound in bounds for _, value in bound.values)]
    return Quantity(
        measurement.value,
        measurement.expanded,
        power=measurement.power,
        against_um=tuple(length.um for length in lengths if isinstance(length, Length)),
        like=limit.max or limit.min,
    )


def _given(length: Length | None) -> Length:
    if length is None:
        raise ValueError("a limit has a `max`, a `min`, or both")
    return length


def _span(key: str, low: Length | None, high: Length | None) -> Say:
    if low is not None and high is not None:
        return Say.of(f"{key}.both", min=low, max=high)
    return Say.of(f"{key}.max", max=high) if high is not None else Say.of(f"{key}.min", min=_given(low))


def _bound(um: float | None, like: Length | None, measurement: Measurement, *, rounding: str) -> Length | None:
    """A bound to the limit's digits, to more where U deserves them or where the value lies between."""
    if um is None or like is None:
        return None
    unit = "mm" if like.unit in {"cm", "m", "nm"} else like.unit
    least = max(like.decimals if unit == like.unit else 0, show.decimals_for(show.in_unit(measurement.expanded, unit)))
    exact = Decimal(f"{show.in_unit(um, unit):.{_MOST_DECIMALS}f}")
    for decimals in range(least, _MOST_DECIMALS):
        number = exact.quantize(Decimal(1).scaleb(-decimals), rounding=rounding)
        length = read_length(f"{number:f} {unit}")
        if _side(length.um, measurement.value) == _side(um, measurement.value):
            return length
    return read_length(f"{exact:f} {unit}")


def _side(value: float, other: float) -> int:
    return is_above(value, other) - is_above(other, value)
