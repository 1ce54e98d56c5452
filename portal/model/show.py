"""The only place that turns a quantity into text."""

import math
from decimal import ROUND_HALF_EVEN, Decimal

from portal.model.scalars import UM_PER_INCH, Area, Length

_UNIT_UM = {"mm": 1000.0, "in": UM_PER_INCH, "um": 1.0, "µm": 1.0, "μm": 1.0, "nm": 0.001, "cm": 10_000.0, "m": 1e6}
MINUS = "\u2212"


def fixed(value: float, decimals: int) -> str:
    """A number with that many decimals, rounded half to even on its decimal form, with a true minus sign."""
    rounded = Decimal(repr(value)).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_EVEN)
    text = f"{abs(rounded):.{max(decimals, 0)}f}"
    return f"{MINUS}{text}" if rounded < 0 else text


def decimals_for(expanded: float) -> int:
    """How many decimals an expanded uncertainty deserves: two digits where it begins with 1 or 2, else one.

    JCGM 100:2008 7.2.6 allows at most two significant digits; the choice between one and two is ours.
    """
    if expanded <= 0 or not math.isfinite(expanded):
        return 3
    exponent = math.floor(math.log10(expanded))
    leading = expanded / 10**exponent
    return max(0, -exponent + (1 if leading < 2.95 else 0))


def in_unit(um: float, unit: str, *, power: int = 1) -> float:
    """A value in µm (or µm² for power 2) in that unit."""
    return float(um / _UNIT_UM[unit] ** power)


def unit_text(unit: str, *, power: int = 1) -> str:
    """The unit as it is written."""
    name = {"um": "µm"}.get(unit, unit)
    return f"{name}²" if power == 2 else name


def digits_needed(um: float, decimals: int, unit: str, *, against_um: tuple[float, ...], power: int = 1) -> int:
    """Enough decimals so that rounding lands on no other side of any of the limits than the value itself."""
    value = in_unit(um, unit, power=power)
    limits = [in_unit(limit, unit, power=power) for limit in against_um]
    for digits in range(decimals, decimals + 4):
        shown = round(value, digits)
        if all(_side(shown, limit) == _side(value, limit) for limit in limits):
            return digits
    return decimals + 4


def _side(value: float, limit: float) -> int:
    if math.isclose(value, limit, rel_tol=1e-12, abs_tol=1e-15):
        return 0
    return 1 if value > limit else -1


def measured(
    um: float,
    expanded_um: float | None,
    unit: str,
    *,
    power: int = 1,
    against_um: tuple[float, ...] = (),
    least_decimals: int = 0,
) -> str:
    """A value with its ±: `0.148 mm ± 0.006 mm`; both to the digits that U deserves."""
    name = unit_text(unit, power=power)
    expanded = None if expanded_um is None else in_unit(expanded_um, unit, power=power)
    decimals = max(least_decimals, 3 if expanded is None else decimals_for(expanded))
    decimals = digits_needed(um, decimals, unit, against_um=against_um, power=power)
    value = f"{fixed(in_unit(um, unit, power=power), decimals)} {name}"
    return value if expanded is None else f"{value} ± {_rounded_up(expanded, decimals)} {name}"


def _rounded_up(expanded: float, decimals: int) -> str:
    """U, so that no less doubt is claimed than there is; what exceeds a digit by under a twentieth of it is that digit.

    JCGM 100:2008 7.2.6: it may sometimes be appropriate to round uncertainties up.
    """
    return fixed(math.floor(expanded * 10.0**decimals + 0.95) / 10.0**decimals, decimals)


def as_agreed(length: Length) -> str:
    """A length as it was written, its unit in print form."""
    number, unit = length.text[: len(length.text) - len(length.unit)].strip(), length.unit
    return f"{number.replace('-', MINUS)} {unit_text(unit)}"


def area_as_agreed(area: Area) -> str:
    """An area as it was written, its unit in print form."""
    number = area.text[: area.text.rindex(area.unit)].strip()
    return f"{number.replace('-', MINUS)} {unit_text(area.unit, power=2)}"


def other_unit(length: Length, unit: str) -> str | None:
    """The same length in the reader's unit, to as many digits; None where it was written in that unit already."""
    written = {"um": "mm", "µm": "mm", "μm": "mm", "nm": "mm", "cm": "mm", "m": "mm"}.get(length.unit, length.unit)
    if written == unit:
        return None
    step = _UNIT_UM[length.unit if length.unit in _UNIT_UM else "um"] * 10.0**-length.decimals
    decimals = max(0, math.ceil(-math.log10(step / _UNIT_UM[unit])))
    return f"{fixed(in_unit(length.um, unit), decimals)} {unit_text(unit)}"


def percent(chance: float) -> str:
    """A probability as a whole percentage that never says 0 % or 100 % of what is neither."""
    if chance > 0.99:
        return "> 99 %" if chance < 1 else "100 %"
    if chance < 0.01:
        return "< 1 %" if chance > 0 else "0 %"
    return f"{fixed(100 * chance, 0)} %"


def about(um: float, unit: str, *, digits: int = 2, power: int = 1) -> str:
    """A value to that many significant digits, as a term of a budget or the width of a picture deserves."""
    value = in_unit(um, unit, power=power)
    exponent = math.floor(math.log10(abs(value))) if value and math.isfinite(value) else 0
    return f"{fixed(value, max(0, digits - 1 - exponent))} {unit_text(unit, power=power)}"
