"""How long the worst circle and the spacing of many specks take, beside SciPy's k-d tree in the same run.

Run: `python tests/benchmarks/specks.py [SPECKS]`. It measures, and neither passes nor fails: the times of one machine
say little of another's. SciPy's side of the worst circle tries every circle through two points; where that would be
more than a few million circles it is left out. Each time is the least of three.
"""

import sys
import time
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from portal.judge.discs import fullest
from portal.judge.nearest import Drawn, nearest

Array = npt.NDArray[np.float64]
SIDE_UM = 10_000.0
_MOST_CIRCLES = 3_000_000


def sets(n: int) -> Iterator[tuple[str, Array]]:
    """Scattered, in clusters, and on whole pixels of 5 µm, as a person clicks."""
    rng = np.random.default_rng(0)
    yield "scattered", rng.random((n, 2)) * SIDE_UM
    middles = rng.random((20, 2)) * SIDE_UM
    yield "clusters", middles[rng.integers(0, 20, n)] + rng.normal(0, 300, (n, 2))
    yield "whole pixels", np.round(rng.random((n, 2)) * SIDE_UM / 5) * 5


def timed(task: Callable[[], float]) -> tuple[float, float]:
    """What it gives, and the least of three times in seconds."""
    times, found = [], 0.0
    for _ in range(3):
        start = time.perf_counter()
        found = task()
        times.append(time.perf_counter() - start)
    return found, min(times)


def most_by_tree(points: Array, diameter: float) -> float:
    """The most in any circle through two points, counted by the tree."""
    tree = cKDTree(points)
    pairs = tree.query_pairs(diameter, output_type="ndarray")
    a, b = points[pairs[:, 0]], points[pairs[:, 1]]
    half = np.hypot(*(b - a).T) / 2
    a, b, half = a[half > 0], b[half > 0], half[half > 0]
    across = np.column_stack([a[:, 1] - b[:, 1], b[:, 0] - a[:, 0]]) / (2 * half[:, None])
    rise = np.sqrt(np.maximum(0.0, (diameter / 2) ** 2 - half**2))[:, None]
    centres = np.concatenate([(a + b) / 2 + rise * across, (a + b) / 2 - rise * across])
    return float(max(tree.query_ball_point(centres, diameter / 2 * (1 + 1e-9), return_length=True)))


def circles(points: Array, diameter: float) -> int:
    """How many circles SciPy's side would have to try."""
    return int(cKDTree(points).count_neighbors(cKDTree(points), diameter)) - len(points)


def report(n: int) -> None:
    """Print all of it."""
    for name, points in sets(n):
        for diameter in (100.0, 500.0, 3_000.0):
            ours, took = timed(partial(_in_circle, points, diameter))
            line = f"{name:13s} circle of {diameter / 1000:g} mm: {ours:.0f} of {n}, {took:.3f} s"
            if circles(points, diameter) <= _MOST_CIRCLES:
                theirs, longer = timed(partial(most_by_tree, points, diameter))
                line += f"; SciPy over all pairs {theirs:.0f}, {longer:.3f} s"
            print(line, flush=True)
        pieces = [Drawn((float(x), float(y)), np.array([[x, y]]), False) for x, y in points]
        ours, took = timed(partial(_gap, pieces))
        theirs, longer = timed(partial(_gap_by_tree, points))
        print(f"{name:13s} spacing {ours:.3f} µm, {took:.3f} s; SciPy {theirs:.3f} µm, {longer:.3f} s", flush=True)


def _in_circle(points: Array, diameter: float) -> float:
    return fullest(points, diameter).count


def _gap_by_tree(points: Array) -> float:
    distances, _ = cKDTree(points).query(points, k=2)
    return float(np.asarray(distances)[:, 1].min())


def _gap(pieces: list[Drawn]) -> float:
    found = nearest(pieces)
    return found.distance if found else 0.0


if __name__ == "__main__":
    report(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
