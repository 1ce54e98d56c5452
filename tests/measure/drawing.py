"""Shapes and scales for the tests of measuring."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
from pydantic import TypeAdapter

from portal.measure.shapes import measure_shape
from portal.model.result import Calibrated, Measurement, NoScale, Reading, Scale, Unmeasured
from portal.model.scalars import Frame
from portal.model.tag import Shape
from portal.model.terms import Made, SeenAs

FRAME = Frame(4000, 3000)
PROFILE = frozenset({"height", "depth", "step", "thickness"})
_SHAPE: TypeAdapter[Shape] = TypeAdapter(Shape)


def a_scale(x_um: float = 1.0, y_um: float | None = None, **more: Any) -> Scale:
    """A scale of so many micrometres per pixel that is exact and of which nothing else is known."""
    known: dict[str, Any] = {
        "u_x_um": 0.0,
        "u_y_um": 0.0,
        "given_by": Calibrated("stereo-1", "zoom-2", "C-1"),
    }
    return Scale(x_um=x_um, y_um=x_um if y_um is None else y_um, **{**known, **more})


def text_of(points: Sequence[Sequence[float]]) -> str:
    """Points as a tag file has them."""
    return " ".join(f"{x:.4f},{y:.4f}" for x, y in points)


def a_shape(characteristic: str, shape: str, **fields: Any) -> Shape:
    """A shape as a tag file has it; points may be given as numbers."""
    written = {
        name: value if isinstance(value, str) else text_of(value)
        for name, value in fields.items()
        if name in {"points", "base", "point"}
    }
    rest = {name: value for name, value in fields.items() if name not in written}
    plain = {"characteristic": characteristic, "shape": shape, "edge": "sharp", "drawn": "by hand"}
    return _SHAPE.validate_python({**plain, **rest, **written})


def read(
    shape: Shape,
    *,
    scale: Scale | NoScale | None = None,
    seen_as: SeenAs | None = None,
    zone_depth_um: float | None = None,
    view: str | None = "gate",
    frame: Frame = FRAME,
    made: Made = Made.SINGLE,
    sees: bool = True,
) -> Reading:
    """Measure on a picture that sees zone B as the characteristic needs it, unless told otherwise."""
    fitting = SeenAs.PROFILE if shape.characteristic in PROFILE else SeenAs.FACE
    return measure_shape(
        shape,
        scale=scale or a_scale(),
        seen_as=(seen_as or fitting) if sees else None,
        zone="B",
        zone_depth_um=zone_depth_um,
        view=view,
        picture="moulds/M-1/trials/T1/images/a.png",
        index=0,
        frame=frame,
        made=made,
    )


def measured(shape: Shape, **more: Any) -> Measurement:
    """The measurement; fails where there is none."""
    reading = read(shape, **more)
    assert isinstance(reading, Measurement), reading
    return reading


def refused(shape: Shape, **more: Any) -> Unmeasured:
    """The refusal; fails where something was measured."""
    reading = read(shape, **more)
    assert isinstance(reading, Unmeasured), reading
    return reading


def term(measurement: Measurement, name: str) -> float:
    """The standard uncertainty of one term; 0 where the budget doesn't have it."""
    return sum(each.u for each in measurement.terms if each.name == name)


def ends(measurement: Measurement) -> list[float]:
    """The two ends of the dimension line as x, y, x, y."""
    return [coordinate for end in measurement.trace for coordinate in end]


def value(characteristic: str, shape: str, *, scale: Scale | None = None, **fields: Any) -> float:
    """Only the value."""
    return measured(a_shape(characteristic, shape, **fields), scale=scale).value


def np_array(*values: float) -> npt.NDArray[np.float64]:
    """A plain array."""
    return np.array(values, dtype=np.float64)
