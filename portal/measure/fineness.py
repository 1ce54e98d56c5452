"""How finely a scale measures: the expected uncertainty of a plain length, before anything is drawn."""

import math

from portal.measure.shapes import measure_shape
from portal.model.result import Measurement, Scale
from portal.model.scalars import Frame, Points
from portal.model.tag import LineShape
from portal.model.terms import Characteristic, Drawn, Edge, SeenAs


def expected(length_um: float, scale: Scale, frame: Frame) -> float | None:
    """U (µm, 95 %) of a length between two sharp edges, drawn by hand, lying level along the picture's width.

    That is the program's own budget for the plainest case; torn edges, height differences and gauges are left out, so
    a real reading may be coarser. None where the length doesn't fit the picture, or is none.
    """
    width = length_um / scale.x_um
    if not 0 < width <= frame.width:
        return None
    left, middle = (frame.width - width) / 2, frame.height / 2
    points = ((left, middle), (left + width, middle))
    line = LineShape(
        characteristic=Characteristic.LENGTH,
        edge=Edge.SHARP,
        drawn=Drawn.BY_HAND,
        shape="line",
        points=Points(points, ""),
    )
    reading = measure_shape(
        line,
        scale=scale,
        seen_as=SeenAs.FACE,
        zone="",
        zone_depth_um=None,
        view="",
        picture="",
        index=0,
        frame=frame,
    )
    return reading.expanded if isinstance(reading, Measurement) and math.isfinite(reading.expanded) else None
