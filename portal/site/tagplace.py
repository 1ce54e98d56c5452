"""Where a finding's label stands on a whole picture, so that a phone's window cuts none of it off."""

from dataclasses import dataclass

from portal.site.rect import Rect

ROOM, HEAD = 34.0, 7.0
"""Percent of a picture's width that a label takes on a phone, and of its height that its line takes."""


@dataclass(frozen=True, slots=True)
class TagPlace:
    """A place in percent of the picture, and whether the label ends there or begins."""

    x: float
    y: float
    ends: bool


def tag_place(covered: Rect, width: int, height: int) -> TagPlace:
    """On the side of what was drawn that has more room; over it, ending at its right, where neither has enough."""
    left, right = 100 * covered.left / width, 100 * covered.right / width
    ends = max(left, ROOM) > 100 - right
    at = left if ends and left >= ROOM else right
    return TagPlace(x=round(min(at, 100.0), 3), y=round(max(100 * covered.top / height, HEAD), 3), ends=ends)
