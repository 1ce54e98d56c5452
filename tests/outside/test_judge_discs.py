"""The worst circle against brute force: every circle through two points, counted by SciPy's k-d tree.

A closed circle that holds the most points can be moved, losing none, until two of them lie on it, or all are one.
"""

import math

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from portal.judge.discs import CLOSED, fullest

Array = npt.NDArray[np.float64]


def most_by_pairs(points: Array, diameter: float) -> int:
    """The most points in any circle through two of them, and in any around one of them."""
    radius, tree = diameter / 2, cKDTree(points)
    pairs = tree.query_pairs(diameter * (1 + CLOSED), output_type="ndarray")
    a, b = points[pairs[:, 0]], points[pairs[:, 1]]
    half = np.hypot(*(b - a).T) / 2
    a, b, half = a[half > 0], b[half > 0], half[half > 0]
    across = np.column_stack([a[:, 1] - b[:, 1], b[:, 0] - a[:, 0]]) / (2 * half[:, None])
    rise = np.sqrt(np.maximum(0.0, radius**2 - half**2))[:, None]
    centres = np.concatenate([points, (a + b) / 2 + rise * across, (a + b) / 2 - rise * across])
    return int(max(tree.query_ball_point(centres, radius * (1 + 2 * CLOSED), return_length=True)))


def scattered(seed: int, n: int) -> Array:
    """Points in a square of side 1."""
    return np.random.default_rng(seed).random((n, 2))


@pytest.mark.parametrize("diameter", [0.003, 0.03, 0.1, 0.3, 0.7, 1.0, 1.3, 1.5])
@pytest.mark.parametrize("seed", [0, 1, 2])
def test_scattered_points(seed: int, diameter: float) -> None:
    """Three sets of 300 points, from circles that hold one to those that hold all."""
    points = scattered(seed, 300)
    assert fullest(points, diameter).count == most_by_pairs(points, diameter)


@pytest.mark.parametrize("seed", range(20))
def test_clusters_with_repeated_points(seed: int) -> None:
    """Clusters on a coarse raster: many points share a place, and many circles pass through more than two of them."""
    rng = np.random.default_rng(seed)
    middles = rng.random((4, 2)) * 20
    points = np.round(middles[rng.integers(0, 4, 60)] + rng.normal(0, 1.5, (60, 2)))
    for diameter in (1.0, 2.0, math.sqrt(8), 5.0, 10.0):
        assert fullest(points, diameter).count == most_by_pairs(points, diameter)


@pytest.mark.parametrize(("radius", "held"), [(1, 5), (2, 13), (3, 29), (4, 49), (5, 81)])
def test_points_of_a_raster_on_the_circle_count(radius: int, held: int) -> None:
    """A circle around a raster's point holds as many as Gauss counted (OEIS A000328); no other place holds fewer."""
    side = np.arange(4.0 * radius + 1)
    raster = np.stack(np.meshgrid(side, side), axis=-1).reshape(-1, 2)
    assert fullest(raster, 2.0 * radius).count == most_by_pairs(raster, 2.0 * radius) >= held


def test_a_ring_of_points_lies_on_one_circle_only() -> None:
    """36 points on a circle of 10: that circle holds all, one thinner by a thousandth doesn't."""
    turns = np.linspace(0, 2 * math.pi, 36, endpoint=False)
    ring = 7 + 5 * np.column_stack([np.cos(turns), np.sin(turns)])
    assert fullest(ring, 10.0).count == 36
    assert fullest(ring, 9.99).count == most_by_pairs(ring, 9.99) < 36


@given(st.integers(0, 10_000), st.floats(0.05, 1.2))
@settings(max_examples=30, deadline=None)
def test_what_is_named_lies_in_the_circle(seed: int, diameter: float) -> None:
    """Every member lies within the circle that is given, and every other point outside it."""
    points = scattered(seed, 80)
    disc = fullest(points, diameter)
    away = np.hypot(*(points - disc.centre).T)
    inside = set(np.flatnonzero(away <= diameter / 2 * (1 + 3 * CLOSED)).tolist())
    assert set(disc.members) == inside


@given(st.integers(0, 10_000), st.floats(0.0, 2 * math.pi), st.floats(0.1, 50.0), st.floats(-1e3, 1e3))
@settings(max_examples=30, deadline=None)
def test_shift_turn_and_scale_change_nothing(seed: int, turn: float, scale: float, shift: float) -> None:
    """Circles are turned, shifted and grown with their points."""
    points = scattered(seed, 60)
    cos, sin = math.cos(turn), math.sin(turn)
    moved = scale * points @ np.array([[cos, sin], [-sin, cos]]) + shift
    assert fullest(moved, 0.3 * scale).count == fullest(points, 0.3).count


def test_a_wider_circle_never_holds_fewer() -> None:
    """Growing circles over the same points."""
    points = scattered(5, 200)
    counts = [fullest(points, diameter).count for diameter in np.linspace(0.01, 1.5, 60)]
    assert counts == sorted(counts) and counts[0] < counts[-1] == 200
