"""Areas, perimeters, callipers and distances against shapely, scikit-image, SciPy and a search over directions."""

import math
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from scipy import optimize
from scipy.spatial import ConvexHull
from shapely import Polygon
from shapely.geometry import LineString, Point
from skimage import draw, measure

from portal.measure.chords import Sides
from portal.measure.fit import fit_circle, fit_line
from portal.measure.hull import convex_hull, largest_calliper, smallest_calliper
from portal.measure.outline import crosses_itself, signed_area
from tests.measure.drawing import a_scale, a_shape, measured

Array = npt.NDArray[np.float64]
SKIMAGE_DRAW: Any = draw
SKIMAGE_MEASURE: Any = measure
"""scikit-image's functions have no types."""
SEEDS = pytest.mark.parametrize("seed", range(20))
MM_PER_INCH = 25.4
"""Exact by definition."""


def bean(seed: int) -> Array:
    """A smooth outline of 60 points, in pixels: no tip that is narrower than a pixel."""
    phase = np.random.default_rng(seed).uniform(0, 2 * np.pi, 2)
    angle = 2 * np.pi * np.arange(60) / 60
    radius = 150 + 30 * np.sin(2 * angle + phase[0]) + 15 * np.sin(3 * angle + phase[1])
    outline: Array = 1000 + radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    return outline


def blob(seed: int) -> Array:
    """A star-shaped outline of 5 to 60 points, in pixels."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(5, 60))
    angle = np.sort(rng.uniform(0, 2 * np.pi, n))
    radius = rng.uniform(100, 200, n)
    outline: Array = 1000 + np.column_stack([radius * np.cos(angle), rng.uniform(0.3, 1) * radius * np.sin(angle)])
    return outline if signed_area(outline) > 0 else outline[::-1].copy()


@SEEDS
def test_areas_are_those_of_shapely(seed: int) -> None:
    """Raw values: before anything is added for curves."""
    points = blob(seed) * [0.9, 1.1]
    assert abs(signed_area(points)) == pytest.approx(Polygon(points).area, rel=1e-12)
    area = measured(a_shape("area", "outline", points=blob(seed)), scale=a_scale(0.9, 1.1))
    assert area.value + area.correction == pytest.approx(Polygon(points).area, rel=1e-6)


@SEEDS
def test_perimeters_are_those_of_shapely(seed: int) -> None:
    """Raw values: before anything is taken off for roughness."""
    found = measured(a_shape("perimeter", "outline", points=blob(seed)), scale=a_scale(0.9, 1.1))
    assert found.value + found.correction == pytest.approx(Polygon(blob(seed) * [0.9, 1.1]).length, rel=1e-6)


@SEEDS
def test_equivalent_diameters_are_those_of_a_circle_of_the_same_area(seed: int) -> None:
    """2 sqrt(A / pi) of shapely's area."""
    found = measured(a_shape("equivalent-diameter", "outline", points=blob(seed)))
    expected = 2 * math.sqrt(Polygon(blob(seed)).area / math.pi)
    assert found.value + found.correction == pytest.approx(expected, rel=1e-6)


@SEEDS
def test_the_hull_is_that_of_scipy(seed: int) -> None:
    """The same corners as Qhull's."""
    points = blob(seed)
    assert set(convex_hull(points).tolist()) == set(ConvexHull(points).vertices.tolist())


@SEEDS
def test_callipers_are_those_of_a_search_over_all_directions(seed: int) -> None:
    """36,000 directions: the smallest width of shapely's turned rectangles too."""
    points = blob(seed)
    hull = convex_hull(points)
    angle = np.pi * np.arange(36_000) / 36_000
    reach = points @ np.vstack([np.cos(angle), np.sin(angle)])
    widths = reach.max(axis=0) - reach.min(axis=0)
    largest, smallest = largest_calliper(points, hull), smallest_calliper(points, hull)
    assert largest.value == pytest.approx(float(widths.max()), rel=1e-6)
    assert smallest.value == pytest.approx(float(widths.min()), rel=1e-3)
    assert smallest.value <= float(widths.min()) + 1e-9


@SEEDS
def test_the_gradient_of_a_calliper_is_what_moving_points_does(seed: int) -> None:
    """Central differences by each coordinate."""
    points = blob(seed)
    for measure_it in (largest_calliper, smallest_calliper):
        gradient = measure_it(points, convex_hull(points)).gradient
        for i, axis in [(i, axis) for i in range(len(points)) for axis in (0, 1)]:
            step = np.zeros_like(points)
            step[i, axis] = 1e-5
            up = measure_it(points + step, convex_hull(points + step)).value
            down = measure_it(points - step, convex_hull(points - step)).value
            assert gradient[i, axis] == pytest.approx((up - down) / 2e-5, abs=1e-4)


@pytest.mark.parametrize("seed", range(5))
def test_callipers_and_areas_agree_with_those_of_pixels(seed: int) -> None:
    """scikit-image on the filled outline: a pixel either way on a calliper, half a perimeter on an area."""
    points = bean(seed)
    mask = SKIMAGE_DRAW.polygon2mask((2000, 2000), points[:, ::-1] - 0.5)
    region = SKIMAGE_MEASURE.regionprops(mask.astype(np.uint8))[0]
    largest = largest_calliper(points, convex_hull(points)).value
    assert largest == pytest.approx(float(region.feret_diameter_max), abs=2.0)
    assert abs(signed_area(points)) == pytest.approx(float(region.area), abs=0.5 * Polygon(points).length)


@SEEDS
def test_an_outline_crosses_itself_where_shapely_calls_it_invalid(seed: int) -> None:
    """Seven random points joined at random; star-shaped ones never cross."""
    points = np.random.default_rng(seed).uniform(0, 100, (7, 2))
    assert crosses_itself(points) == (not Polygon(points).is_valid)
    assert not crosses_itself(blob(seed))


@SEEDS
def test_distances_from_a_base_are_those_of_shapely(seed: int) -> None:
    """An exact straight base: the distance of the point from the line through it."""
    rng = np.random.default_rng(seed)
    start, step = rng.uniform(500, 900, 2), rng.uniform(-60, 60, 2)
    base = start + np.outer(np.arange(5), step)
    tip = start + rng.uniform(-200, 200, 2)
    line = LineString([start - 100 * step, start + 100 * step])
    found = measured(a_shape("height", "base-and-point", base=base, point=[tip]))
    assert abs(found.value) == pytest.approx(line.distance(Point(tip)), abs=1e-3)
    left = step[0] * (tip - start)[1] - step[1] * (tip - start)[0] < 0
    assert (found.value > 0) == left


@SEEDS
def test_the_fitted_line_is_that_of_orthogonal_regression(seed: int) -> None:
    """scikit-image's total least squares, and SciPy's minimum of the perpendicular residuals, on rough bases."""
    rng = np.random.default_rng(seed)
    base = np.column_stack([np.linspace(0, 200, 8), 0.4 * np.linspace(0, 200, 8)]) + rng.normal(0, 3, (8, 2))
    mine = fit_line(base)
    assert mine is not None
    theirs = SKIMAGE_MEASURE.LineModelND.from_estimate(base)
    tip = np.array([120.0, 300.0])
    assert abs(mine.distance(tip)) == pytest.approx(float(theirs.residuals(tip[None, :])[0]))

    def apart(line: Array) -> Array:
        across: Array = base[:, 1] * np.cos(line[0]) - base[:, 0] * np.sin(line[0]) - line[1]
        return across

    best = optimize.least_squares(apart, [0.3, 0.0], xtol=1e-14, ftol=1e-14, gtol=1e-14)
    assert math.atan2(mine.direction[1], mine.direction[0]) == pytest.approx(best.x[0], rel=1e-5)


@SEEDS
def test_the_fitted_circle_is_that_of_least_squares(seed: int) -> None:
    """SciPy's least squares of the same residuals, from another start."""
    rng = np.random.default_rng(seed)
    angle = np.linspace(-2.4, -0.7, 9)
    base = 500 + 300 * np.column_stack([np.cos(angle), np.sin(angle)]) + rng.normal(0, 1, (9, 2))
    mine = fit_circle(base)

    def apart(circle: Array) -> Array:
        away: Array = np.hypot(base[:, 0] - circle[0], base[:, 1] - circle[1]) - circle[2]
        return away

    best = optimize.least_squares(apart, [400, 600, 200])
    assert mine is not None
    assert [*mine.centre, mine.radius] == pytest.approx(best.x.tolist(), rel=1e-5)


@SEEDS
def test_the_gradient_by_the_base_is_what_moving_its_points_does(seed: int) -> None:
    """Central differences; exact for the line, to first order in the residuals for the circle."""
    rng = np.random.default_rng(seed)
    angle = np.linspace(-2.4, -0.7, 9)
    rough = rng.normal(0, 0.3, (9, 2))
    bent = 500 + 300 * np.column_stack([np.cos(angle), np.sin(angle)]) + rough
    straight = 500 + np.column_stack([np.linspace(0, 200, 9), np.linspace(0, 50, 9)]) + rough
    tip = np.array([560.0, 120.0])
    for base, fit, tolerance in ((straight, fit_line, 1e-6), (bent, fit_circle, 2e-2)):
        fitted = fit(base)
        assert fitted is not None
        gradient = fitted.by_base(tip)
        for i, axis in [(i, axis) for i in range(9) for axis in (0, 1)]:
            step = np.zeros_like(base)
            step[i, axis] = 1e-4
            up, down = fit(base + step), fit(base - step)
            assert up is not None and down is not None
            assert gradient[i, axis] == pytest.approx((up.distance(tip) - down.distance(tip)) / 2e-4, abs=tolerance)


def test_the_turns_of_an_outline_make_one_whole_turn() -> None:
    """Whatever its shape: 2 pi."""
    for seed in range(20):
        assert Sides.of(blob(seed), clockwise=1.0).turns.sum() == pytest.approx(2 * math.pi)


def test_an_inch_is_25_point_4_millimetres() -> None:
    """A scale of 0.001 in per pixel: 1000 px are 25.4 mm."""
    found = measured(a_shape("length", "line", points=[(0, 0), (1000, 0)]), scale=a_scale(MM_PER_INCH))
    assert found.value / 1000 == pytest.approx(MM_PER_INCH)
