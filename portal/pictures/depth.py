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


@dataclass(frozen=True, slots=True)
class Mapped:
    """Samples of 8 bits, and the range that was shown."""

    pixels: U8
    note: Say
    own_bits: int | None = None
    """How many bits hold its brightest value, where that and no declaration gave the range."""


def whole_to_8_bits(
    values: U16, *, declared: int, for_display: bool, white_is_zero: bool = False, least: int | None = None
) -> Mapped:
    """Map 16-bit samples to 8 bits, and tell the range that was shown: `least` bits or more where none is declared."""
    own = None if declared < 16 or for_display else bits_for(int(values.max()))
    bits = declared if own is None else max(own, least or 0)
    table = table_of(bits)
    mapped: U8 = (table[::-1] if white_is_zero else table)[values]
    return Mapped(mapped, range_note(bits, of_view=bool(own and least)), own)


def bits_for(most: int) -> int:
    """The fewest bits of those that are taken which hold a value."""
    return next(n for n in STEPS if most < 1 << n)


def table_of(bits: int) -> U8:
    """The code of each value of so many bits."""
    white = (1 << bits) - 1
    steps = np.arange(white + 1, dtype=np.uint32)
    table: U8 = ((steps * 255 + white // 2) // white).astype(np.uint8)
    return table


def real_to_8_bits(values: NDArray[Any], *, white_is_zero: bool = False, least: int | None = None) -> Mapped:
    """Map 32-bit samples, whole or fractional, to 8 bits, and tell the range that was shown; what is no number is 0."""
    reals = np.nan_to_num(values.astype(np.float64), nan=0.0, posinf=0.0, neginf=0.0)
    low, high = float(reals.min()), float(reals.max())
    if low >= 0 and high <= 0xFFFF and np.array_equal(reals, np.floor(reals)):
        whole = reals.astype(np.uint16)
        return whole_to_8_bits(whole, declared=16, for_display=False, white_is_zero=white_is_zero, least=least)
    if low >= 0 and high <= 1:
        low, high = 0.0, 1.0
    span = high - low or 1.0
    shares = (reals - low) / span
    mapped: U8 = np.rint(255 * (1 - shares if white_is_zero else shares)).astype(np.uint8)
    return Mapped(mapped, Say.of("picture.range.real", low=Figure(f"{low:g}"), high=Figure(f"{high:g}")))


def range_note(bits: int, *, of_view: bool = False) -> Say:
    """The note that says which range of whole numbers was shown."""
    white = (1 << bits) - 1
    if of_view:
        return Say.of("picture.range.view", bits=bits, white=white)
    return Say.of("picture.range", bits=bits, white=white)
