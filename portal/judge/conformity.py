"""How a measured value stands to its limits: probability, guard bands, and what may be called conforming.

A limit is a pair of `low` and `high` in the unit of the value (µm); either may be None, not both.
Degrees of freedom below 30 take Student's t instead of the normal distribution: common practice, no source.
"""

import math
from dataclasses import dataclass

from portal.model import student
from portal.model.terms import VerdictWord

GUARD = 1.65
"""ISO 14253-1:2017 practice for one limit: 95 % conformance probability, rounded up from 1.645."""
CONFIDENCE = 0.95
_NORMAL_FROM = 30.0
_NEARLY_ONE = math.nextafter(1.0, 0.0)
"""What is uncertain at all is never quite certain, nor is its opposite, however far from its limits."""


@dataclass(frozen=True, slots=True)
class Limits:
    """A lower and an upper limit in µm, at least one of them."""

    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        if self.low is None and self.high is None:
            raise ValueError("at least one limit is needed")


@dataclass(frozen=True, slots=True)
class Region:
    """Where a value may be called conforming and where not conforming, in µm; bounds belong to neither "beyond"."""

    accept_low: float | None
    accept_high: float | None
    reject_below: float | None
    reject_above: float | None
    can_accept: bool = True
    """False where the limits lie too close together for any value to be called conforming."""


def probability(value: float, u: float, *, limits: Limits, dof: float = math.inf) -> float:
    """The conformance probability of a value with standard uncertainty u (JCGM 106:2012, 7.3 and 7.4).

    >>> round(probability(509.7, 8.6, limits=Limits(low=490.0)), 2)
    0.99
    """
    if u <= 0:
        return 1.0 if call(value, simple(limits)) is VerdictWord.CONFORMS else 0.0
    spread = _spread(dof)
    below_low = 0.0 if limits.low is None else student.cdf((limits.low - value) / u, spread)
    above_high = 0.0 if limits.high is None else student.cdf((value - limits.high) / u, spread)
    return min(_NEARLY_ONE, max(1.0 - _NEARLY_ONE, 1.0 - below_low - above_high))


def guard_factor(dof: float = math.inf) -> float:
    """How many u a guard band is wide at one limit: 1.65, or Student's 95 % quantile below 30 degrees of freedom."""
    return GUARD if dof >= _NORMAL_FROM else student.quantile(CONFIDENCE, dof)


def two_sided_factor(width_in_u: float, dof: float = math.inf) -> float | None:
    """How many u inside a limit the probability between both limits comes to 95 % (JCGM 106:2012, 7.4 solved).

    `width_in_u` is the distance of the limits over u. None where no value reaches 95 %: below 3.92 u.

    >>> round(two_sided_factor(4.0), 4)
    1.7962
    """
    spread = _spread(dof)

    def inside(g: float) -> float:
        return student.cdf(g, spread) - student.cdf(g - width_in_u, spread)

    low, high = student.quantile(CONFIDENCE, spread), width_in_u / 2
    if inside(high) < CONFIDENCE:
        return None
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle) < CONFIDENCE else (low, middle)
    return high


def guarded(u: float, *, limits: Limits, dof: float = math.inf) -> Region:
    """The region of ISO 14253-1:2017 practice: 95 % conformance probability for either claim.

    With two limits the guard band grows where they are near (within 5 u for a normal distribution, farther for few
    degrees of freedom), until no value can be called conforming.
    """
    g: float | None = guard_factor(dof)
    beyond = guard_factor(dof) * u
    if limits.low is not None and limits.high is not None and u > 0:
        near = two_sided_factor((limits.high - limits.low) / u, dof)
        g = None if near is None else max(guard_factor(dof), near)
    return Region(
        accept_low=None if limits.low is None or g is None else limits.low + g * u,
        accept_high=None if limits.high is None or g is None else limits.high - g * u,
        reject_below=None if limits.low is None else limits.low - beyond,
        reject_above=None if limits.high is None else limits.high + beyond,
        can_accept=g is not None,
    )


def simple(limits: Limits) -> Region:
    """The region of a plain comparison: the limits themselves."""
    return Region(limits.low, limits.high, limits.low, limits.high)


def simple_allowed(expanded: float, *, limits: Limits) -> bool:
    """Whether U is small enough for a plain comparison: at most a third of the limit, or of what lies between two."""
    given = [limit for limit in (limits.low, limits.high) if limit is not None]
    span = max(given) - min(given) if len(given) == 2 else abs(given[0])
    return span > 0 and not is_above(expanded, span / 3)


def call(value: float, region: Region) -> VerdictWord:
    """What the value is called in that region; unrounded values are compared."""
    if region.reject_above is not None and is_above(value, region.reject_above):
        return VerdictWord.DOES_NOT_CONFORM
    if region.reject_below is not None and is_above(region.reject_below, value):
        return VerdictWord.DOES_NOT_CONFORM
    too_high = region.accept_high is not None and is_above(value, region.accept_high)
    too_low = region.accept_low is not None and is_above(region.accept_low, value)
    return VerdictWord.UNDECIDED if too_high or too_low or not region.can_accept else VerdictWord.CONFORMS


def is_above(value: float, other: float) -> bool:
    """Whether a value is above another by more than the last bits of a floating-point number."""
    return value > other and not math.isclose(value, other, rel_tol=1e-12, abs_tol=1e-12)


def _spread(dof: float) -> float:
    return math.inf if dof >= _NORMAL_FROM else dof
