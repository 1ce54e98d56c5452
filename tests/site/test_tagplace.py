"""Labels of findings stay on the picture, on a phone, too."""

from portal.site.rect import Rect
from portal.site.tagplace import HEAD, ROOM, UNDER, tag_place


def test_a_label_stands_right_of_what_was_drawn() -> None:
    """There is room for it."""
    found = tag_place(Rect(100, 200, 300, 400), 1000, 1000, bar=20)
    assert (found.x, found.y, found.ends) == (30, 20, False)


def test_a_label_ends_left_of_what_lies_at_the_right_border() -> None:
    """On a phone it would be cut off there."""
    found = tag_place(Rect(600, 200, 800, 400), 1000, 1000, bar=20)
    assert (found.x, found.ends) == (60, True)


def test_a_label_ends_over_what_is_as_wide_as_the_picture() -> None:
    """Neither side has room."""
    found = tag_place(Rect(50, 200, 950, 400), 1000, 1000, bar=20)
    assert (found.x, found.ends) == (95, True)


def test_a_label_of_what_reaches_beyond_the_picture_stays_on_it() -> None:
    """Its line of text needs some height, too."""
    found = tag_place(Rect(-20, -30, 1020, 400), 1000, 1000, bar=20)
    assert (found.x, found.y, found.ends) == (100, HEAD, True)


def test_a_label_stands_above_the_scale_bar() -> None:
    """Behind the bar's plate nobody would read it; left of the bar it stays where it is."""
    over = tag_place(Rect(400, 980, 450, 990), 1000, 1000, bar=20)
    assert (over.x, over.y, over.ends) == (45, 100 - UNDER, False)
    ending = tag_place(Rect(950, 980, 960, 990), 1000, 1000, bar=20)
    assert (ending.x, ending.y, ending.ends) == (95, 100 - UNDER, True)
    beside = tag_place(Rect(100, 980, 120, 990), 1000, 1000, bar=20)
    assert (beside.x, beside.y) == (12, 98)
    assert beside.x + ROOM < 80 - 4
    left_of_it = tag_place(Rect(700, 980, 960, 990), 1000, 1000, bar=20)
    assert (left_of_it.x, left_of_it.y, left_of_it.ends) == (70, 98, True)
