"""Pointing makes a chain of many points rough: how rough it is, and how much longer that makes it."""

import math

import numpy as np

from portal.measure import ring
from portal.measure.budget import rectangular
from portal.measure.sketch import Array, Pixels
from portal.model.result import Basis, Term

_ENOUGH = 8
"""Fewer points than these say nothing of their own roughness."""
_THIRD_DIFFERENCE = math.sqrt(5.0)
"""Standard deviation of a difference of two neighbouring bends, for independent errors of 1 across the chain."""
_MEDIAN_TO_SIGMA = 1.4826
"""Standard deviation by median of absolute values, normal distribution (JCGM 100:2008 4.3.5 has it as 1.48)."""


def as_rough_as_seen(um: Array, pixels: Pixels, *, closed: bool) -> Pixels:
    """The same pixels with the pointing that the chain itself shows, where that is less than assumed.

    An edge finder's outline may be smooth far below its stated pointing; then its jaws rest on no outliers and it is
    no longer than it should be. Roughness is judged from how the bend differs between neighbouring points (a curve
    of even bend has none), by the median, so that corners don't count. `um` has shape (n, 2).
    """
    if len(um) < _ENOUGH:
        return pixels
    px = um / pixels.size
    before, after = ring.before(px), ring.following(px)
    along = after - before
    normals = np.column_stack([-along[:, 1], along[:, 0]])
    reach = np.hypot(along[:, 0], along[:, 1])
    bends = ((px - (before + after) / 2) * normals).sum(axis=1) / np.where(reach > 0, reach, 1.0)
    differences = bends - ring.following(bends)
    seen = differences if closed else differences[1:-2]
    sigma = _MEDIAN_TO_SIGMA * float(np.median(np.abs(seen))) / _THIRD_DIFFERENCE
    return pixels.calmer(sigma / float(np.hypot(*pixels.click_um) / np.hypot(*pixels.size)))


def roughness(lengths: Array, units: Array, pixels: Pixels) -> tuple[float, tuple[Term, ...]]:
    """How much independent pointing lengthens a chain of steps, and the term of what remains after taking it off.

    `lengths` (n) and unit vectors `units` (n, 2) in µm. A step of length L with s across each of its ends comes
    out longer by about s²/L on average; no step is taken to be shorter than twice its own pointing. The remainder:
    the excess may be half as large or half as large again, rectangular.
    """
    click = pixels.click_um
    across = np.hypot(units[:, 1] * click[0], units[:, 0] * click[1])
    lengthened = np.divide(across**2, np.maximum(lengths, 2 * across), out=np.zeros_like(lengths), where=lengths > 0)
    whole = float(lengthened.sum())
    return whole, (Term("roughness", rectangular(whole / 2), Basis.RECTANGULAR),)
