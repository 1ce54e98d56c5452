"""Lines of two or more points."""

from collections.abc import Sequence

import numpy as np

from portal.measure import assumed
from portal.measure.budget import rectangular
from portal.measure.sketch import Array, EdgeShift, Lean, NotDrawn, Pair, Pixels, Sketch
from portal.model.result import Basis, Term
from portal.model.terms import Edge


def along(points: Sequence[Pair], pixels: Pixels, *, edge: Edge) -> Sketch:
    """The length along a line of two or more points, µm.

    Pointing across a line of many points makes it longer than it is; that is taken off (see `roughness`).
    """
    um = pixels.um(points)
    steps = np.diff(um, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    if len(um) < 2 or not lengths.any():
        raise NotDrawn("no-length")
    units = np.divide(steps, lengths[:, None], out=np.zeros_like(steps), where=lengths[:, None] > 0)
    gradient = np.zeros_like(um)
    gradient[1:] += units
    gradient[:-1] -= units
    raw = float(lengths.sum())
    correction, extra = roughness(lengths, units, pixels) if len(um) > 2 else (0.0, ())
    direction = units[0] if len(um) == 2 else None
    return Sketch(
        value=raw - correction,
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2.0, edge, direction),),
        leans=(Lean(1.0, direction),),
        trace=(points[0], points[-1]),
        correction=correction,
        extra=extra,
    )


def across(points: Sequence[Pair], pixels: Pixels, *, edge: Edge) -> Sketch:
    """The straight distance from the first point of a line to its last, µm."""
    return along((points[0], points[-1]), pixels, edge=edge)


def roughness(lengths: Array, units: Array, pixels: Pixels) -> tuple[float, tuple[Term, ...]]:
    """How much independent pointing lengthens a chain of steps, and the term of what remains after taking it off.

    `lengths` (n) and unit vectors `units` (n, 2) in µm. A step of length L with s across each of its ends comes
    out longer by about s²/L on average. No step is taken to be shorter than its own pointing error.
    """
    sigma = pixels.click_um
    across_sigma = np.hypot(units[:, 1] * sigma[0], units[:, 0] * sigma[1])
    excess = across_sigma**2 / np.maximum(lengths, 2 * across_sigma)
    alike = assumed.ROUGHNESS_ALIKE[pixels.drawn]
    whole = float(excess.sum())
    rest = whole * max(alike, 0.25)
    return whole * (1 - alike), (Term("roughness", rectangular(rest), Basis.RECTANGULAR),)
