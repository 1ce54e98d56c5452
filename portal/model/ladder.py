"""Lengths of scale bars: the 1-2-5 series, and which of them fits a picture."""

import math
from dataclasses import dataclass

from portal.model.show import fixed


@dataclass(frozen=True, slots=True)
class Rung:
    """One length of the ladder and its label in one unit."""

    um: float
    label: str


def rungs(unit: str) -> tuple[Rung, ...]:
    """The 1-2-5 series from 0.1 µm to 1 m (or 10 µin to 10 in), labelled in one unit: `mm` or `in`."""
    per_unit, lowest, highest = (1000.0, -4, 3) if unit == "mm" else (25_400.0, -5, 1)
    return tuple(
        Rung(step * 10.0**power * per_unit, f"{fixed(step * 10.0**power, max(0, -power))} {unit}")
        for power in range(lowest, highest)
        for step in (1, 2, 5)
    )


def bar_for(field_um: float, unit: str) -> Rung:
    """The longest rung that takes at most half of a field's width; it takes at least a fifth of it.

    Steps of the series are 2, 2.5 and 2 apart, so the longest below a half is above a fifth.
    """
    if not (math.isfinite(field_um) and field_um > 0):
        raise ValueError("a field's width is a positive length")
    fitting = [rung for rung in rungs(unit) if rung.um <= field_um / 2]
    return fitting[-1] if fitting else rungs(unit)[0]
