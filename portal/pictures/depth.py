"""Maps deep samples to 8 bits by one rule, and says which range was shown.

Black is always 0 and white the top of a whole number of bits, so that two pictures of one camera look alike: the
bits that the file declares where it declares fewer than 16, else the fewest of 8, 10, 12, 14, 16 that hold its
largest value, or the largest of all pictures of its view, which are to be compared. A file with a colour profile is
meant for display and uses all 16. Only values that no such range holds (negative, fractions above 1) are stretched
between their own least and largest. Nothing is ever clipped.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from portal.model.say import Figure, Say

U8 = NDArray[np.uint8]
U16 = NDArray[np.uint16]

STEPS = (8, 10, 12, 14, 16)


@dataclass(slots=True)
class Ends:
    """The least and the largest of samples, taken some at a time, and whether all are whole numbers."""

    low: float = float("inf")
    high: float = float("-inf")
    are_whole: bool = True

    def take(self, values: NDArray[Any]) -> None:
        """Take more samples into account."""
        reals = values if values.dtype.kind == "u" else _numbers(values)
        self.low, self.high = min(self.low, float(reals.min())), max(self.high, float(reals.max()))
        self.are_whole = self.are_whole and (values.dtype.kind == "u" or bool(np.array_equal(reals, np.floor(reals))))

    @property
    def hold_16_bits(self) -> bool:
        """Whether all are whole numbers of 16 bits."""
        return self.are_whole and self.low >= 0 and self.high <= 0xFFFF


class BeyondRange(ValueError):
    """A sample is larger than the range that was taken for that of all."""


@dataclass(frozen=True, slots=True)
class Range:
    """The range of samples that is shown, by which each becomes one of 8 bits."""

    note: Say
    own_bits: int | None = None
    """How many bits hold the brightest value, where that and no declaration gave the range."""
    table: U8 | None = None
    """The code of each whole number; None where they are no whole numbers of 16 bits."""
    low: float = 0
    span: float = 1
    white_is_zero: bool = False

    def check(self, ends: Ends) -> None:
        """BeyondRange where whole numbers are larger than any that it shows."""
        if self.table is not None and not ends.high < self.table.size:
            raise BeyondRange

    def codes(self, values: NDArray[Any]) -> U8:
        """Samples of 8 bits."""
        if self.table is not None:
            whole = values if values.dtype.kind == "u" else _numbers(values).astype(np.uint16)
            by_table: U8 = self.table[whole]
            return by_table
        shares = (_numbers(values) - self.low) / self.span
        codes: U8 = np.rint(255 * (1 - shares if self.white_is_zero else shares)).astype(np.uint8)
        return codes


def fitting_range(ends: Ends, *, white_is_zero: bool = False, least: int | None = None) -> Range:
    """The range for samples between these ends where none is declared; what holds them, and `least` bits or more."""
    if ends.hold_16_bits:
        return whole_range(bits_for(int(ends.high)), white_is_zero=white_is_zero, least=least)
    low, high = (0.0, 1.0) if ends.low >= 0 and ends.high <= 1 else (ends.low, ends.high)
    note = Say.of("picture.range.real", low=Figure(f"{low:g}"), high=Figure(f"{high:g}"))
    return Range(note, low=low, span=high - low or 1.0, white_is_zero=white_is_zero)


def whole_range(own: int, *, white_is_zero: bool = False, least: int | None = None) -> Range:
    """The range for whole numbers of which so many bits hold the brightest: these, or `least` where that is more."""
    bits = max(own, least or 0)
    return Range(range_note(bits, of_view=bool(least)), own, _turned(table_of(bits), white_is_zero))


def declared_range(bits: int, *, white_is_zero: bool = False) -> Range:
    """The range of whole numbers of so many bits, whatever they are."""
    return Range(range_note(bits), None, _turned(table_of(bits), white_is_zero))


def _turned(table: U8, is_turned: bool) -> U8:
    return table[::-1] if is_turned else table


def _numbers(values: NDArray[Any]) -> NDArray[np.float64]:
    """What is no number is 0."""
    return np.nan_to_num(values.astype(np.float64), nan=0.0, posinf=0.0, neginf=0.0)


def bits_for(most: int) -> int:
    """The fewest bits of those that are taken which hold a value."""
    return next(n for n in STEPS if most < 1 << n)


def table_of(bits: int) -> U8:
    """The code of each value of so many bits."""
    white = (1 << bits) - 1
    steps = np.arange(white + 1, dtype=np.uint32)
    table: U8 = ((steps * 255 + white // 2) // white).astype(np.uint8)
    return table


def range_note(bits: int, *, of_view: bool = False) -> Say:
    """The note that says which range of whole numbers was shown."""
    white = (1 << bits) - 1
    if of_view:
        return Say.of("picture.range.view", bits=bits, white=white)
    return Say.of("picture.range", bits=bits, white=white)
