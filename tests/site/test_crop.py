"""Crops of pictures at different scales show the same physical field."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.model.scalars import Frame
from portal.site.crop import Sight, common_field, cut, whole_field
from portal.site.rect import Rect

SCALES = st.floats(0.3, 5.0)


def sight(x: float, y: float, *, middle: tuple[float, float] = (800, 600), half: float = 60, size: int = 1600) -> Sight:
    """A finding of 120 pixels in a picture of 1600 x 1200."""
    covers = Rect(middle[0] - half, middle[1] - half, middle[0] + half, middle[1] + half)
    return Sight("a.jpg", Frame(size, size * 3 // 4), x, y, middle, covers, covers)


@given(x=SCALES, y=SCALES, other=SCALES)
def test_both_pictures_show_a_field_of_the_same_size(x: float, y: float, other: float) -> None:
    """Width and height in micrometres agree, also where a pixel is not square."""
    main, beside = sight(x, y), sight(other, other)
    field = common_field(main, [beside], aspect=1.5)
    first, second = cut(main, field), cut(beside, field)
    assert first is not None and second is not None
    assert first.field.width == pytest.approx(second.field.width)
    assert first.field.height == pytest.approx(second.field.height)
    assert first.field.width / first.field.height == pytest.approx(1.5)


@given(x=SCALES, left=st.floats(0, 1600), top=st.floats(0, 1200))
def test_the_crop_covers_the_field_as_far_as_the_picture_goes(x: float, left: float, top: float) -> None:
    """The box is in whole pixels, inside the picture, and leaves nothing of the field out."""
    main = sight(x, x, middle=(left, top), half=0)
    part = cut(main, common_field(main, [], aspect=1.5))
    assert part is not None
    box = part.want.box
    assert 0 <= box[0] < box[2] <= 1600 and 0 <= box[1] < box[3] <= 1200
    assert box[0] * x <= part.field.left + 1e-6 and box[2] * x >= part.field.right - 1e-6


@pytest.mark.parametrize(("pixels", "divide", "smaller"), [(1099, 1, None), (1100, 1, 2), (2199, 1, 2), (2200, 2, 4)])
def test_what_has_many_pixels_is_there_in_small_too(pixels: int, divide: int, smaller: int | None) -> None:
    """The same part, divided twice as far; of what has few there is one size."""
    main = sight(1.0, 1.0, size=4000)
    part = cut(main, Rect(0, 0, pixels, pixels / 1.5))
    assert part is not None and part.want.divide == divide
    assert (part.smaller and (part.smaller.box, part.smaller.divide)) == (smaller and (part.want.box, smaller))


def test_the_finding_is_in_the_field() -> None:
    """A long finding gets a wide field."""
    main = sight(1.0, 1.0, half=400)
    field = main.place(common_field(main, [], aspect=1.5))
    assert field.left <= 400 and field.right >= 1200 and field.top <= 200 and field.bottom >= 1000


def test_what_lies_outside_of_the_other_picture_is_left_blank() -> None:
    """A sample whose anchor lies at its edge keeps its scale and its place under the anchor."""
    main, beside = sight(1.0, 1.0), sight(1.0, 1.0, middle=(10, 10), half=5)
    part = cut(beside, common_field(main, [beside], aspect=1.5))
    assert part is not None
    assert part.field.left < 0 and part.want.box[0] == 0


def test_the_whole_picture_fits_into_its_field() -> None:
    """Nothing was drawn, so everything is shown."""
    main = sight(2.0, 2.0)
    field = main.place(whole_field(main, aspect=1.5))
    assert (field.top, field.bottom) == (0, 2400)
    assert field.left == -200 and field.right == 3400


def test_a_pixel_that_a_field_only_begins_to_cover_is_in_the_crop() -> None:
    """On all four sides, and no pixel more; sides in micrometres that aren't those of the pixels."""
    placed = Sight("a.jpg", Frame(400, 300), 0.9, 1.1, (100.0, 100.0), Rect(90, 90, 110, 110), Rect(95, 95, 105, 105))
    field = Rect(-40.3 * 0.9, -30.3 * 1.1, 40.3 * 0.9, 30.3 * 1.1)
    found = cut(placed, field)
    assert found is not None and found.want.box == (59, 69, 141, 131)
