"""On a telephone tables are read downwards: no cell lies beyond the screen's edge or is squeezed to a few letters."""

import pytest

from tests.browser.conftest import Open
from tests.site.conftest import Built

WIDTH = 390
READ_DOWNWARDS = """() => [...document.querySelectorAll('.contact, .matrix, .stacked, .loglines')]
  .flatMap(table => [...table.querySelectorAll('td, tbody th')].filter(cell => cell.offsetParent)
    .map(cell => [cell.getBoundingClientRect(), cell.textContent.trim().slice(0, 40)])
    .filter(([box, text]) => box.right > innerWidth || (box.width < 60 && text.length > 8)).map(each => each[1]))"""


def kinds(site: Built) -> list[str]:
    """One page of every folder, and all that a reviewer reads."""
    pages = sorted(path for path in site.pages if path.endswith(".html"))
    first = {path.split("/")[0]: path for path in reversed(pages) if "/" in path}
    return sorted({*first.values(), *(path for path in pages if path.startswith("parts/") or "/" not in path)})


@pytest.mark.parametrize("scripts", [True, False])
def test_every_cell_is_on_the_screen(open_page: Open, built: Built, scripts: bool) -> None:
    """Every kind of page, with and without script; the name of a column stands with its cell."""
    seen = 0
    for path in kinds(built):
        page = open_page(built, path, width=WIDTH, scripts=scripts).page
        assert page.evaluate(READ_DOWNWARDS) == [], path
        heads = page.locator(".contact td .head, .matrix td .head")
        assert all(heads.nth(number).is_visible() for number in range(heads.count())), path
        seen += heads.count()
    assert seen


def test_the_links_above_a_picture_take_two_rows_and_the_picture_leaves_room_to_scroll(
    open_page: Open, built: Built
) -> None:
    """Way up, then turning and finding; the window follows the screen's width, so that a thumb finds the page."""
    page = open_page(built, "pictures/M-7/T2/c1_gate.jpg.html", width=WIDTH).page
    boxes = [box for each in page.locator(".top a").all() if (box := each.bounding_box())]
    rows = {round((box["y"] + box["height"] / 2) / 20) for box in boxes}
    assert len(boxes) >= 5 and len(rows) == 2
    window = page.locator(".window").bounding_box()
    assert window is not None and window["height"] < 1.15 * WIDTH


@pytest.mark.parametrize("path", ["parts/PR-20/index.html", "parts/PR-20/M-7-T2.html"])
def test_the_shops_name_stands_in_one_line_above_a_page(open_page: Open, built: Built, path: str) -> None:
    """It isn't squeezed, whether the other links stand beside it or below."""
    page = open_page(built, path, width=WIDTH).page
    box = page.locator(".trail a").first.bounding_box()
    assert box is not None and box["height"] < 48


def test_a_day_on_a_telephone_says_what_it_is(open_page: Open, built: Built) -> None:
    """Of a piece that is held: who has it, where, and when it is looked at next."""
    page = open_page(built, "limit-samples/LS-0007.html", width=WIDTH).page
    piece = page.locator(".stacked tr", has=page.locator(".lbl")).first
    assert {"Held by", "Next check"} <= {each.inner_text() for each in piece.locator(".lbl").all() if each.is_visible()}
