"""Strokes read from the paths of a shown picture."""

import pytest

from portal.site.pdfpicture import Stroke, strokes


@pytest.mark.parametrize(
    ("path", "wanted"),
    [
        ("M1 2L3 4L5 6", [(((1, 2), (3, 4), (5, 6)), False)]),
        ("M1 2L3 4L5 6Z", [(((1, 2), (3, 4), (5, 6)), True)]),
        ("M1 2L3 4M-5 6.25L7 8", [(((1, 2), (3, 4)), False), (((-5, 6.25), (7, 8)), False)]),
        ("M1 2H9M5 0V7", [(((1, 2), (9, 2)), False), (((5, 0), (5, 7)), False)]),
        ("M0 0L1 0L1 1ZM4 4L5 5", [(((0, 0), (1, 0), (1, 1)), True), (((4, 4), (5, 5)), False)]),
    ],
)
def test_a_path_of_ours_is_read_into_its_strokes(path: str, wanted: list[Stroke]) -> None:
    """Moves, lines, level and upright lines, closings."""
    assert list(strokes(path)) == wanted
