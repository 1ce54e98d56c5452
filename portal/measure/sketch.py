"""What a drawn shape comes to in micrometres, before its budget."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from portal.measure import assumed
from portal.measure.budget import rectangular
from portal.model.result import Scale, Term
from portal.model.terms import Drawn, Edge

Array = npt.NDArray[np.float64]
Pair = tuple[float, float]


class NotDrawn(Exception):
    """Drawn points that give no value: a key of the message catalogue below `measure.` and its whole numbers."""

    def __init__(self, key: str, **numbers: int) -> None:
        super().__init__(key)
        self.key = key
        self.numbers = numbers


@dataclass(frozen=True, slots=True)
class Pixels:
    """Pixel size in x and y (µm), and how the points were set."""

    x_um: float
    y_um: float
    drawn: Drawn
    roughness: float = 1.0
    """Share of the assumed pointing that the points themselves show, at most 1."""

    @staticmethod
    def of(scale: Scale, drawn: Drawn) -> "Pixels":
        """The pixels of that scale."""
        return Pixels(scale.x_um, scale.y_um, drawn)

    @property
    def size(self) -> Array:
        """Micrometres per pixel, x and y."""
        return np.array([self.x_um, self.y_um])

    @property
    def pointing_um(self) -> Array:
        """Standard uncertainty of a point's x and y from pointing, µm."""
        return assumed.POINTING_PX[self.drawn] * self.size

    @property
    def grid_um(self) -> Array:
        """Standard uncertainty of a point's x and y from the pixel grid, µm."""
        return rectangular(assumed.GRID_HALF_WIDTH_PX) * self.size

    @property
    def click_um(self) -> Array:
        """Both together: the standard uncertainty of a point's x and y, µm."""
        both: Array = self.roughness * np.hypot(self.pointing_um, self.grid_um)
        return both

    def calmer(self, roughness: float) -> "Pixels":
        """The same with points that show only that share of the assumed pointing; never more than all of it."""
        return replace(self, roughness=min(1.0, roughness))

    def um(self, points: Sequence[Pair]) -> Array:
        """Points in micrometres, shape (n, 2)."""
        return np.asarray(points, dtype=np.float64).reshape(-1, 2) * self.size

    def px(self, point: Array) -> Pair:
        """A point in micrometres back in pixels of the upright picture."""
        x, y = point / self.size
        return (float(x), float(y))

    def pitch_um(self, direction: Array | None) -> float:
        """Micrometres per pixel along a unit vector of the object; the geometric mean where there is none."""
        if direction is None:
            return float(np.sqrt(self.x_um * self.y_um))
        return float(1 / np.hypot(*(direction / self.size)))


@dataclass(frozen=True, slots=True)
class EdgeShift:
    """How much the value changes where an edge is taken 1 µm further out, across which direction."""

    sensitivity: float
    edge: Edge
    direction: Array | None = None


@dataclass(frozen=True, slots=True)
class Lean:
    """How much the value changes where one end shifts sideways by 1 µm, along which direction (None: any)."""

    sensitivity: float
    direction: Array | None = None


@dataclass(frozen=True, slots=True)
class Sketch:
    """A value with its sensitivities: all that the budget needs to know of the shape.

    `value` in µm (power 1) or µm² (power 2). `points` and `gradient` have shape (n, 2): all drawn points in µm and the
    value's derivative by each; `pointed` is the part of the gradient that the term `pointing` covers.
    """

    value: float
    points: Array
    gradient: Array
    pointed: Array
    edges: tuple[EdgeShift, ...]
    leans: tuple[Lean, ...]
    trace: tuple[Pair, ...] = ()
    power: int = 1
    correction: float = 0.0
    extra: tuple[Term, ...] = field(default=())


def root_sum(gradient: Array, sigma: Array) -> float:
    """Root sum of squares of a gradient's parts (n, 2), each coordinate with its standard uncertainty (2)."""
    return float(np.sqrt(((gradient * sigma) ** 2).sum()))
