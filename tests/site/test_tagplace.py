"""Labels of findings stay on the picture, on a phone, too."""

from portal.site.rect import Rect
from portal.site.tagplace import HEAD, tag_place


def test_a_label_stands_right_of_what_was_drawn() -> None:
    """There is room for it."""
    found = tag_place(Rect(100, 200, 300, 400), 1000, 1000)
    assert (found.x, found.y, found.ends) == (30, 20, False)


def test_a_label_ends_left_of_what_lies_at_the_right_border() -> None:
    """On a phone it would be cut off there."""
    found = tag_place(Rect(600, 200, 800, 400), 1000, 1000)
    assert (found.x, found.ends) == (60, True)


def test_a_label_ends_over_what_is_as_wide_as_the_picture() -> None:
    """Neither side has room."""
    found = tag_place(Rect(50, 200, 950, 400), 1000, 1000)
    assert (found.x, found.ends) == (95, True)


def test_a_label_of_what_reaches_beyond_the_picture_stays_on_it() -> None:
    """Its line of text needs some height, too."""
    found = tag_place(Rect(-20, -30, 1020, 400), 1000, 1000)
    assert (found.x, found.y, found.ends) == (100, HEAD, True)
