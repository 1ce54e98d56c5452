"""In which sizes and tiles a picture's page shows it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.model.scalars import Frame
from portal.pictures.derive import Whole
from portal.site.tiles import LARGE, TILE, Size, sizes


def test_up_to_the_limit_there_are_whole_files_only() -> None:
    """6000 x 4000 is 24 megapixels: a quarter, a half and all; a narrow one as far as it is worth it."""
    assert LARGE == 24_000_000
    assert sizes(Frame(6000, 4000)) == (Size(4), Size(2), Size(1))
    assert sizes(Frame(1600, 1200)) == (Size(2), Size(1))
    assert sizes(Frame(1300, 9000)) == (Size(1),)
    assert Size(2).wants() == (Whole(2),)


def test_one_pixel_more_comes_in_tiles() -> None:
    """6001 x 4000: six across, four down at full size, the last ones what is left."""
    found = sizes(Frame(6001, 4000))
    assert [(each.divide, len(each.tiles)) for each in found] == [(4, 0), (2, 0), (1, 24)]
    assert found[-1].tiles[5].box == (5120, 0, 6001, 1024)
    assert found[-1].tiles[6].box == (0, 1024, 1024, 2048)
    assert found[-1].wants() == found[-1].tiles


def test_a_half_that_is_still_too_large_comes_in_tiles_too() -> None:
    """16000 x 12000: an eighth to fill the page, a quarter of 12 megapixels, then 8 x 6 and 16 x 12 tiles."""
    found = sizes(Frame(16000, 12000))
    assert [(each.divide, len(each.tiles)) for each in found] == [(8, 0), (4, 0), (2, 48), (1, 192)]
    assert {each.divide for each in found[2].tiles} == {2}


def test_a_narrow_picture_of_many_pixels_still_has_a_whole_file_to_begin_with() -> None:
    """What a page without scripts shows."""
    assert any(not each.tiles for each in sizes(Frame(600, 60_000)))


@given(st.integers(400, 20_000), st.integers(400, 20_000))
def test_tiles_cover_every_pixel_once_and_whole_files_are_never_too_large(width: int, height: int) -> None:
    """In rows from the top, each beginning where the one before ends, at whole squares of what is divided."""
    for size in sizes(Frame(width, height)):
        if not size.tiles:
            assert width * height <= LARGE * size.divide**2
            continue
        assert width * height > LARGE * size.divide**2
        rows: dict[tuple[int, int], list[tuple[int, int]]] = {}
        for tile in size.tiles:
            left, top, right, bottom = tile.box
            rows.setdefault((top, bottom), []).append((left, right))
            assert left % (TILE * size.divide) == top % (TILE * size.divide) == 0
        for spans, whole in ((list(rows), height), *((row, width) for row in rows.values())):
            assert spans[0][0] == 0 and spans[-1][1] == whole
            assert all(one[1] == other[0] for one, other in zip(spans, spans[1:], strict=False))


@pytest.mark.parametrize(("width", "divided"), [(1399, [1]), (1400, [2, 1]), (2799, [2, 1]), (2800, [4, 2, 1])])
def test_a_smaller_size_has_to_fill_a_telephone(width: int, divided: list[int]) -> None:
    """700 pixels are enough, 699 are not."""
    assert [each.divide for each in sizes(Frame(width, 1000))] == divided
