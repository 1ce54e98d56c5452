"""Reading a stage micrometer: rendered graticules as hard as real ones, and pictures of something else."""

import math
from collections.abc import Iterable

import numpy as np
import pytest

from portal.measure.graticule import Graticule, NoGraticule, read_graticule, slope_u
from tests.measure.graticules import rendered


def read(seed: int) -> tuple[Graticule, float]:
    """A graticule of 10 to 400 px per division, turned by up to 10 degrees, and its true division."""
    rng = np.random.default_rng(seed)
    division = float(np.exp(rng.uniform(math.log(10), math.log(400))))
    found = read_graticule(rendered(rng, division, size=(600, max(1200, int(8.6 * division)))))
    assert isinstance(found, Graticule), (seed, division, found)
    return found, division


def held(seeds: Iterable[int]) -> float:
    """The share of graticules that are inside of their own U; each is right within 0.02 %."""
    inside = []
    for seed in seeds:
        found, division = read(seed)
        assert found.division_px == pytest.approx(division, rel=2e-4), seed
        inside.append(abs(found.division_px - division) <= 2 * found.u_px)
    return float(np.mean(inside))


def test_a_division_is_right_and_as_sure_as_it_says() -> None:
    """A tenth of the long proof."""
    assert held(range(20)) >= 18 / 20


@pytest.mark.long
def test_two_hundred_divisions_are_right_and_as_sure_as_they_say() -> None:
    """At least 181 of 200 inside of their own U."""
    assert held(range(200)) >= 181 / 200


def test_the_angle_is_told() -> None:
    """Across the marks, from x, clockwise."""
    found = read_graticule(rendered(np.random.default_rng(1), 40.0, turned=7.5))
    assert isinstance(found, Graticule) and found.angle_deg == pytest.approx(7.5, abs=0.05)


@pytest.mark.parametrize(("marks", "relative"), [(11, 9.53462589e-04), (51, 9.51302988e-05), (101, 3.41294941e-05)])
def test_the_slopes_uncertainty_is_least_squares_own(marks: int, relative: float) -> None:
    """s / (p sqrt(n (n² - 1) / 12)) for the slope of n marks at p that scatter by s, here p / 100: textbook."""
    assert slope_u(marks, 0.01) == pytest.approx(relative, rel=1e-6)


def pictures() -> dict[str, np.ndarray]:
    """What isn't a graticule."""
    rng = np.random.default_rng(2)
    y, x = np.mgrid[0:500, 0:700] + 0.5
    random_lines = np.zeros((500, 700))
    for at in rng.uniform(0, 700, 40):
        random_lines += np.abs(x - at) < 2
    return {
        "noise": rng.normal(0.5, 0.05, (500, 700)),
        "even": np.full((500, 700), 0.5),
        "one edge": (x > 300).astype(float) + rng.normal(0, 0.01, x.shape),
        "rings": np.sin(np.hypot(x - 350, y - 250) / 4),
        "lines anywhere": 1 - np.clip(random_lines, 0, 1) + rng.normal(0, 0.01, x.shape),
        "lines ever farther apart": (np.sin(np.sqrt(x) * 8) > 0.6) + rng.normal(0, 0.01, x.shape),
        "disc": (np.hypot(x - 350, y - 250) < 120) + rng.normal(0, 0.02, x.shape),
        "ramp": x / 700,
    }


@pytest.mark.parametrize("what", list(pictures()))
def test_a_picture_of_something_else_is_refused(what: str) -> None:
    """With a reason, and no number."""
    assert isinstance(read_graticule(pictures()[what]), NoGraticule)
