"""A value to some significant digits."""

from portal.model.show import about


def test_a_term_of_a_budget_keeps_two_digits() -> None:
    """Two significant digits, whatever the size."""
    assert [about(um, "mm") for um in (1.234, 0.0456, 12_345.0)] == ["0.0012 mm", "0.000046 mm", "12 mm"]


def test_areas_and_nothing_at_all_are_shown_too() -> None:
    """Power 2 divides by the square of the unit; zero has no first digit and stays zero."""
    assert about(45_600.0, "mm", power=2) == "0.046 mm²"
    assert about(0.0, "mm") == "0.0 mm"
