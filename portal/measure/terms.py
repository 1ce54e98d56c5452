"""The terms of a drawn measurement's budget (JCGM 100:2008), from a sketch and its scale."""

import math

import numpy as np

from portal.measure import assumed
from portal.measure.budget import rectangular
from portal.measure.sketch import Lean, Pixels, Sketch, root_sum
from portal.model.result import Basis, Scale, Term


def terms_of(
    sketch: Sketch,
    scale: Scale,
    pixels: Pixels,
    *,
    height_difference_um: float | None,
    zone_depth_um: float | None,
) -> tuple[Term, ...]:
    """All terms that are known for that sketch, in the unit of its value; a term of nothing is left out.

    `height_difference_um` is how far the ends lie apart in height, as the inspector says; where it isn't given,
    the zone's depth bounds it; where neither is known, nothing is said of parallax and perspective.
    """
    relative = abs(sketch.value) * sketch.power
    terms = (
        Term("scale", _scale(sketch, scale)),
        Term("return", relative * (scale.return_u or 0.0)),
        Term("distortion", rectangular(relative * (scale.distortion or 0.0)), Basis.RECTANGULAR),
        _parallax(sketch, scale, height_difference_um, zone_depth_um),
        _perspective(relative, scale, height_difference_um, zone_depth_um),
        Term("pointing", root_sum(sketch.pointed, pixels.pointing_um)),
        Term("pixel", root_sum(sketch.pointed, pixels.grid_um), Basis.RECTANGULAR),
        Term("edge", _edge(sketch, pixels), Basis.RECTANGULAR),
        Term("surface", _surface(sketch), Basis.RECTANGULAR),
        *sketch.extra,
    )
    return tuple(term for term in terms if term.u > 0)


def _scale(sketch: Sketch, scale: Scale) -> float:
    """The scale in x and in y come from one artefact: their contributions add up with their signs."""
    per_pixel = (sketch.gradient * sketch.points).sum(axis=0) / np.array([scale.x_um, scale.y_um])
    return abs(float(per_pixel @ np.array([scale.u_x_um, scale.u_y_um])))


def _parallax(sketch: Sketch, scale: Scale, given_um: float | None, depth_um: float | None) -> Term:
    """Height difference x tan(tilt). A given difference counts whole, since its sign isn't known; a bound counts
    as rectangular half-width."""
    height = given_um if given_um is not None else depth_um
    if height is None or scale.tilt_deg is None:
        return Term("parallax", 0.0)
    tilt, doubt = math.tan(math.radians(scale.tilt_deg)), math.tan(math.radians(scale.tilt_u_deg or 0.0))
    along = sum(lean.sensitivity * _share(lean, scale.tilt_direction) for lean in sketch.leans)
    across = sum(lean.sensitivity for lean in sketch.leans)
    shift = height * math.hypot(tilt * along, doubt * across)
    return Term("parallax", shift) if given_um is not None else Term("parallax", rectangular(shift), Basis.RECTANGULAR)


def _share(lean: Lean, tilt_direction: float | None) -> float:
    """How much of a sideways shift falls on the measured direction; all of it where either isn't known."""
    if lean.direction is None or tilt_direction is None:
        return 1.0
    angle = math.radians(tilt_direction)
    return abs(float(lean.direction @ np.array([math.cos(angle), math.sin(angle)])))


def _perspective(relative: float, scale: Scale, given_um: float | None, depth_um: float | None) -> Term:
    """What lies nearer to the lens by h looks larger by h ÷ working distance."""
    height = given_um if given_um is not None else depth_um
    if height is None or not scale.working_distance_um:
        return Term("perspective", 0.0)
    return Term("perspective", rectangular(relative * height / scale.working_distance_um), Basis.RECTANGULAR)


def _edge(sketch: Sketch, pixels: Pixels) -> float:
    """Edges shift independently of each other; one edge shifts as a whole."""
    widths = (
        shift.sensitivity * assumed.edge_half_width(shift.edge, pitch_um=pixels.pitch_um(shift.direction))
        for shift in sketch.edges
    )
    return math.hypot(*(rectangular(width) for width in widths))


def _surface(sketch: Sketch) -> float:
    """A leaning surface only ever looks smaller; not corrected, so the whole possible loss over root 3."""
    loss = 1 - math.cos(math.radians(assumed.SURFACE_TILT_DEG))
    return rectangular(abs(sketch.value) * loss)
