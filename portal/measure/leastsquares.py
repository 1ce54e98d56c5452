"""Fits a model to values by least squares, with the standard uncertainty of each of its numbers."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

_MOST, _STEP, _ENOUGH = 25, 1e-6, 1e-5


@dataclass(frozen=True, slots=True)
class Fit:
    """Fitted numbers, their standard uncertainties, and the noise of one value."""

    values: Array
    u: Array
    noise: float


def fitted(model: Callable[[Array], Array], seen: Array, start: Array) -> Fit | None:
    """The numbers for which the model comes nearest to what was seen (Levenberg and Marquardt's way); None where it
    leads nowhere.

    >>> x = np.array([0.0, 1.0, 2.0, 3.0])
    >>> fit = fitted(lambda p: p[0] + p[1] * x, 1.0 + 2.0 * x, np.array([0.0, 1.0]))
    >>> fit.values.round(6).tolist()
    [1.0, 2.0]
    """
    values, damping = start.astype(np.float64), 1e-3
    left = seen - model(values)
    for _ in range(_MOST):
        slopes = _slopes(model, values)
        square, pull = slopes.T @ slopes, slopes.T @ left
        try:
            move = np.linalg.solve(square + damping * np.diag(np.diag(square) + 1e-12), pull)
        except np.linalg.LinAlgError:
            return None
        after = seen - model(values + move)
        if float(after @ after) > float(left @ left):
            damping *= 5
            if damping > 1e8:
                break
            continue
        values, left, damping = values + move, after, max(damping / 5, 1e-9)
        if float(np.abs(move).max()) < _ENOUGH:
            break
    return _told(model, values, left)


def _slopes(model: Callable[[Array], Array], values: Array) -> Array:
    columns, here = [], model(values)
    for place in range(len(values)):
        beside = values.copy()
        beside[place] += _STEP
        columns.append((model(beside) - here) / _STEP)
    return np.stack(columns, axis=1)


def _told(model: Callable[[Array], Array], values: Array, left: Array) -> Fit | None:
    free = len(left) - len(values)
    slopes = _slopes(model, values)
    if free < 1 or not np.isfinite(values).all():
        return None
    noise = float(np.sqrt(left @ left / free))
    spread = np.linalg.pinv(slopes.T @ slopes, rcond=1e-12)
    return Fit(values, noise * np.sqrt(np.abs(np.diag(spread))), noise)
