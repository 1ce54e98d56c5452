"""Many fits at once: each as if it were alone, also beside one that leads nowhere."""

import numpy as np
import numpy.typing as npt

from portal.measure.leastsquares import Fit, fitted

X = np.arange(12.0)
Array = npt.NDArray[np.float64]


def bent(p: Array, _: npt.NDArray[np.intp]) -> tuple[Array, Array]:
    """a + b exp(-c x), with its slopes; where b is 0, c plays no part."""
    fall = np.exp(-p[:, 2:] * X)
    slopes = [np.ones_like(fall), fall, -p[:, 1:2] * X * fall]
    return p[:, :1] + p[:, 1:2] * fall, np.stack(slopes, axis=2)


def fit(seen: Array, start: list[list[float]]) -> list[Fit | None]:
    """The fits of rows of which everything counts."""
    return fitted(bent, seen, np.array(start), counted=np.ones(seen.shape, dtype=np.bool_))


def test_one_that_has_no_inverse_changes_nothing_of_its_neighbour() -> None:
    """A level line leaves the third number open: it is told with a finite uncertainty, and the other as if alone."""
    noise = np.random.default_rng(3).normal(0, 0.01, X.shape)
    falling = 1.0 + 2.0 * np.exp(-0.5 * X) + noise
    level = np.full_like(X, 4.0)
    open_, beside = fit(np.array([level, falling]), [[4.0, 0.0, 0.3], [0.8, 1.5, 0.4]])
    (alone,) = fit(falling[None, :], [[0.8, 1.5, 0.4]])
    assert open_ and beside and alone
    assert np.isfinite(open_.u).all()
    assert open_.values.tolist() == [4.0, 0.0, 0.3]
    assert np.allclose(beside.values, alone.values, rtol=1e-12) and np.allclose(beside.u, alone.u, rtol=1e-9)


def test_uncertainties_are_those_of_the_pseudo_inverse() -> None:
    """Held against NumPy's `pinv` of the slopes at the place that was found (JCGM 102, least squares)."""
    seen = 1.0 + 2.0 * np.exp(-0.5 * X) + np.random.default_rng(4).normal(0, 0.02, X.shape)
    (found,) = fit(seen[None, :], [[0.8, 1.5, 0.4]])
    assert found
    value, slopes = bent(found.values[None, :], np.array([0]))
    noise = np.sqrt(np.square(seen - value[0]).sum() / (len(X) - 3))
    spread = np.linalg.pinv(slopes[0].T @ slopes[0])
    assert np.allclose(found.u, noise * np.sqrt(np.diag(spread)), rtol=1e-6)
