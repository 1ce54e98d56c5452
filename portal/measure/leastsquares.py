"""Fits a model to values by least squares, many times at once, with the standard uncertainty of each number."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Model = Callable[[Array, Places], tuple[Array, Array]]
"""By numbers (n, p) of the fits of these places: the values (n, m) and how they change with each number (n, m, p)."""

_MOST, _ENOUGH = 25, 1e-5


@dataclass(frozen=True, slots=True)
class Fit:
    """Fitted numbers, their standard uncertainties, and the noise of one value."""

    values: Array
    u: Array
    noise: float


def fitted(model: Model, seen: Array, start: Array, *, counted: npt.NDArray[np.bool_]) -> list[Fit | None]:
    """For each row of `seen` (n, m) the numbers for which the model comes nearest to what was seen there (Levenberg and
    Marquardt's way), from those of `start` (n, p); None where it leads nowhere. What isn't counted plays no part.

    >>> x = np.array([0.0, 1.0, 2.0, 3.0])
    >>> def line(p, places):
    ...     return p[:, :1] + p[:, 1:] * x, np.stack([np.ones((len(p), 4)), np.tile(x, (len(p), 1))], axis=2)
    >>> seen = np.array([1.0 + 2.0 * x, 3.0 - x])
    >>> [fit.values.round(6).tolist() for fit in fitted(line, seen, np.zeros((2, 2)), counted=seen > -9)]
    [[1.0, 2.0], [3.0, -1.0]]
    """
    weights = counted.astype(np.float64)
    values, damping = start.astype(np.float64), np.full(len(start), 1e-3)
    value, slopes = model(values, np.arange(len(start)))
    left, slopes = (seen - value) * weights, slopes * weights[:, :, None]
    going: Places = np.arange(len(start))
    for _ in range(_MOST):
        if not len(going):
            break
        move = _move(slopes[going], left[going], damping[going])
        value, beside = model(values[going] + move, going)
        after = (seen[going] - value) * weights[going]
        better = ~(np.square(after).sum(axis=1) > np.square(left[going]).sum(axis=1))
        taken, refused = going[better], going[~better]
        values[taken] += move[better]
        left[taken] = after[better]
        slopes[taken] = beside[better] * weights[taken][:, :, None]
        damping[taken] = np.maximum(damping[taken] / 5, 1e-9)
        damping[refused] *= 5
        there = better & (np.abs(move).max(axis=1) < _ENOUGH)
        going = going[~there & (damping[going] <= 1e8)]
    return _told(values, left, slopes, counted.sum(axis=1))


def _move(slopes: Array, left: Array, damping: Array) -> Array:
    turned = slopes.transpose(0, 2, 1)
    square, pull = turned @ slopes, turned @ left[:, :, None]
    diagonal = np.einsum("npp->np", square)
    damped = square + np.einsum("np,pq->npq", damping[:, None] * (diagonal + 1e-12), np.eye(square.shape[1]))
    try:
        return np.asarray(np.linalg.solve(damped, pull)[:, :, 0], dtype=np.float64)
    except np.linalg.LinAlgError:
        return np.asarray((np.linalg.pinv(damped) @ pull)[:, :, 0], dtype=np.float64)


def _told(values: Array, left: Array, slopes: Array, count: npt.NDArray[np.intp]) -> list[Fit | None]:
    free = count - values.shape[1]
    sound = (free >= 1) & np.isfinite(values).all(axis=1) & np.isfinite(slopes).all(axis=(1, 2))
    noise = np.sqrt(np.square(left).sum(axis=1) / np.maximum(free, 1))
    square = np.where(sound[:, None, None], slopes.transpose(0, 2, 1) @ slopes, 0.0)
    spread = np.einsum("npp->np", np.linalg.pinv(square, rcond=1e-12))
    u = noise[:, None] * np.sqrt(np.abs(spread))
    return [Fit(values[at], u[at], float(noise[at])) if sound[at] else None for at in range(len(values))]
