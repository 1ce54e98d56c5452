"""Terms of a budget that don't belong to one shape, by hand on a distance of 200 px."""

import math
from typing import Any

import pytest

from portal.model.result import Basis, Measurement
from tests.measure.drawing import a_scale, a_shape, measured, term

Points = list[tuple[float, float]]
ALONG_X: Points = [(100, 100), (300, 100)]
ALONG_Y: Points = [(100, 100), (100, 300)]
TAN6 = math.tan(math.radians(6))


def distance(points: Points = ALONG_X, **known: Any) -> Measurement:
    """Measured with what is known of scope, zone and shape."""
    given, depth = known.pop("height_difference", None), known.pop("depth", None)
    fields = {"height_difference": given} if given else {}
    return measured(a_shape("length", "line", points=points, **fields), scale=a_scale(**known), zone_depth_um=depth)


def test_the_scale_counts_along_the_direction_that_was_measured() -> None:
    """0.5 % in x, 0.1 % in y, on 200 µm along either."""
    assert term(distance(u_x_um=0.005, u_y_um=0.001), "scale") == pytest.approx(1.0)
    assert term(distance(ALONG_Y, u_x_um=0.005, u_y_um=0.001), "scale") == pytest.approx(0.2)


def test_the_scales_in_x_and_y_err_together() -> None:
    """One artefact: on a slope of 45 degrees their shares add up, not as squares."""
    found = distance([(100, 100), (300, 300)], u_x_um=0.005, u_y_um=0.005)
    assert term(found, "scale") == pytest.approx(0.005 * 200 * math.sqrt(2))


def test_an_area_takes_the_scale_twice() -> None:
    """0.5 % in both: 1 % of the area."""
    block = a_shape("area", "outline", points=[(0, 0), (100, 0), (100, 100), (0, 100)])
    area = measured(block, scale=a_scale(u_x_um=0.005, u_y_um=0.005, return_u=0.002))
    assert term(area, "scale") == pytest.approx(100.0)
    assert term(area, "return") == pytest.approx(40.0)


def test_the_return_of_the_zoom_and_distortion_are_shares_of_the_value() -> None:
    """0.2 % standard, 0.3 % half-width, of 200 µm."""
    found = distance(return_u=0.002, distortion=0.003)
    assert term(found, "return") == pytest.approx(0.4)
    assert term(found, "distortion") == pytest.approx(0.6 / math.sqrt(3))


def test_a_given_height_difference_shifts_by_the_tilt() -> None:
    """100 µm at 6 degrees: 10.5 µm, whole, since nobody said which end is higher."""
    assert term(distance(height_difference="0.1 mm", tilt_deg=6.0), "parallax") == pytest.approx(100 * TAN6)


def test_the_depth_of_the_zone_bounds_an_unknown_height_difference() -> None:
    """Rectangular then; a difference that is given comes first."""
    bounded = distance(depth=100.0, tilt_deg=6.0)
    assert term(bounded, "parallax") == pytest.approx(100 * TAN6 / math.sqrt(3))
    assert next(each for each in bounded.terms if each.name == "parallax").distribution == Basis.RECTANGULAR
    assert term(distance(depth=100.0, height_difference="10 um", tilt_deg=6.0), "parallax") == pytest.approx(10 * TAN6)


def test_the_tilt_counts_only_along_its_direction_where_that_is_known() -> None:
    """Tilted along x: nothing along y, all of it along x, cos 60 of it in between."""
    known: dict[str, Any] = {"depth": 100.0, "tilt_deg": 6.0}
    full = 100 * TAN6 / math.sqrt(3)
    assert term(distance(tilt_direction=0.0, **known), "parallax") == pytest.approx(full)
    assert term(distance(ALONG_Y, tilt_direction=0.0, **known), "parallax") == pytest.approx(0.0, abs=1e-9)
    assert term(distance(tilt_direction=60.0, **known), "parallax") == pytest.approx(full / 2)


def test_what_the_tilt_may_be_off_counts_in_every_direction() -> None:
    """A camera that looks straight down to 1 degree still shifts by tan 1 degree."""
    found = distance(depth=100.0, tilt_deg=0.0, tilt_u_deg=1.0, tilt_direction=90.0)
    assert term(found, "parallax") == pytest.approx(100 * math.tan(math.radians(1)) / math.sqrt(3))


@pytest.mark.parametrize("known", [{"depth": 100.0}, {"tilt_deg": 6.0}, {}])
def test_where_tilt_or_height_is_unknown_nothing_is_said_of_parallax(known: dict[str, Any]) -> None:
    """No term, rather than a term of nothing."""
    assert "parallax" not in {each.name for each in distance(**known).terms}


def test_what_is_nearer_looks_larger() -> None:
    """400 µm of depth at 80 mm: 0.5 % of 200 µm, rectangular."""
    found = distance(depth=400.0, working_distance_um=80_000.0)
    assert term(found, "perspective") == pytest.approx(1.0 / math.sqrt(3))
    assert "perspective" not in {each.name for each in distance(depth=400.0).terms}


def test_a_leaning_surface_only_ever_looks_smaller() -> None:
    """Up to 1 - cos 5 degrees, not corrected: all of it over root 3."""
    assert term(distance(), "surface") == pytest.approx(200 * (1 - math.cos(math.radians(5))) / math.sqrt(3))


def test_the_combined_uncertainty_is_that_of_its_terms() -> None:
    """Root sum of squares; the largest is named."""
    found = distance(u_x_um=0.05)
    assert found.u == pytest.approx(math.sqrt(sum(each.u**2 for each in found.terms)))
    assert found.largest.name == "scale" and found.k == 2.0
