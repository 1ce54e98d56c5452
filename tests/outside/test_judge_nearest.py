"""The smallest distance of drawn pieces against SciPy's k-d tree (points) and shapely (lines and outlines)."""

import math
from itertools import combinations

import numpy as np
import numpy.typing as npt
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from portal.judge.nearest import Drawn, between, nearest

Array = npt.NDArray[np.float64]
LARGEST = 0.06
"""Size of the largest piece, as a share of the square that all lie in."""


def a_piece(corners: Array, *, closed: bool = True) -> Drawn:
    """A piece around the mean of its corners."""
    x, y = corners.mean(axis=0).tolist()
    return Drawn((x, y), corners, closed)


def some_piece(rng: np.random.Generator) -> Drawn:
    """A point, a line, or an outline that is dented, somewhere in a square of side 1."""
    at, kind, n = rng.random(2), rng.integers(0, 3), int(rng.integers(3, 12))
    if kind == 0:
        return a_piece(at[None, :], closed=False)
    turns = np.sort(rng.random(n)) * 2 * math.pi
    reach = LARGEST / 2 * (0.2 + 0.8 * rng.random((n, 1)))
    corners = at + reach * np.column_stack([np.cos(turns), np.sin(turns)])
    return a_piece(corners, closed=bool(kind == 2))


def as_shapely(piece: Drawn) -> shapely.Geometry:
    """The same for shapely."""
    if len(piece.corners) == 1:
        return shapely.Point(piece.corners[0])
    return shapely.Polygon(piece.corners) if piece.closed else shapely.LineString(piece.corners)


@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("n", [2, 3, 50, 2000])
def test_points(seed: int, n: int) -> None:
    """The nearest two of scattered points."""
    points = np.random.default_rng(seed).random((n, 2))
    found = nearest([a_piece(point[None, :], closed=False) for point in points])
    distances, _ = cKDTree(points).query(points, k=2)
    least = float(np.asarray(distances)[:, 1].min())
    assert found is not None and found.distance == pytest.approx(least, rel=1e-12)
    assert math.dist(points[found.first], points[found.second]) == pytest.approx(found.distance, rel=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_pieces_of_all_kinds(seed: int) -> None:
    """Few enough that most sets have no two that overlap; all pairs by shapely."""
    rng = np.random.default_rng(seed)
    pieces = [some_piece(rng) for _ in range(12)]
    shapes = [as_shapely(piece) for piece in pieces]
    found = nearest(pieces)
    distances = {(i, j): shapes[i].distance(shapes[j]) for i, j in combinations(range(12), 2)}
    assert found is not None and found.distance == pytest.approx(min(distances.values()), abs=1e-12)
    assert distances[found.first, found.second] == pytest.approx(found.distance, abs=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_two_pieces(seed: int) -> None:
    """Apart, crossing, or one within the other, from large pieces near each other."""
    rng = np.random.default_rng(1000 + seed)
    one, other = some_piece(rng), some_piece(rng)
    moved = other.corners - other.corners.mean(0) + one.corners.mean(0) + rng.normal(0, 0.03, 2)
    near = a_piece(moved, closed=other.closed)
    assert between(one, near).distance == pytest.approx(as_shapely(one).distance(as_shapely(near)), abs=1e-12)
    assert between(near, one).distance == between(one, near).distance
    assert math.dist(*between(one, near).ends) == pytest.approx(between(one, near).distance, abs=1e-12)


def test_a_piece_within_another_touches_it() -> None:
    """A point in the middle of an outline, and a small outline in a large one."""
    square = np.array([[0.0, 0.0], [8.0, 0.0], [8.0, 8.0], [0.0, 8.0]])
    point = a_piece(np.array([[4.0, 4.0]]), closed=False)
    assert between(a_piece(square), point).distance == 0
    assert between(a_piece(square), a_piece(square / 4 + 3)).distance == 0


def test_pieces_in_one_line_along_either_axis() -> None:
    """Where all lie side by side, each is compared with all others and the answer stays."""
    places = np.random.default_rng(3).random(400)
    still = np.zeros(400)
    least = float(np.diff(np.sort(places)).min())
    for points in (np.column_stack([still, places]), np.column_stack([places, still])):
        found = nearest([a_piece(point[None, :], closed=False) for point in points])
        assert found is not None and found.distance == pytest.approx(least, rel=1e-12)


@given(st.integers(0, 10_000), st.floats(0.0, 2 * math.pi), st.floats(0.1, 50.0), st.floats(-1e3, 1e3))
@settings(max_examples=25, deadline=None)
def test_shift_and_turn_change_nothing_and_scale_grows_it(seed: int, turn: float, scale: float, shift: float) -> None:
    """The distance of the nearest two grows with the scale and with nothing else."""
    rng = np.random.default_rng(seed)
    pieces = [some_piece(rng) for _ in range(15)]
    cos, sin = math.cos(turn), math.sin(turn)
    moved = [
        a_piece(scale * piece.corners @ np.array([[cos, sin], [-sin, cos]]) + shift, closed=piece.closed)
        for piece in pieces
    ]
    before, after = nearest(pieces), nearest(moved)
    assert before is not None and after is not None
    assert after.distance == pytest.approx(scale * before.distance, rel=1e-7, abs=1e-9 * (1 + abs(shift)))


def test_one_piece_has_no_distance() -> None:
    """Nothing to be near to."""
    assert nearest([a_piece(np.array([[1.0, 1.0]]), closed=False)]) is None
    assert nearest([]) is None
