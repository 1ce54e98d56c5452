"""Rounds the bound of a claim so that what is shown of it and of the value says the same as the unrounded two."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from portal.judge.conformity import is_above
from portal.model import show
from portal.model.scalars import Length, read_length

_MORE_DECIMALS = 4
"""How many digits more than U deserves a value may be shown with (`show.digits_needed`)."""


@dataclass(frozen=True, slots=True)
class Bound:
    """A bound in µm beside the value it is shown with.

    `sign` is 1 where what lies above is beyond it, -1 where what lies below is. `inwards` rounds it away from what
    is beyond, as a bound of acceptance; else it is rounded towards that, as a bound of rejection.
    """

    um: float
    sign: int
    inwards: bool
    value_um: float
    expanded_um: float

    @property
    def beyond(self) -> bool:
        """Whether the unrounded value lies beyond."""
        return is_above(self.sign * self.value_um, self.sign * self.um)


def shown(bound: Bound, like: Length) -> Length:
    """The bound in the unit of an agreed limit, to more digits where U deserves or the value needs them."""
    unit = "mm" if like.unit in {"cm", "m", "nm"} else like.unit
    deserved = show.decimals_for(show.in_unit(bound.expanded_um, unit))
    least = max(like.decimals if unit == like.unit else 0, deserved)
    number = bound.sign * _upper(bound, unit, least, deserved + _MORE_DECIMALS) + 0  # + 0 turns -0 into 0
    return read_length(f"{number:f} {unit}")


def _upper(bound: Bound, unit: str, least: int, most: int) -> Decimal:
    """The bound as if what lies above were beyond it; a lower one is turned round first."""
    exact = bound.sign * Decimal(f"{show.in_unit(bound.um, unit):.12f}")
    value = bound.sign * Decimal(repr(show.in_unit(bound.value_um, unit)))
    last = Decimal(1).scaleb(-most)
    nearest = value.quantize(last)
    for decimals in range(least, max(least, most) + 1):
        number = exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_FLOOR if bound.inwards else ROUND_CEILING)
        if all((each > number) is bound.beyond for each in (value, nearest)):
            return number
    # No digit that is shown tells the two apart: the bound follows the value.
    if bound.beyond:
        return min(value, nearest).quantize(last, rounding=ROUND_FLOOR) - last
    return max(value, nearest).quantize(last, rounding=ROUND_CEILING)
