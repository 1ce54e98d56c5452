"""Student's t distribution: probability and quantile for any positive degrees of freedom, infinity included."""

import math
from statistics import NormalDist

_NORMAL = NormalDist()
_NEARLY_NORMAL = 1e5
"""From here on the expansion in 1/dof is exact to double precision, and the continued fraction would be slow."""
_TINY = 1e-300


def cdf(t: float, dof: float) -> float:
    """The probability that a t-distributed value is at most t.

    >>> round(cdf(1.8331129, 9.0), 6)
    0.95
    """
    _check(dof)
    if math.isnan(t):
        raise ValueError("t is not a number")
    tail = _tail(abs(t), dof)
    return tail if t < 0 else 1.0 - tail


def quantile(p: float, dof: float) -> float:
    """The value that a t-distributed one stays at or below with probability p, 0 < p < 1.

    >>> round(quantile(0.95, 9.0), 4)
    1.8331
    """
    _check(dof)
    if not 0.0 < p < 1.0:
        raise ValueError("a probability between 0 and 1 is needed")
    if math.isinf(dof):
        return _NORMAL.inv_cdf(p)
    if p == 0.5:
        return 0.0
    beyond = _beyond(min(p, 1.0 - p), dof)
    return -beyond if p < 0.5 else beyond


def _check(dof: float) -> None:
    if not dof > 0:
        raise ValueError("degrees of freedom are positive")


def _tail(t: float, dof: float) -> float:
    """The probability of more than t, t >= 0."""
    if math.isinf(t):
        return 0.0
    if math.isinf(dof):
        return _NORMAL.cdf(-t)
    if dof > _NEARLY_NORMAL:
        return _tail_nearly_normal(t, dof)
    share = t * t / (dof + t * t) if t < 1e150 else 1.0
    if share < 1.5 / (dof / 2 + 2.5):
        return 0.5 - 0.5 * _front(t, dof) * _fraction(share, 0.5, dof / 2) / 0.5
    rest = dof / (dof + t * t) if t < 1e150 else 0.0
    return 0.5 * _front(t, dof) * _fraction(rest, dof / 2, 0.5) / (dof / 2)


def _tail_nearly_normal(t: float, dof: float) -> float:
    """Fisher's expansion in 1/dof, two terms (Abramowitz and Stegun 26.7.8, from memory; held against SciPy)."""
    first = t * (t * t + 1) / 4
    second = t * (((3 * t * t - 7) * t * t - 5) * t * t - 3) / 96
    return max(0.0, _NORMAL.cdf(-t) + _NORMAL.pdf(t) * (first / dof + second / dof**2))


def _front(t: float, dof: float) -> float:
    """x^a (1-x)^b / B(a, b) for a = 1/2, b = dof/2 and x = t²/(dof + t²)."""
    if t == 0:
        return 0.0
    if t > 1e150:
        log_share, log_rest = 0.0, math.log(dof) - 2 * math.log(t)
    else:
        log_share, log_rest = -math.log1p(dof / (t * t)) if t * t > 0 else -math.inf, -math.log1p(t * t / dof)
    return math.exp(_log_gamma_step(dof / 2) - 0.5 * math.log(math.pi) + 0.5 * log_share + dof / 2 * log_rest)


def _log_gamma_step(a: float) -> float:
    """ln Γ(a + 1/2) - ln Γ(a), without the cancellation of two large logarithms."""
    if a < 20:
        return math.lgamma(a + 0.5) - math.lgamma(a)
    return 0.5 * math.log(a) - 1 / (8 * a) + 1 / (192 * a**3) - 1 / (640 * a**5) + 17 / (14336 * a**7)


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function, by the modified Lentz method."""
    c, d = 1.0, 1.0 / _not_zero(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for m in range(1, 10_000):
        for factor in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 / _not_zero(1.0 + factor * d)
            c = _not_zero(1.0 + factor / c)
            step = c * d
            value *= step
        if abs(step - 1.0) < 1e-15:
            break
    return value


def _not_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def _beyond(tail: float, dof: float) -> float:
    """The t >= 0 that is exceeded with that probability (at most 1/2): halving, where the tail only falls."""
    low, high = 0.0, 1.0
    while _tail(high, dof) > tail:
        low, high = high, 2 * high
        if math.isinf(high):
            return high
    while True:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            return middle
        if _tail(middle, dof) > tail:
            low = middle
        else:
            high = middle
