"""Lines of two or more points."""

from collections.abc import Sequence

import numpy as np

from portal.measure.roughness import as_rough_as_seen, roughness
from portal.measure.sketch import EdgeShift, Lean, NotDrawn, Pair, Pixels, Sketch
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
    seen = as_rough_as_seen(um, pixels, closed=False)
    correction, extra = roughness(lengths, units, seen) if len(um) > 2 else (0.0, ())
    direction = units[0] if len(um) == 2 else None
    return Sketch(
        value=raw - correction,
        points=um,
        gradient=gradient,
        pointed=gradient,
        edges=(EdgeShift(2.0, edge, direction),),
        leans=(Lean(1.0, direction),),
        trace=(points[0], points[1]) if len(um) == 2 else (),  # along many, the line itself is what was measured
        correction=correction,
        extra=extra,
    )


def across(points: Sequence[Pair], pixels: Pixels, *, edge: Edge) -> Sketch:
    """The straight distance from the first point of a line to its last, µm."""
    return along((points[0], points[-1]), pixels, edge=edge)
