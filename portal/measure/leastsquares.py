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
_POOR = 1e10
"""A matrix of a greater condition is inverted with care."""


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
    found = _squares((seen - value) * weights, slopes, weights)
    going: Places = np.arange(len(start))
    for _ in range(_MOST):
        if not len(going):
            break
        move = _move(found.square[going], found.pull[going], damping[going])
        value, slopes = model(values[going] + move, going)
        after = _squares((seen[going] - value) * weights[going], slopes, weights[going])
        better = ~(after.rest > found.rest[going])
        taken, refused = going[better], going[~better]
        values[taken] += move[better]
        found.square[taken], found.pull[taken], found.rest[taken] = (
            after.square[better], after.pull[better], after.rest[better],
        )  # fmt: skip
        damping[taken] = np.maximum(damping[taken] / 5, 1e-9)
        damping[refused] *= 5
        there = better & (np.abs(move).max(axis=1) < _ENOUGH)
        going = going[~there & (damping[going] <= 1e8)]
    return _told(values, found, counted.sum(axis=1))


@dataclass(frozen=True, slots=True)
class _Squares:
    """All that a move needs of the slopes, a hundredth of what they hold: J'J, J'r and r'r of each fit."""

    square: Array
    pull: Array
    rest: Array


def _squares(left: Array, slopes: Array, weights: Array) -> _Squares:
    turned = (slopes * weights[:, :, None]).transpose(0, 2, 1)
    return _Squares(turned @ slopes, (turned @ left[:, :, None])[:, :, 0], np.square(left).sum(axis=1))


def _move(square: Array, pull: Array, damping: Array) -> Array:
    diagonal = np.einsum("npp->np", square)
    damped = square + np.einsum("np,pq->npq", damping[:, None] * (diagonal + 1e-12), np.eye(square.shape[1]))
    try:
        return np.asarray(np.linalg.solve(damped, pull[:, :, None])[:, :, 0], dtype=np.float64)
    except np.linalg.LinAlgError:
        return np.asarray((np.linalg.pinv(damped) @ pull[:, :, None])[:, :, 0], dtype=np.float64)


def _told(values: Array, found: _Squares, count: npt.NDArray[np.intp]) -> list[Fit | None]:
    free = count - values.shape[1]
    sound = (free >= 1) & np.isfinite(values).all(axis=1) & np.isfinite(found.square).all(axis=(1, 2))
    noise = np.sqrt(found.rest / np.maximum(free, 1))
    spread = np.einsum("npp->np", _inverse(np.where(sound[:, None, None], found.square, 0.0)))
    u = noise[:, None] * np.sqrt(np.abs(spread))
    return [Fit(values[at], u[at], float(noise[at])) if sound[at] else None for at in range(len(values))]


def _inverse(square: Array) -> Array:
    """Of each matrix its inverse; what has none to speak of gets the nearest to one, which takes ten times as long."""
    try:
        found = np.linalg.inv(square)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.pinv(square, rcond=1e-12), dtype=np.float64)
    size = np.square(square).sum(axis=(1, 2)) * np.square(found).sum(axis=(1, 2))
    poor = ~(size < _POOR * _POOR)
    if poor.any():
        found[poor] = np.linalg.pinv(square[poor], rcond=1e-12)
    return np.asarray(found, dtype=np.float64)
