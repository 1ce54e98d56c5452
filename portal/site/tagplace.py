"""Where a finding's label stands on a whole picture: no phone's window cuts it off, no scale bar covers it."""

from dataclasses import dataclass

from portal.site.rect import Rect

ROOM, HEAD = 34.0, 7.0
"""Percent of a picture's width that a label takes on a phone, and of its height that its line takes."""
UNDER, ASIDE = 15.0, 4.0
"""Percent of a picture's height on a phone that the plate of its scale bar takes, and of its width around the bar."""


@dataclass(frozen=True, slots=True)
class TagPlace:
    """A place in percent of the picture, and whether the label ends there or begins."""

    x: float
    y: float
    ends: bool


def tag_place(covered: Rect, width: int, height: int, *, bar: float) -> TagPlace:
    """On the side of what was drawn that has more room; over it, ending at its right, where neither has enough.

    Above the scale bar, which takes so many percent of the width, at the right, where it would lie behind its plate.
    """
    left, right = 100 * covered.left / width, 100 * covered.right / width
    ends = max(left, ROOM) > 100 - right
    at = left if ends and left >= ROOM else right
    x = min(at, 100.0)
    reaches = x if ends else x + ROOM
    lowest = 100.0 - UNDER if reaches > 100 - bar - ASIDE else 100.0
    return TagPlace(x=round(x, 3), y=round(min(max(100 * covered.top / height, HEAD), lowest), 3), ends=ends)
