"""Numbers and days in the reader's language: the decimal mark is put in where text is made, and only there."""

from datetime import date

import pytest

from portal.model.say import Chance, Figure, Quantity, Value
from portal.model.scalars import read_area, read_length
from portal.site.words import Speaker


def said(value: Value, language: str) -> str:
    """A value as a reader of that language sees it."""
    return Speaker(language, "mm", str).value(value)


@pytest.mark.parametrize(
    ("value", "english", "german"),
    [
        (Quantity(148.2, 5.96), "0.148 mm ± 0.006 mm", "0,148 mm ± 0,006 mm"),
        (Quantity(-64.0, 4.0), "−0.064 mm ± 0.004 mm", "−0,064 mm ± 0,004 mm"),
        (read_length("0.150 mm"), "0.150 mm", "0,150 mm"),
        (read_area("0.02 mm2"), "0.02 mm²", "0,02 mm²"),
        (Figure("2.5"), "2.5", "2,5"),
        (Chance(0.9712), "97 %", "97 %"),
        (date(2026, 3, 4), "4 March 2026", "4. März 2026"),
        ("drawing 4.711", "drawing 4.711", "drawing 4.711"),
    ],
)
def test_a_number_has_the_decimal_mark_of_the_language(value: Value, english: str, german: str) -> None:
    """And what a person wrote keeps its own."""
    assert (said(value, "en"), said(value, "de")) == (english, german)


def test_a_value_to_some_digits_has_it_too() -> None:
    """In the reader's unit, or in the one that is told."""
    speaker = Speaker("de", "mm", str)
    assert speaker.about(3204.0) == "3,2 mm"
    assert speaker.about(0.90123, unit="um", digits=4) == "0,9012 µm"
    assert speaker.number("k = 2.00, 12 lines.") == "k = 2,00, 12 lines."
