"""The analytic budget against Monte Carlo propagation (JCGM 101:2008).

Points are shaken by pointing and pixel grid and the scale by its own uncertainty; the scatter of the raw values has to
be that of the terms scale, pointing, pixel and base, within the statistical error of the number of trials.
"""

import math

import numpy as np
import numpy.typing as npt
import pytest

from portal.measure import assumed
from portal.model.terms import Drawn
from tests.measure.drawing import a_scale, a_shape, measured, term

Array = npt.NDArray[np.float64]
TRIALS = 1500
SCALE = a_scale(0.9, 1.3, u_x_um=0.004, u_y_um=0.009)
PROPAGATED = ("scale", "pointing", "pixel", "base")
SLOPE = np.array([[600, 700], [700, 730], [800, 760], [900, 790]], dtype=float)
ARC = 900 + 300 * np.column_stack([np.cos(np.linspace(-2.6, -0.5, 9)), 0.7 * np.sin(np.linspace(-2.6, -0.5, 9))])
BLOB = np.array([[600, 600], [700, 580], [820, 640], [840, 720], [760, 800], [640, 790], [570, 700]], dtype=float)

CASES: list[tuple[str, str, dict[str, Array]]] = [
    ("length", "line", {"points": SLOPE[[0, 3]]}),
    ("length", "line", {"points": BLOB[:4]}),
    ("height", "base-and-point", {"base": SLOPE, "point": np.array([[760.0, 600.0]])}),
    ("height", "base-and-point", {"base": SLOPE, "point": np.array([[1300.0, 700.0]])}),
    ("height", "base-and-point", {"base": ARC, "point": np.array([[880.0, 560.0]])}),
    ("width", "rectangle", {"points": BLOB[[0, 3, 5]]}),
    ("area", "ellipse", {"points": BLOB[[0, 3, 5]]}),
    ("diameter", "ellipse", {"points": BLOB[[0, 3, 5]]}),
    ("area", "outline", {"points": BLOB}),
    ("equivalent-diameter", "outline", {"points": BLOB}),
    ("perimeter", "outline", {"points": BLOB}),
    ("length", "outline", {"points": np.array([[100, 100], [900, 140], [880, 300], [120, 260]], dtype=float)}),
]


@pytest.mark.parametrize(("characteristic", "shape", "fields"), CASES)
def test_the_scatter_of_shaken_measurements_is_that_of_the_budget(
    characteristic: str, shape: str, fields: dict[str, Array]
) -> None:
    """Standard deviation of 1,500 trials: within four times its own error, 1 / sqrt(2 n)."""
    rng = np.random.default_rng(0)
    still = measured(a_shape(characteristic, shape, **fields), scale=SCALE)
    expected = math.hypot(*(term(still, name) for name in PROPAGATED))
    shaken = np.array([once(rng, characteristic, shape, fields) for _ in range(TRIALS)])
    assert float(shaken.std()) == pytest.approx(expected, rel=4 / math.sqrt(2 * TRIALS))


def once(rng: np.random.Generator, characteristic: str, shape: str, fields: dict[str, Array]) -> float:
    """The raw value of one trial."""
    z = float(rng.normal())
    scale = a_scale(SCALE.x_um + z * SCALE.u_x_um, SCALE.y_um + z * SCALE.u_y_um)
    shaken = {name: points + shake(rng, points.shape) for name, points in fields.items()}
    found = measured(a_shape(characteristic, shape, **shaken), scale=scale)
    return found.value + found.correction


def shake(rng: np.random.Generator, shape: tuple[int, ...]) -> Array:
    """Errors of pointing (normal) and of the pixel grid (rectangular), px."""
    half = assumed.GRID_HALF_WIDTH_PX
    shaken: Array = rng.normal(0, assumed.POINTING_PX[Drawn.BY_HAND], shape) + rng.uniform(-half, half, shape)
    return shaken
