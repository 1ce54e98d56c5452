"""Scalars as they stand in files: what is a number, and what its unit is."""

import pytest

from portal.model.scalars import read_area, read_frame, read_length, read_number, read_points, read_whole


def test_the_blank_before_a_unit_may_be_any_blank() -> None:
    """A value pasted from a drawing often has one that doesn't break."""
    for text in ("0.15 mm", "0.15mm", "0.15\u00a0mm", "0.15\u202fmm"):
        length = read_length(text)
        assert (length.um, length.unit, length.decimals) == (150.0, "mm", 2)


@pytest.mark.parametrize("digits", ["9" * 400, "9" * 13])
def test_no_number_overflows(digits: str) -> None:
    """A slip of the finger gives a sentence, not an infinite length."""
    with pytest.raises(ValueError):
        read_length(f"{digits} mm")
    with pytest.raises(ValueError):
        read_points(f"0,{digits}")
    with pytest.raises(ValueError):
        read_number(digits)


def test_digits_are_those_of_ascii() -> None:
    """Digits of other scripts would be shown as written and sorted as something else."""
    for read, text in ((read_length, "١ mm"), (read_whole, "١٢"), (read_number, "١"), (read_frame, "4٠x30")):
        with pytest.raises(ValueError):
            read(text)


@pytest.mark.parametrize(
    ("text", "um2", "unit"),
    [("0.02 mm²", 20_000.0, "mm"), ("0.02 mm2", 20_000.0, "mm"), ("500um²", 500.0, "um"), ("1 in²", 25_400.0**2, "in")],
)
def test_an_area_is_read_with_its_square(text: str, um2: float, unit: str) -> None:
    """In square micrometres, kept as written."""
    area = read_area(text)
    assert area.um2 == pytest.approx(um2)
    assert (area.text, area.unit) == (text, unit)


@pytest.mark.parametrize("text", ["0.02", "0.02 mm", "0.02 mm3", "0.02 px²", "²", "mm²", "0.02 2"])
def test_what_is_no_area_is_refused(text: str) -> None:
    """A length is none, nor a bare number."""
    with pytest.raises(ValueError, match="is not an area"):
        read_area(text)
