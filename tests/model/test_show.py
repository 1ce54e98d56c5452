"""How quantities are put into text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.model import show
from portal.model.ladder import bar_for, rungs
from portal.model.scalars import read_area, read_length


@pytest.mark.parametrize(
    ("um", "expanded", "unit", "text"),
    [
        (148.2, 5.96, "mm", "0.148 mm ± 0.006 mm"),
        (148.2, 4.5, "mm", "0.148 mm ± 0.005 mm"),
        (148.2, 12.1, "mm", "0.148 mm ± 0.013 mm"),
        (-64.0, 4.0, "mm", "−0.064 mm ± 0.004 mm"),
        (148.2, 5.96, "in", "0.00583 in ± 0.00024 in"),
        (1998.7, 240.0, "mm", "2.00 mm ± 0.24 mm"),
    ],
)
def test_value_and_uncertainty_share_their_digits(um: float, expanded: float, unit: str, text: str) -> None:
    """U is rounded up to one digit, to two where it begins with 1 or 2; the value follows."""
    assert show.measured(um, expanded, unit) == text


def test_a_digit_is_added_where_rounding_would_contradict_the_limit() -> None:
    """150.04 µm is beyond 0.150 mm, though 0.150 would be shown."""
    assert show.measured(150.04, 6.0, "mm", against_um=(150.0,)).startswith("0.15004 mm")


@given(st.floats(0.001, 1e6), st.floats(1e-3, 1e5), st.floats(0.001, 1e6))
def test_what_is_shown_never_lies_on_the_other_side_of_the_limit(um: float, expanded: float, limit: float) -> None:
    """Whatever the digits, the text and the value stand on the same side."""
    shown = float(show.measured(um, expanded, "mm", against_um=(limit,)).split()[0])
    assert (shown - limit / 1000) * (um - limit) >= 0


@given(st.floats(1e-3, 1e5))
def test_the_uncertainty_shown_is_never_much_less_than_it_is(expanded: float) -> None:
    """Rounding up but for a twentieth of the last digit."""
    text = show.measured(1000.0, expanded, "mm").split()[-2]
    last_digit = 10.0 ** -len(text.partition(".")[2])
    assert float(text) >= expanded / 1000 - 0.0501 * last_digit


@pytest.mark.parametrize(
    ("written", "shown", "other", "unit"),
    [
        ("0.150 mm", "0.150 mm", "0.0059 in", "in"),
        ("0.006 in", "0.006 in", "0.15 mm", "mm"),
        ("-0.050 mm", "−0.050 mm", None, "mm"),
        ("150 um", "150 µm", None, "mm"),
    ],
)
def test_a_limit_is_shown_as_it_was_agreed(written: str, shown: str, other: str | None, unit: str) -> None:
    """Unit and digits of the agreement; the other unit only where it differs."""
    length = read_length(written)
    assert show.as_agreed(length) == shown
    assert (show.other_unit(length, unit) is None) == (other is None)


def test_an_inch_is_exactly_25_4_millimetres() -> None:
    """Source: international yard and pound agreement of 1959; from memory."""
    assert read_length("1 in").um == 25_400.0
    assert read_length("0.006 in").um == pytest.approx(152.4, rel=1e-15)


@pytest.mark.parametrize("text", ["0.15", "150", "0.15 furlong", "mm", "1,5 mm", "1e3 um", "nan mm", ""])
def test_what_is_no_length_is_refused(text: str) -> None:
    """A bare number, an unknown unit, another notation."""
    with pytest.raises(ValueError, match=r"unit|length"):
        read_length(text)


@given(st.floats(10.0, 5e5), st.sampled_from(["mm", "in"]))
def test_a_scale_bar_takes_between_a_fifth_and_a_half_of_the_width(field_um: float, unit: str) -> None:
    """Over every field from 10 µm to half a metre."""
    rung = bar_for(field_um, unit)
    assert field_um / 5 <= rung.um * (1 + 1e-12)
    assert rung.um <= field_um / 2


def test_rungs_are_the_1_2_5_series() -> None:
    """The convention of scale bars; their labels say the length."""
    for unit, per_unit in (("mm", 1000.0), ("in", 25_400.0)):
        for rung in rungs(unit):
            number, name = rung.label.split()
            assert name == unit
            assert number.strip("0.")[:1] in {"1", "2", "5"}
            assert float(number) * per_unit == pytest.approx(rung.um, rel=1e-12)


def test_a_probability_never_claims_what_is_not_certain() -> None:
    """Neither 0 % nor 100 % of what is neither."""
    assert [show.percent(each) for each in (0.0, 0.004, 0.754, 0.9996, 1.0)] == [
        "0 %",
        "< 1 %",
        "75 %",
        "> 99 %",
        "100 %",
    ]


@pytest.mark.parametrize(("written", "shown"), [("0.020 mm2", "0.020 mm²"), ("500um²", "500 µm²"), ("1 in²", "1 in²")])
def test_an_area_is_shown_as_it_was_agreed(written: str, shown: str) -> None:
    """Its digits kept, its unit in print form."""
    assert show.area_as_agreed(read_area(written)) == shown
