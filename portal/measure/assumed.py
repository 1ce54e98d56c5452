"""The program's own assumptions about pointing and edges, all in one place.

None of these numbers has a source: they are what we think a careful person with a mouse, and an edge finder
on a picture in focus, come to. A shop that knows better from repeated drawings changes them here.
"""

from portal.model.terms import Drawn, Edge

POINTING_PX = {Drawn.BY_HAND: 0.7, Drawn.EDGE_FOUND: 0.2}
"""Standard uncertainty of each coordinate of a point. By hand: a steady click lands within a pixel and a half
19 times in 20, whatever the zoom. Edge found: an interpolated crossing repeats to a fifth of a pixel."""

GRID_HALF_WIDTH_PX = 0.5
"""A pixel shows one colour for all of its width, so where in it the edge lies is unknown: rectangular."""

EDGE_HALF_WIDTH = {Edge.SHARP: (1.0, 0.0), Edge.TORN: (4.0, 3.0), Edge.SOFT: (12.0, 10.0)}
"""Half-width of what may be taken for the edge, in pixels and in micrometres, the larger counts: two people who
draw a sharp edge agree to a pixel; torn plastic has threads that one counts and the other doesn't; a soft edge
fades over some ten micrometres of real surface, however fine the pixels. It is the same all along one edge."""

FILE_SCALE_SHARE = 0.02
"""How far off a scale may be that a file states of itself, which names no uncertainty and no artefact: rectangular."""

SURFACE_TILT_DEG = 5.0
"""How far a surface laid on the stage by hand may lean: it shortens what is seen by up to 1 - cos 5 deg = 0.4 %."""

CORNER_DEG = 50.0
"""An outline that turns by this much at one point has a corner there; below, it may be a curve drawn with chords."""

ARC_POINTS = 5
"""Fewer points than these are never taken for an arc."""

ARC_SIGNIFICANCE = 3.0
"""A base is an arc where a circle explains more than the line does by this many standard uncertainties of pointing."""


def edge_half_width(edge: Edge, *, pitch_um: float) -> float:
    """Half-width in micrometres of what may be taken for the edge, at that many micrometres per pixel."""
    pixels, micrometres = EDGE_HALF_WIDTH[edge]
    return max(pixels * pitch_um, micrometres)
