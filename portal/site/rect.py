"""Rectangles with x to the right and y down, in whatever unit their maker says."""

from collections.abc import Iterable
from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle by its four sides."""

    left: float
    top: float
    right: float
    bottom: float

    @staticmethod
    def around(points: Iterable[Point]) -> "Rect":
        """The smallest rectangle that holds all the points; ValueError where there are none."""
        xs, ys = zip(*points, strict=True)
        return Rect(min(xs), min(ys), max(xs), max(ys))

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    @property
    def centre(self) -> Point:
        """The middle."""
        return ((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    def moved(self, dx: float, dy: float) -> "Rect":
        """The same rectangle elsewhere."""
        return Rect(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    def union(self, other: "Rect") -> "Rect":
        """The smallest rectangle that holds both."""
        return Rect(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def scaled(self, x: float, y: float) -> "Rect":
        """Every side times a factor, as from pixels to micrometres."""
        return Rect(self.left * x, self.top * y, self.right * x, self.bottom * y)
