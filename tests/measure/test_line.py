"""Lines, by hand."""

import math

import pytest

from tests.measure.drawing import a_scale, a_shape, measured, refused, term, value


def test_a_line_of_two_points_is_their_distance() -> None:
    """3-4-5 at 2 µm per pixel."""
    assert value("length", "line", scale=a_scale(2.0), points=[(100, 100), (130, 140)]) == pytest.approx(100.0)


def test_unequal_pixels_are_turned_into_micrometres_first() -> None:
    """30 px at 2 µm and 40 px at 1 µm: sqrt(60² + 40²)."""
    found = value("length", "line", scale=a_scale(2.0, 1.0), points=[(100, 100), (130, 140)])
    assert found == pytest.approx(math.hypot(60, 40))


def test_a_length_runs_along_the_line_and_a_width_from_end_to_end() -> None:
    """An L of 300 and 400 px: about 700 along it, 500 across."""
    points = [(100, 100), (400, 100), (400, 500)]
    assert value("length", "line", points=points) == pytest.approx(700.0, abs=0.01)
    assert value("run", "line", points=points) == pytest.approx(700.0, abs=0.01)
    assert value("width", "line", points=points) == pytest.approx(500.0)
    assert value("thickness", "line", points=points) == pytest.approx(500.0)


def test_no_straight_dimension_is_drawn_where_the_length_runs_along_a_bent_line() -> None:
    """700 px along an L isn't the distance of its ends, which a width is."""
    points = [(100, 100), (400, 100), (400, 500)]
    assert measured(a_shape("length", "line", points=points)).trace == ()
    assert measured(a_shape("run", "line", points=points)).trace == ()
    assert measured(a_shape("width", "line", points=points)).trace == ((100.0, 100.0), (400.0, 500.0))


def test_pointing_of_both_ends_counts() -> None:
    """0.7 px at each end along the line: sqrt 2 · 0.7 µm; the pixel grid likewise; the edge ± 1 px at each end."""
    length = measured(a_shape("length", "line", points=[(100, 100), (300, 100)]))
    assert term(length, "pointing") == pytest.approx(0.7 * math.sqrt(2))
    assert term(length, "pixel") == pytest.approx(math.sqrt(2 / 12))
    assert term(length, "edge") == pytest.approx(2 / math.sqrt(3))
    assert length.trace == ((100.0, 100.0), (300.0, 100.0))


def test_an_edge_finder_points_better() -> None:
    """0.2 px instead of 0.7 px."""
    length = measured(a_shape("length", "line", points=[(100, 100), (300, 100)], drawn="edge found"))
    assert term(length, "pointing") == pytest.approx(0.2 * math.sqrt(2))


def test_pointing_makes_a_line_of_many_points_longer() -> None:
    """Ten steps of 100 px with 0.757 px across each end: 0.00573 px each are taken off where points are as rough."""
    rough = [(100 + 100 * i, 500 + 2 * (-1) ** (i // 2)) for i in range(11)]
    length = measured(a_shape("length", "line", points=rough))
    assert length.correction == pytest.approx(10 * (0.49 + 1 / 12) / 100, rel=0.01)
    assert term(length, "roughness") > 0


def test_a_smooth_line_of_many_points_is_left_as_it_is() -> None:
    """Points that lie on a straight line show no roughness to take off."""
    smooth = [(100 + 10 * i, 500) for i in range(11)]
    length = measured(a_shape("length", "line", points=smooth))
    assert length.correction == pytest.approx(0.0, abs=1e-9) and length.value == pytest.approx(100.0)


@pytest.mark.parametrize("points", [[(5, 5)], [(5, 5), (5, 5)]])
def test_a_line_of_one_spot_has_no_length(points: list[tuple[float, float]]) -> None:
    """Refused with the reason."""
    assert refused(a_shape("length", "line", points=points)).reason.key == "measure.no-length"
    assert refused(a_shape("width", "line", points=points)).reason.key == "measure.no-length"
