"""Rectangles and ellipses by three points, by hand."""

import math

import pytest

from tests.measure.drawing import a_scale, a_shape, ends, measured, refused, term, value

THREE = [(100, 100), (400, 100), (150, 180)]
"""One side of 300 px, the opposite side 80 px away."""


@pytest.mark.parametrize(
    ("characteristic", "expected"),
    [("length", 300), ("run", 300), ("string-length", 300), ("width", 80), ("diameter", 190), ("area", 24_000)],
)
def test_a_rectangle_by_both_ends_of_one_side_and_a_point_of_the_opposite(characteristic: str, expected: float) -> None:
    """300 x 80 px at 1 µm."""
    assert value(characteristic, "rectangle", points=THREE) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("characteristic", "expected"),
    [("length", 300), ("width", 160), ("diameter", 230), ("area", math.pi * 150 * 80)],
)
def test_an_ellipse_by_both_ends_of_one_axis_and_an_end_of_the_other(characteristic: str, expected: float) -> None:
    """Axes of 300 and 2 · 80 px."""
    assert value(characteristic, "ellipse", points=THREE) == pytest.approx(expected)


@pytest.mark.parametrize("shape", ["rectangle", "ellipse"])
def test_no_dimension_is_drawn_for_a_mean_of_two(shape: str) -> None:
    """190 px is nowhere on the picture; the longer side would be taken for it."""
    assert measured(a_shape("diameter", shape, points=THREE)).trace == ()


def test_length_is_the_longer_whichever_was_drawn_first() -> None:
    """Drawn along the short side first."""
    points = [(100, 100), (100, 180), (400, 120)]
    assert value("length", "rectangle", points=points) == pytest.approx(300.0)
    assert value("width", "rectangle", points=points) == pytest.approx(80.0)


def test_unequal_pixels_are_turned_into_micrometres_first() -> None:
    """300 px at 2 µm, 80 px at 3 µm."""
    scale = a_scale(2.0, 3.0)
    assert value("area", "rectangle", scale=scale, points=THREE) == pytest.approx(600 * 240)
    assert value("length", "ellipse", scale=scale, points=THREE) == pytest.approx(600)


def test_an_area_gets_wider_by_all_of_its_edge() -> None:
    """± 1 px on 2 (300 + 80) px of edge: 760 / sqrt 3 µm²."""
    area = measured(a_shape("area", "rectangle", points=THREE))
    assert term(area, "edge") == pytest.approx(760 / math.sqrt(3))
    assert area.power == 2 and area.trace == ()


def test_the_dimension_line_lies_across_what_was_measured() -> None:
    """A rectangle's width ends on its third point, an ellipse's on both ends of the axis."""
    width = measured(a_shape("width", "rectangle", points=THREE))
    assert ends(width) == pytest.approx([150, 100, 150, 180])
    axis = measured(a_shape("width", "ellipse", points=THREE))
    assert ends(axis) == pytest.approx([150, 180, 150, 20])


@pytest.mark.parametrize("shape", ["rectangle", "ellipse"])
@pytest.mark.parametrize(
    ("points", "key"),
    [
        (THREE[:2], "three-points"),
        ([*THREE, (1, 1)], "three-points"),
        ([(5, 5), (5, 5), (9, 9)], "no-length"),
        ([(5, 5), (15, 5), (9, 5)], "no-area"),
    ],
)
def test_three_points_that_span_nothing_are_refused(shape: str, points: list[tuple[float, float]], key: str) -> None:
    """Each with its reason."""
    assert refused(a_shape("width", shape, points=points)).reason.key == f"measure.{key}"
