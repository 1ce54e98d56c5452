"""Straight lines drawn over something of known length: how long they are by a scale, and whether both agree."""

import math
from dataclasses import dataclass

from portal.measure import line
from portal.measure.budget import combine
from portal.measure.sketch import NotDrawn, Pixels
from portal.measure.terms import terms_of
from portal.model.result import Scale
from portal.model.say import Quantity
from portal.model.scalars import Frame, Length, Points
from portal.model.terms import Drawn, Edge

_K = 2.0
"""Coverage factor of both uncertainties."""

_ONE_TO_ONE = Scale(x_um=1.0, y_um=1.0, u_x_um=0.0, u_y_um=0.0, given_by=Length(1.0, "1 um"))
"""A scale by which lengths come out in pixels, without a doubt of its own."""


@dataclass(frozen=True, slots=True)
class Against:
    """What was measured of something whose length is known; both with standard uncertainties, µm."""

    um: float
    u_um: float
    known: Length
    known_u_um: float = 0.0

    @property
    def agrees(self) -> bool:
        """Whether the difference lies within the expanded uncertainties of both, taken together.

        That is a normalised error of at most 1: ISO/IEC 17043 and ISO 13528 call it E_n (cited from memory).
        """
        return abs(self.um - self.known.um) <= _K * math.hypot(self.u_um, self.known_u_um)

    @property
    def measured(self) -> Quantity:
        """The measured length with its ±."""
        return Quantity(self.um, _K * self.u_um, like=self.known)

    @property
    def stated(self) -> Length | Quantity:
        """The known length as it was written, with its ± where it has one."""
        return Quantity(self.known.um, _K * self.known_u_um, like=self.known) if self.known_u_um else self.known


def against(points: Points, known: Length, scale: Scale, *, known_u_um: float = 0.0) -> Against | None:
    """Measure from the first point to the last, µm, and hold it against what is known; None where that is no length.

    The budget is that of a line between two sharp edges, drawn by hand, whose ends lie at the same height.
    """
    straight = _straight(points, scale)
    return Against(*straight, known, known_u_um) if straight else None


def by_reference(points: Points, length: Length, u_um: float) -> Scale | None:
    """The scale that a reference of known length gives to the picture in which it lies; None where it gives none.

    Pixels are taken as square, and the reference as lying at the height of what is measured. The doubt is that of its
    length and of drawing it; the same in x and y.
    """
    straight = _straight(points, _ONE_TO_ONE)
    if straight is None:
        return None
    pixels, u_pixels = straight
    pitch = length.um / pixels
    u = pitch * math.hypot(u_um / length.um, u_pixels / pixels)
    return Scale(x_um=pitch, y_um=pitch, u_x_um=u, u_y_um=u, given_by=length)


def inside(points: Points, frame: Frame) -> bool:
    """Whether all points lie in the upright picture; nothing is known beyond it."""
    return all(0 <= x <= frame.width and 0 <= y <= frame.height for x, y in points.xy)


def _straight(points: Points, scale: Scale) -> tuple[float, float] | None:
    """Value and standard uncertainty of the distance from the first point to the last."""
    pixels = Pixels.of(scale, Drawn.BY_HAND)
    try:
        sketch = line.across(points.xy, pixels, edge=Edge.SHARP)
    except NotDrawn:
        return None
    terms = terms_of(sketch, scale, pixels, height_difference_um=None, zone_depth_um=None)
    return sketch.value, combine(terms).u
