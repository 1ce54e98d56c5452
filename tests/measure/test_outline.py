"""Closed outlines, by hand."""

import math

import numpy as np
import pytest

from portal.measure.chords import Sides, left_out_area, left_out_beyond, left_out_length
from portal.measure.outline import crosses_itself, signed_area
from tests.measure.drawing import a_scale, a_shape, measured, refused, term, value

Points = list[tuple[float, float]]
BLOCK: Points = [(100, 100), (400, 100), (400, 500), (100, 500)]
"""300 x 400 px with corners of 90 degrees, which are no curve."""


def ring(n: int, radius: float = 200.0) -> Points:
    angles = [2 * math.pi * i / n for i in range(n)]
    return [(500 + radius * math.cos(a), 500 + radius * math.sin(a)) for a in angles]


def quiet(points: Points, each: int) -> Points:
    """The same outline with more points on each side, which shows that it is smooth."""
    following = [*points[1:], points[0]]
    return [
        (x0 + (x1 - x0) * k / each, y0 + (y1 - y0) * k / each)
        for (x0, y0), (x1, y1) in zip(points, following, strict=True)
        for k in range(each)
    ]


@pytest.mark.parametrize(
    ("characteristic", "expected"),
    [("area", 120_000), ("equivalent-diameter", 2 * math.sqrt(120_000 / math.pi)), ("perimeter", 1400)],
)
@pytest.mark.parametrize("points", [BLOCK, BLOCK[::-1]])
def test_a_block_drawn_either_way_round(characteristic: str, expected: float, points: Points) -> None:
    """300 x 400 px at 1 µm; the perimeter less the hundredth that pointing adds."""
    assert value(characteristic, "outline", points=points) == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize(
    ("characteristic", "expected"),
    [("length", 500), ("run", 500), ("width", 300), ("diameter", 400)],
)
def test_callipers_of_a_smooth_block(characteristic: str, expected: float) -> None:
    """Largest across the diagonal, smallest across the narrow side, mean diameter between them."""
    points = quiet(BLOCK, 8)
    assert value(characteristic, "outline", points=points) == pytest.approx(expected, abs=0.01)


def test_a_smooth_circle_measures_as_a_circle() -> None:
    """A hundred points on a radius of 200 µm: what the chords leave out is added."""
    circle = ring(100)
    assert value("area", "outline", points=circle) == pytest.approx(math.pi * 200**2, rel=1e-5)
    assert value("perimeter", "outline", points=circle) == pytest.approx(2 * math.pi * 200, rel=1e-5)
    assert value("diameter", "outline", points=circle) == pytest.approx(400, rel=1e-4)
    assert value("equivalent-diameter", "outline", points=circle) == pytest.approx(400, rel=1e-5)


def test_unequal_pixels_are_turned_into_micrometres_first() -> None:
    """300 px at 2 µm by 400 px at 1 µm: 600 x 400 µm."""
    scale = a_scale(2.0, 1.0)
    assert value("area", "outline", scale=scale, points=BLOCK) == pytest.approx(240_000)
    assert value("width", "outline", scale=scale, points=quiet(BLOCK, 8)) == pytest.approx(400, abs=0.02)


def test_rough_points_push_the_jaws_apart_and_that_is_taken_off() -> None:
    """A block whose sides zigzag by 0.75 px: the jaws rest on the outermost teeth."""
    rng = np.random.default_rng(0)
    noise = rng.normal(0, 0.75, (80, 2))
    rough = [(x + dx, y + dy) for (x, y), (dx, dy) in zip(quiet(BLOCK, 20), noise, strict=True)]
    width = measured(a_shape("width", "outline", points=rough))
    assert width.correction > 1.0
    assert width.value == pytest.approx(300, abs=width.expanded)
    assert term(width, "greatest") > 0


def test_a_step_in_the_drawing_is_an_edge_all_round() -> None:
    """± 1 px all round: perimeter x 1 µm on the area, 2 µm on a diameter, and 8 µm on the way round four corners."""
    third = math.sqrt(3)
    assert term(measured(a_shape("area", "outline", points=BLOCK)), "edge") == pytest.approx(1400 / third)
    assert term(measured(a_shape("diameter", "outline", points=BLOCK)), "edge") == pytest.approx(2 / third)
    assert term(measured(a_shape("perimeter", "outline", points=BLOCK)), "edge") == pytest.approx(8 / third)


@pytest.mark.parametrize(("edge", "half_width"), [("sharp", 1.0), ("torn", 4.0), ("soft", 12.0)])
def test_softer_edges_are_less_defined(edge: str, half_width: float) -> None:
    """1, 4 and 12 px at 1 µm per pixel, on both sides of a diameter."""
    found = measured(a_shape("diameter", "outline", points=BLOCK, edge=edge))
    assert term(found, "edge") == pytest.approx(2 * half_width / math.sqrt(3))


def test_fine_pixels_make_a_soft_edge_no_sharper() -> None:
    """At 0.1 µm per pixel 10 µm of soft edge stay 10 µm."""
    found = measured(a_shape("diameter", "outline", points=BLOCK, edge="soft"), scale=a_scale(0.1))
    assert term(found, "edge") == pytest.approx(2 * 10 / math.sqrt(3))


def test_chords_of_an_octagon_leave_out_what_a_circle_has_more() -> None:
    """Radius 100: the circle has 3132 µm² more than its octagon, is 16 µm longer, and reaches 7.6 µm beyond it."""
    octagon = np.array(ring(8, 100.0))
    sides = Sides.of(octagon, clockwise=1.0)
    assert left_out_area(sides) == pytest.approx(math.pi * 100**2 - abs(signed_area(octagon)), rel=0.03)
    assert left_out_length(sides, across_um=0.0) == pytest.approx(200 * math.pi - float(sides.lengths.sum()), rel=0.03)
    outwards = np.array([math.cos(math.pi / 8), math.sin(math.pi / 8)])
    assert left_out_beyond(sides, 0, outwards) == pytest.approx(100 * (1 - math.cos(math.pi / 8)), rel=0.03)
    assert left_out_beyond(sides, 0, np.array([1.0, 0.0])) == pytest.approx(0.0, abs=1e-9)


def test_corners_are_no_curve() -> None:
    """A hexagon turns by 60 degrees at each point: nothing is added to it."""
    area = measured(a_shape("area", "outline", points=ring(6)))
    assert area.correction == 0.0 and term(area, "chords") == 0.0


def test_a_hollow_outline_has_its_chords_outside() -> None:
    """Where an outline is hollow its chords take in too much, and that comes off."""
    arc = [(300 + 100 * math.cos(a), 400 - 100 * math.sin(a)) for a in np.linspace(0, math.pi, 9)]
    hollow = Sides.of(np.array([(500, 400), (500, 100), (100, 100), (100, 400), *arc[::-1]]), clockwise=-1.0)
    assert left_out_area(hollow) < 0


@pytest.mark.parametrize(
    ("points", "key"),
    [
        ([(10, 10), (20, 20), (10, 10)], "three-points-at-least"),
        ([(10, 10), (10, 10)], "three-points-at-least"),
        ([(10, 10), (20, 20), (30, 30)], "no-area"),
        ([(0, 0), (10, 10), (10, 0), (0, 10)], "crosses-itself"),
        ([(0, 0), (10, 10), (10, 0), (5, 5), (0, 10)], "crosses-itself"),
    ],
)
def test_an_outline_that_encloses_nothing_clear_is_refused(points: Points, key: str) -> None:
    """Too few points, no area, crossing or touching itself; each with its reason."""
    assert refused(a_shape("area", "outline", points=points)).reason.key == f"measure.{key}"


def test_repeated_points_do_no_harm() -> None:
    """A double click is one point, and a last point on the first closes the outline."""
    doubled = [BLOCK[0], BLOCK[0], *BLOCK[1:], BLOCK[0]]
    assert value("area", "outline", points=doubled) == pytest.approx(120_000)


def test_a_crossing_is_found_among_many_sides() -> None:
    """A ring of 500 points is fine; with two of them exchanged it crosses itself."""
    points = np.array(ring(500))
    assert not crosses_itself(points)
    points[[250, 251]] = points[[251, 250]]
    assert crosses_itself(points)


def test_the_dimension_line_joins_the_farthest_points() -> None:
    """Corner to corner for a length, across for a width."""
    length = measured(a_shape("length", "outline", points=BLOCK))
    ends = {(round(x), round(y)) for x, y in length.trace}
    assert ends in ({(100, 100), (400, 500)}, {(400, 100), (100, 500)})
    width = measured(a_shape("width", "outline", points=BLOCK))
    (x0, y0), (x1, y1) = width.trace
    assert abs(x0 - x1) == pytest.approx(300) and y0 == pytest.approx(y1)
