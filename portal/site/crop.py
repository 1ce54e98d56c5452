"""Which part of a picture a card shows, and the same physical part of the pictures beside it.

A *field* is a rectangle in micrometres (in pixels where there is no scale), counted from the finding's anchor.
Pictures that show the same field at the same width are at the same physical scale, whatever their pixels.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from portal.model.scalars import Frame
from portal.pictures.derive import Crop
from portal.site.rect import Point, Rect

_ROOM = 0.46
"""How much of a field's width or height the finding may take."""
_BASE_ROOM = 0.86
"""How much of a field's width or height everything drawn may take, sound edges included."""
_LEAST_PIXELS = 260
"""A field narrower than this would show pixels rather than the part."""
SHARP_PIXELS = 1100
"""About as many pixels as a card's picture takes on a fine screen."""


@dataclass(frozen=True, slots=True)
class Sight:
    """A picture with a scale (or 1 unit per pixel), the finding's anchor and what it covers, in pixels."""

    file: str
    frame: Frame
    x: float
    """Micrometres (or 1) per pixel, to the right ..."""
    y: float
    """... and down."""
    anchor: Point
    covers: Rect
    feature: Rect
    """The same without the sound edge beside it."""

    @property
    def whole(self) -> Rect:
        """The whole picture, from its own corner, in the unit of the field."""
        return Rect(0, 0, self.frame.width * self.x, self.frame.height * self.y)

    def from_anchor(self, part: Rect) -> Rect:
        """A part of the picture in pixels, counted from the anchor, in the unit of the field."""
        dx, dy = self.anchor
        return part.moved(-dx, -dy).scaled(self.x, self.y)

    def place(self, field: Rect) -> Rect:
        """A field counted from the anchor as a rectangle counted from the picture's corner."""
        return field.moved(self.anchor[0] * self.x, self.anchor[1] * self.y)


@dataclass(frozen=True, slots=True)
class Cut:
    """A field of one picture, and the crop in whole pixels that covers it."""

    file: str
    field: Rect
    """From the picture's corner, in the unit of the field."""
    x: float
    y: float
    want: Crop

    @property
    def smaller(self) -> Crop | None:
        """The same with half as many pixels to a side, enough for a telephone; None where it hasn't many."""
        width = -(-(self.want.box[2] - self.want.box[0]) // self.want.divide)
        return Crop(self.want.box, 2 * self.want.divide) if width >= SHARP_PIXELS else None


def common_field(main: Sight, others: Sequence[Sight], *, aspect: float) -> Rect:
    """A field around the finding and what the pictures beside it show, of that width to height.

    It stays within the main picture where that is large enough, and never shows less than can be seen.
    """
    covers, feature = main.from_anchor(main.covers), main.from_anchor(main.feature)
    for other in others:
        covers = covers.union(other.from_anchor(other.covers))
        feature = feature.union(other.from_anchor(other.feature))
    width = max(
        feature.width / _ROOM,
        feature.height / _ROOM * aspect,
        covers.width / _BASE_ROOM,
        covers.height / _BASE_ROOM * aspect,
        _LEAST_PIXELS * main.x,
    )
    largest = max(main.whole.width, covers.width * 1.1, covers.height * 1.1 * aspect)
    width = min(width, largest)
    height = width / aspect
    middle = covers.centre
    field = Rect(middle[0] - width / 2, middle[1] - height / 2, middle[0] + width / 2, middle[1] + height / 2)
    return _within(field, main)


def whole_field(main: Sight, *, aspect: float) -> Rect:
    """A field that holds the whole picture, counted from the anchor."""
    whole = main.whole
    width = max(whole.width, whole.height * aspect)
    height = width / aspect
    left, top = (whole.width - width) / 2, (whole.height - height) / 2
    return Rect(left, top, left + width, top + height).moved(-main.anchor[0] * main.x, -main.anchor[1] * main.y)


def cut(sight: Sight, field: Rect, *, pixels: int = SHARP_PIXELS) -> Cut | None:
    """The crop that covers a field, divided so far that about `pixels` are left; None where it misses the picture."""
    placed = sight.place(field)
    box = (
        max(0, math.floor(placed.left / sight.x)),
        max(0, math.floor(placed.top / sight.y)),
        min(sight.frame.width, math.ceil(placed.right / sight.x)),
        min(sight.frame.height, math.ceil(placed.bottom / sight.y)),
    )
    if box[2] <= box[0] or box[3] <= box[1]:
        return None
    divide = max(1, (box[2] - box[0]) // pixels)
    return Cut(sight.file, placed, sight.x, sight.y, Crop(box, divide))


def _within(field: Rect, main: Sight) -> Rect:
    placed, whole = main.place(field), main.whole
    dx = _shift(placed.left, placed.right, whole.right)
    dy = _shift(placed.top, placed.bottom, whole.bottom)
    return field.moved(dx, dy)


def _shift(low: float, high: float, end: float) -> float:
    if high - low >= end:
        return (end - (low + high)) / 2
    return -low if low < 0 else min(0.0, end - high)
