"""The greatest of noisy values."""

import math

import pytest

from portal.measure.greatest import expected_maximum, greatest
from tests.measure.drawing import np_array


def test_the_expected_maximum_of_two_equal_normals() -> None:
    """E max of two standard normals is 1 / sqrt(pi) = 0.5642."""
    assert expected_maximum(np_array(0, 0), np_array(1, 1)) == pytest.approx(1 / math.sqrt(math.pi), abs=1e-4)


def test_a_single_candidate_is_not_corrected() -> None:
    """Nobody chose among several."""
    assert greatest([150.0], [2.0]) == (150.0, 0.0)


def test_exact_values_are_not_corrected() -> None:
    """Where there is no noise, the greatest is the greatest."""
    assert greatest([1.0, 2.0], [0.0, 0.0]) == (2.0, 0.0)


def test_a_candidate_far_ahead_is_hardly_corrected() -> None:
    """Eight standard uncertainties apart there is nothing to choose."""
    corrected, rest = greatest([100.0, 108.0], [1.0, 1.0])
    assert corrected == pytest.approx(108.0, abs=0.05) and rest < 0.05


def test_two_equal_candidates_are_corrected_by_what_their_noise_adds() -> None:
    """Observed equal: the mean of 0.5642 (shrunk) and 0.5642 / (sqrt 2 - 1) (extrapolated)."""
    bias = 0.5642 * (1 + 1 / (math.sqrt(2) - 1)) / 2
    corrected, rest = greatest([100.0, 100.0], [1.0, 1.0])
    assert corrected == pytest.approx(100 - bias, abs=1e-3)
    assert rest == pytest.approx(bias, abs=1e-3)


def test_the_correction_scales_with_its_values() -> None:
    """Micrometres or nanometres: the same."""
    small, large = greatest([10.0, 11.0, 9.0], [1.0, 1.0, 2.0]), greatest([1e4, 1.1e4, 9e3], [1e3, 1e3, 2e3])
    assert large[0] == pytest.approx(1000 * small[0]) and large[1] == pytest.approx(1000 * small[1])
