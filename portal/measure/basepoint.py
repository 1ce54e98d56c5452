"""Base and point: the signed distance of the farthest point from a line or an arc fitted to the sound edge."""

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from portal.measure import assumed
from portal.measure.fit import Fit, fit_circle, fit_line
from portal.measure.greatest import greatest
from portal.measure.sketch import Array, EdgeShift, Lean, NotDrawn, Pair, Pixels, Sketch, root_sum
from portal.model import student
from portal.model.result import Basis, Term
from portal.model.terms import Edge

LEAST_POINTS = 3


def base_and_point(
    base: Sequence[Pair], point: Sequence[Pair], pixels: Pixels, *, edge: Edge, below: bool = False
) -> Sketch:
    """The signed perpendicular distance of the farthest of some points from the fitted base, µm.

    Sign: whoever walks along the base from its first drawn point to its last has the sound material on the right
    hand and what stands proud on the left (on the screen: a base drawn from left to right has proud above it).
    Proud is positive, below the base is negative; with `below` (depth, missing length) the other way round.
    The base is a line by orthogonal least squares, or a circle where at least five points are clearly an arc.
    Of several points the one farthest from the base counts, whichever side it lies on; picking the farthest of
    noisy candidates finds too much, and that is taken off.
    """
    um, tips = pixels.um(base), pixels.um(point)
    if len(um) < LEAST_POINTS:
        raise NotDrawn("base-points", n=len(um))
    fit = choose_base(um, pixels)
    sign = -1.0 if below else 1.0
    distances = np.array([fit.distance(tip) for tip in tips])
    winner = int(np.abs(distances).argmax())
    tip, away = tips[winner], fit.away(tips[winner])
    bias, extra = _greatest_of(fit, tips, distances, winner, pixels)
    pointed = np.zeros((len(um) + len(tips), 2))
    pointed[len(um) + winner] = sign * away
    by_base = sign * fit.by_base(tip)
    gradient = pointed.copy()
    gradient[: len(um)] = by_base
    return Sketch(
        value=sign * (float(distances[winner]) - bias),
        points=np.vstack([um, tips]),
        gradient=gradient,
        pointed=pointed,
        edges=(EdgeShift(1.0, Edge.SHARP, away), EdgeShift(1.0, edge, away)),
        leans=(Lean(1.0, away),),
        trace=(pixels.px(tip - distances[winner] * away), pixels.px(tip)),
        correction=sign * bias,
        extra=(_base_term(fit, by_base, pixels), *extra),
    )


def choose_base(base: Array, pixels: Pixels) -> Fit:
    """The line, or the circle where it fits clearly better.

    Clearly: from five points on, where the circle explains more than the line by 3 standard uncertainties of pointing,
    and by more than chance would let it beside its own scatter (F test with 1 and n - 3 degrees of freedom, 99 %).
    A circle's own uncertainty, which is larger, goes into the budget with it.
    """
    circle = fit_circle(base) if len(base) >= assumed.ARC_POINTS else None
    line = fit_line(base)
    if line is None or circle is None:
        return _known(line or circle)
    left, free = float((circle.residuals() ** 2).sum()), len(base) - circle.parameters
    gain = float((line.residuals() ** 2).sum()) - left
    noise = assumed.ARC_SIGNIFICANCE * _across(pixels)
    clear = gain > noise**2 and gain > _beyond_chance(free) * left / free
    return circle if clear else line


@lru_cache(maxsize=64)
def _beyond_chance(free: int) -> float:
    """99 % point of F with 1 and that many degrees of freedom: the square of Student's two-sided t."""
    return student.quantile(0.995, free) ** 2


def _known(fit: Fit | None) -> Fit:
    if fit is None:
        raise NotDrawn("no-base")
    return fit


def _across(pixels: Pixels) -> float:
    """Standard uncertainty of a base's point across the base, µm: pointing and pixel grid."""
    return float(np.sqrt((pixels.click_um**2).mean()))


def _base_term(fit: Fit, by_base: Array, pixels: Pixels) -> Term:
    """What the points of the base leave open: their pointing, or their scatter where it's clearly more.

    Clearly: the sum of squared residuals is beyond the 95 % point of chi-square.
    """
    expected = root_sum(by_base, pixels.click_um)
    free = len(fit.base) - fit.parameters
    scatter = float((fit.residuals() ** 2).sum()) / _across(pixels) ** 2
    if scatter <= chi_square_95(free):
        return Term("base", expected)
    return Term("base", expected * math.sqrt(scatter / free), dof=float(free))


def chi_square_95(free: int) -> float:
    """95 % point of chi-square by Wilson and Hilferty's cube, from memory; 2.5 % low at 1 degree of freedom."""
    part = 2 / (9 * free)
    return float(free * (1 - part + 1.6449 * math.sqrt(part)) ** 3)


def _greatest_of(
    fit: Fit, tips: Array, distances: Array, winner: int, pixels: Pixels
) -> tuple[float, tuple[Term, ...]]:
    """How much the farthest of several points lies too far out (with the sign of its distance), and the term."""
    side = math.copysign(1, distances[winner])
    rivals = distances * side > 0
    if rivals.sum() < 2:
        return 0.0, ()
    sigmas = [float(np.hypot(*(fit.away(tip) * pixels.click_um))) for tip in tips[rivals]]
    corrected, rest = greatest(side * distances[rivals], sigmas)
    return side * (side * float(distances[winner]) - corrected), (Term("greatest", rest, Basis.RECTANGULAR),)
