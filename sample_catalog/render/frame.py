"""The window onto the piece: micrometres on one side, pixels on the other."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .arrays import F32, F64, f32


@dataclass(frozen=True)
class Frame:
    """An upright picture's size, its µm per pixel in x and y, and the µm point at its centre."""

    width: int
    height: int
    sx: float
    sy: float
    cx: float = 0.0
    cy: float = 0.0

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.height, self.width

    @property
    def pixel(self) -> float:
        """Mean µm per pixel, for blurs where a thousandth doesn't matter."""
        return (self.sx + self.sy) / 2.0

    def coarse(self, factor: int) -> "Frame":
        """Return the same window with pixels `factor` times as large (the last may reach beyond it)."""
        width, height = -(-self.width // factor), -(-self.height // factor)
        over_x, over_y = width * factor - self.width, height * factor - self.height
        return Frame(
            width,
            height,
            self.sx * factor,
            self.sy * factor,
            self.cx + over_x * self.sx / 2.0,
            self.cy + over_y * self.sy / 2.0,
        )

    def cut(self, rows: slice, columns: slice) -> "Frame":
        """Return the frame of a part of the picture."""
        width, height = columns.stop - columns.start, rows.stop - rows.start
        middle_x, middle_y = (columns.start + columns.stop) / 2.0, (rows.start + rows.stop) / 2.0
        return Frame(
            width,
            height,
            self.sx,
            self.sy,
            self.cx + (middle_x - self.width / 2.0) * self.sx,
            self.cy + (middle_y - self.height / 2.0) * self.sy,
        )

    def around(self, x: float, y: float, reach_x: float, reach_y: float) -> tuple[slice, slice]:
        """Return rows and columns of a box around a µm point, at least two pixels, inside the picture."""
        column = (x - self.cx) / self.sx + self.width / 2.0
        row = (y - self.cy) / self.sy + self.height / 2.0
        return (_within(row, reach_y / self.sy, self.height), _within(column, reach_x / self.sx, self.width))

    def grid(self) -> tuple[F32, F32]:
        """Return x and y of every pixel centre in µm, y down."""
        x = (np.arange(self.width) + 0.5 - self.width / 2.0) * self.sx + self.cx
        y = (np.arange(self.height) + 0.5 - self.height / 2.0) * self.sy + self.cy
        return tuple(f32(a) for a in np.meshgrid(x, y))  # type: ignore[return-value]  # always two

    def to_pixels(self, points_um: F64 | Sequence[tuple[float, float]]) -> list[list[float]]:
        """Convert µm points to picture coordinates, the first pixel's corner being (0, 0)."""
        points = np.asarray(points_um, dtype=np.float64).reshape(-1, 2)
        x = (points[:, 0] - self.cx) / self.sx + self.width / 2.0
        y = (points[:, 1] - self.cy) / self.sy + self.height / 2.0
        return [[round(float(a), 3), round(float(b), 3)] for a, b in zip(x, y, strict=True)]


def _within(middle: float, reach: float, size: int) -> slice:
    start = int(np.clip(np.floor(middle - reach), 0, size - 16))
    return slice(start, int(np.clip(np.ceil(middle + reach), start + 16, size)))


def turn(x: F32, y: F32, angle: float) -> tuple[F32, F32]:
    """Return the coordinates as seen from axes turned by `angle` (radians, x towards y)."""
    c, s = float(np.cos(angle)), float(np.sin(angle))
    return f32(x * c + y * s), f32(y * c - x * s)


def turn_back(points: F64, angle: float, origin: tuple[float, float]) -> F64:
    """Undo `turn` for points and add the origin."""
    c, s = float(np.cos(angle)), float(np.sin(angle))
    x, y = points[..., 0], points[..., 1]
    return np.stack([x * c - y * s + origin[0], x * s + y * c + origin[1]], axis=-1)
