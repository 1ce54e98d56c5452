"""Base and point, by hand."""

import math

import pytest

from portal.measure.basepoint import chi_square_95
from tests.measure.drawing import a_scale, a_shape, ends, measured, refused, term, value

FLAT = [(100, 500), (200, 500), (300, 500), (400, 500)]


def test_a_point_above_a_base_drawn_from_left_to_right_stands_proud() -> None:
    """100 px above the base at 1 µm per pixel: + 100 µm."""
    assert value("height", "base-and-point", base=FLAT, point=[(250, 400)]) == pytest.approx(100.0)


def test_a_point_below_the_base_is_negative() -> None:
    """A gate plucked 40 px deep has a height of - 40 µm and a depth of + 40 µm."""
    assert value("height", "base-and-point", base=FLAT, point=[(250, 540)]) == pytest.approx(-40.0)
    assert value("depth", "base-and-point", base=FLAT, point=[(250, 540)]) == pytest.approx(40.0)


def test_walking_the_other_way_turns_the_sign_round() -> None:
    """Proud is on the left of the walk: from right to left that is below on the screen."""
    backwards = FLAT[::-1]
    assert value("height", "base-and-point", base=backwards, point=[(250, 400)]) == pytest.approx(-100.0)


@pytest.mark.parametrize("turn", [0, 45, 90, 137, 180, 270])
def test_the_sign_follows_the_walk_whichever_way_the_base_lies(turn: float) -> None:
    """The whole drawing turned: height stays + 100 µm."""
    a = math.radians(turn)

    def turned(x: float, y: float) -> tuple[float, float]:
        return (1000 + x * math.cos(a) - y * math.sin(a), 1000 + x * math.sin(a) + y * math.cos(a))

    base, tip = [turned(x, 0) for x in (-100, 0, 50, 100)], [turned(20, -100)]
    assert value("height", "base-and-point", base=base, point=tip) == pytest.approx(100.0, abs=1e-3)


@pytest.mark.parametrize(
    ("characteristic", "expected"),
    [("height", 60), ("step", 60), ("projection", 60), ("depth", -60), ("missing-length", -60)],
)
def test_what_is_missing_counts_the_other_way(characteristic: str, expected: float) -> None:
    """Depth and missing length are positive below the base."""
    assert value(characteristic, "base-and-point", base=FLAT, point=[(250, 440)]) == pytest.approx(expected)


def test_unequal_pixels_become_micrometres_before_anything_else() -> None:
    """A base that slopes 1 px in 1 px at 1 x 2 µm: the point 30 px along x lies 30 · 2 / sqrt(5) µm away."""
    scale = a_scale(1.0, 2.0)
    base = [(100, 100), (200, 200), (300, 300)]
    found = value("height", "base-and-point", scale=scale, base=base, point=[(230, 200)])
    assert found == pytest.approx(30 * 2 / math.sqrt(5))


def test_the_farthest_of_several_points_counts() -> None:
    """Far apart, so that the correction for choosing is next to nothing."""
    height = measured(a_shape("height", "base-and-point", base=FLAT, point=[(200, 470), (250, 400), (300, 480)]))
    assert height.value == pytest.approx(100.0, abs=0.01)
    assert ends(height) == pytest.approx([250, 500, 250, 400])


def test_the_farthest_counts_on_whichever_side_it_lies() -> None:
    """A pluck drawn with several points is as deep as its deepest."""
    points = [(200, 505), (250, 560), (300, 497)]
    assert value("height", "base-and-point", base=FLAT, point=points) == pytest.approx(-60.0, abs=0.01)


def test_the_best_of_equal_candidates_is_corrected_downwards() -> None:
    """Three equally high points, E[max] of three normals 0.8463: the mean of that and that / 0.4142, times 0.757 px."""
    height = measured(a_shape("height", "base-and-point", base=FLAT, point=[(200, 400), (250, 400), (300, 400)]))
    assert height.correction == pytest.approx(0.757 * 0.8463 * (1 + 1 / 0.4142) / 2, rel=1e-3)
    assert height.value == pytest.approx(100.0 - height.correction)
    assert term(height, "greatest") > 0


def test_a_pluck_is_corrected_towards_the_base() -> None:
    """The correction takes the sign of the distance."""
    height = measured(a_shape("height", "base-and-point", base=FLAT, point=[(200, 600), (250, 600), (300, 600)]))
    assert height.correction == pytest.approx(-1.094, abs=1e-3)
    assert height.value == pytest.approx(-100 - height.correction)


def test_an_arc_is_a_base_too() -> None:
    """Nine points on a circle of 200 px, walked from left over the top to right: 50 px above it is 50 µm."""
    angles = [math.pi + math.pi * i / 8 for i in range(9)]
    base = [(500 + 200 * math.cos(a), 500 + 200 * math.sin(a)) for a in angles]
    assert value("height", "base-and-point", base=base, point=[(500, 250)]) == pytest.approx(50.0, abs=0.01)
    assert value("height", "base-and-point", base=base, point=[(500, 320)]) == pytest.approx(-20.0, abs=0.01)


def test_a_hollow_arc_has_its_proud_side_inside() -> None:
    """Walked from left through the bottom to right, the left hand points to the middle of the circle."""
    angles = [math.pi - math.pi * i / 8 for i in range(9)]
    base = [(500 + 200 * math.cos(a), 500 + 200 * math.sin(a)) for a in angles]
    assert value("height", "base-and-point", base=base, point=[(500, 670)]) == pytest.approx(30.0, abs=0.01)


def test_a_base_that_is_as_good_as_straight_stays_a_line() -> None:
    """Half a pixel of bend is pointing, not an arc: the distance is that from the fitted line, 100.25 µm."""
    base = [(100, 500), (200, 499.5), (300, 499.5), (400, 499.5), (500, 500)]
    height = value("height", "base-and-point", base=base, point=[(300, 399.45)])
    assert height == pytest.approx(499.7 - 399.45, abs=1e-6)


def test_the_base_counts_more_the_farther_the_point_lies_beside_it() -> None:
    """By hand: pointing 0.7 px and grid 0.289 px; above the middle of four points it halves, beside them it grows."""
    click = math.hypot(0.7, 0.5 / math.sqrt(3))
    middle = measured(a_shape("height", "base-and-point", base=FLAT, point=[(250, 400)]))
    beside = measured(a_shape("height", "base-and-point", base=FLAT, point=[(850, 400)]))
    assert term(middle, "base") == pytest.approx(click / 2)
    assert term(beside, "base") == pytest.approx(click * math.sqrt(1 / 4 + 600**2 / 50_000))
    assert term(middle, "pointing") == pytest.approx(0.7)


def test_a_ragged_base_counts_by_its_own_scatter() -> None:
    """Points 10 px off a straight line say more than the assumed pointing does, with 2 degrees of freedom."""
    base = [(100, 490), (200, 510), (300, 490), (400, 510)]
    height = measured(a_shape("height", "base-and-point", base=base, point=[(250, 400)]))
    assert term(height, "base") > 4
    assert height.dof < 30 and height.k > 2.04


def test_the_edges_of_base_and_point_are_independent() -> None:
    """Sharp base ± 1 px, torn point ± 4 px: sqrt(17/3) µm at 1 µm per pixel."""
    height = measured(a_shape("height", "base-and-point", base=FLAT, point=[(250, 400)], edge="torn"))
    assert term(height, "edge") == pytest.approx(math.sqrt(17 / 3))


def test_two_points_are_no_base() -> None:
    """At least three, so that the base has something to be checked by."""
    assert (
        refused(a_shape("height", "base-and-point", base=FLAT[:2], point=[(1, 1)])).reason.key == "measure.base-points"
    )


def test_a_base_of_one_repeated_point_has_no_direction() -> None:
    """Refused with the reason, no division by nothing."""
    base = [(100, 100)] * 3
    assert refused(a_shape("height", "base-and-point", base=base, point=[(1, 1)])).reason.key == "measure.no-base"


def test_a_whole_circle_is_a_base() -> None:
    """A bore of 100 px walked clockwise: its outside is on the left, what stands into it is below."""
    base = [(500 + 100 * math.cos(math.pi * i / 4), 500 + 100 * math.sin(math.pi * i / 4)) for i in range(8)]
    assert value("projection", "base-and-point", base=base, point=[(500, 380)]) == pytest.approx(20.0, abs=0.01)
    assert value("projection", "base-and-point", base=base[::-1], point=[(500, 430)]) == pytest.approx(30.0, abs=0.01)


def test_the_middle_of_a_circle_has_no_direction() -> None:
    """Refused with the reason, no division by nothing."""
    base = [(500 + 100 * x, 500 + 100 * y) for x, y in ((1, 0), (0.6, 0.8), (0, 1), (-0.6, 0.8), (-1, 0), (0, -1))]
    found = refused(a_shape("projection", "base-and-point", base=base, point=[(500, 500)]))
    assert found.reason.key == "measure.no-direction"


def test_chi_square_by_the_cube_rule_is_near_the_tables() -> None:
    """3.841 at 1 and 18.307 at 10 degrees of freedom (tables, from memory)."""
    assert chi_square_95(1) == pytest.approx(3.841, rel=0.03)
    assert chi_square_95(10) == pytest.approx(18.307, rel=0.002)
