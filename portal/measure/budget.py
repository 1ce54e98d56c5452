"""From the terms of a budget to a combined uncertainty and its coverage factor (JCGM 100:2008)."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from portal.model import student
from portal.model.result import Term

CONFIDENCE = 0.95
PLAIN_DOF = 30.0
"""From this many effective degrees of freedom on, k = 2 is taken (JCGM 100:2008 G.6.6 and the trade's habit)."""


@dataclass(frozen=True, slots=True)
class Combined:
    """Combined standard uncertainty with its effective degrees of freedom and coverage factor."""

    u: float
    dof: float
    k: float


def combine(terms: Iterable[Term]) -> Combined:
    """Root sum of squares of independent terms, with Welch-Satterthwaite degrees of freedom.

    Units: those of the terms, which all are the unit of the result. k is 2 from 30 degrees of freedom on, else
    Student's t for 95 % two-sided at the degrees of freedom as they come, not cut to a whole number.
    Source: JCGM 100:2008 5.1.2 and G.4.

    >>> combine([Term("scale", 3.0), Term("pointing", 4.0)])
    Combined(u=5.0, dof=inf, k=2.0)
    """
    listed = tuple(terms)
    u = math.hypot(*(term.u for term in listed))
    dof = _effective_dof(listed, u)
    return Combined(u, dof, 2.0 if dof >= PLAIN_DOF else student.quantile((1 + CONFIDENCE) / 2, dof))


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value that lies anywhere within ± the half-width (JCGM 100:2008 4.3.7)."""
    return abs(half_width) / math.sqrt(3)


def _effective_dof(terms: tuple[Term, ...], u: float) -> float:
    """JCGM 100:2008 equation G.2b; infinite where every term is fully known."""
    spread = sum((term.u / u) ** 4 / term.dof for term in terms if u > 0)
    return 1 / spread if spread > 0 else math.inf
