"""A picture of a hundred megapixels in the browser: sharp and in place wherever it is looked at, never loaded whole."""

import hashlib
import json
import re
from collections.abc import Callable, Iterator
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page

from portal.site.tiles import LARGE
from tests.browser.conftest import Open, Opened
from tests.browser.test_pages import um_of
from tests.site.conftest import Built
from tests.site.specimen import build_site, catalogue
from tests.treemaker import plant

WIDTH, HEIGHT, UM = 10_401, 9_403, 0.9
PAGE = "pictures/M-7/T2/vast.jpg.html"
LIGHT, DARK = 210, 40
SQUARES = {"across four tiles": (4090, 3070, 4190, 3182), "in the last tile": (10_100, 9_220, 10_164, 9_292)}
"""Each with an outline along its edges."""
TAG = """format: 1
picture: {{sha256: {sha256}, stored: {width}x{height}}}
cavity: "1"
shot: 14
piece: T2-1-14-2
view: top
scope: bench-1
reference: {{length: 4.5 mm, u: 0.01 mm, points: "1000,5000 6000,5000"}}
findings:
"""
FINDING = """  - id: {name}
    defect: speck
    zone: A
    seen: yes
    shapes:
      - {{characteristic: area, shape: outline, points: "{left},{top} {right},{top} {right},{bottom} {left},{bottom}",
         edge: sharp, drawn: by hand}}
    by: ann
    at: 2026-03-04T16:05
"""


@pytest.fixture(scope="module")
def vast(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """A site with a light picture of 98 megapixels, whose half is large too, and dark squares in it."""
    assert WIDTH * HEIGHT > 4 * LARGE
    pixels = np.full((HEIGHT, WIDTH), LIGHT, np.uint8)
    for left, top, right, bottom in SQUARES.values():
        pixels[top:bottom, left:right] = DARK
    buffer = BytesIO()
    Image.fromarray(pixels).save(buffer, "JPEG", quality=95)
    folder = catalogue(tmp_path_factory.mktemp("vast"))
    tag = TAG.format(sha256=hashlib.sha256(buffer.getvalue()).hexdigest(), width=WIDTH, height=HEIGHT)
    for name, (left, top, right, bottom) in zip(("5V01", "5V02"), SQUARES.values(), strict=True):
        tag += FINDING.format(name=name, left=left, top=top, right=right, bottom=bottom)
    trial = folder / "moulds/M-7/trials/T2"
    plant(trial, {"images/vast.jpg": buffer.getvalue(), "tags/vast.jpg.yaml": tag})
    out = tmp_path_factory.mktemp("vast-site")
    return Built(out, build_site(folder, out), folder)


def sizes_on(site: Built) -> list[list[Any]]:
    """The sizes that the page's script is given."""
    found = re.search(r'<script type="application/json" id="picture-data">(.*?)</script>', site.text(PAGE))
    assert found
    sizes: list[list[Any]] = json.loads(found[1])["sizes"]
    return sizes


def test_the_page_names_tiles_of_the_sizes_that_are_too_large(vast: Built) -> None:
    """A quarter as one file, a half and all in tiles, each of which is there; the whole file stays behind a link."""
    sizes = sizes_on(vast)
    assert [(each[3], len(each[5]) if each[0] is None else 1) for each in sizes] == [(4, 1), (2, 30), (1, 110)]
    folder = (vast.out / PAGE).parent
    assert all((folder / each).is_file() for size in sizes[1:] for each in size[5])
    text = vast.text(PAGE).replace("\xa0", " ")
    link = re.search(r'href="([^"]+)">Open at full resolution, 10401 × 9403 pixels', text)
    assert link
    with Image.open(folder / link[1]) as whole:
        assert whole.size == (WIDTH, HEIGHT)


class Watched:
    """The page, and which of the site's pictures it asked for."""

    def __init__(self, opened: Opened) -> None:
        self.page, self.said = opened.page, opened.said

    def corner(self, x: float, y: float) -> tuple[float, float]:
        """Where the browser draws a point of the outlines' frame, in pixels of the window's screenshot."""
        found: list[float] = self.page.evaluate(
            """([x, y]) => { const over = document.querySelector('.over'), box = over.closest('.window');
                 const at = new DOMPoint(x, y).matrixTransform(over.getScreenCTM());
                 const corner = box.getBoundingClientRect();
                 return [at.x - corner.left, at.y - corner.top]; }""",
            [x, y],
        )
        return found[0], found[1]

    def drawn(self) -> Iterator[tuple[float, float]]:
        """Every corner of every drawn outline, in pixels of the picture as the page's paths have them."""
        paths = self.page.eval_on_selector_all(".over path.line", "all => all.map(one => one.getAttribute('d'))")
        for path in paths:
            numbers = [float(each) for each in re.findall(r"-?\d+(?:\.\d+)?", path)]
            yield from zip(numbers[::2], numbers[1::2], strict=True)

    def seen(self) -> np.ndarray[Any, np.dtype[np.float64]]:
        """The window's pixels, grey, once nothing in them changes any more."""
        window, before = self.page.locator(".window"), b""
        for _ in range(60):
            now = window.screenshot()
            if now == before:
                break
            before = now
            self.page.wait_for_timeout(120)
        with Image.open(BytesIO(before)) as image:
            return np.asarray(image.convert("L"), dtype=np.float64)

    def outlines(self, *, filled: bool) -> None:
        """Show what was drawn as dark areas instead of the picture, or nothing of it."""
        self.page.evaluate(
            """([filled, light, dark]) => {
                 const style = (names, key, value) => document.querySelectorAll(names).forEach(
                   one => one.style.setProperty(key, value));
                 style('.tags, .casing', 'display', 'none');
                 style('.livebar', 'opacity', '0');
                 style('.over .line', 'fill', dark);
                 style('.over .line', 'stroke', 'none');
                 style('.over', 'opacity', filled ? '1' : '0');
                 style('.base, .layer', 'visibility', filled ? 'hidden' : '');
                 style('.window', 'background', light); }""",
            [filled, f"rgb({LIGHT},{LIGHT},{LIGHT})", f"rgb({DARK},{DARK},{DARK})"],
        )

    def sides(self, x: float, y: float) -> tuple[float, ...]:
        """Left, right, top and bottom of what is dark about a point of the picture, in pixels of the screenshot."""
        pixels, (column, row) = self.seen(), self.corner(x, y)
        return *edges(pixels[int(row)], column), *edges(pixels[:, int(column)], row)

    def zoom_to(self, zoom: float, x: float, y: float) -> None:
        """Turn the wheel over a point of the picture until the zoom is reached, from where that point is in view."""
        if not 0 < self.corner(x, y)[0] < 1190 or not 0 < self.corner(x, y)[1] < 680:
            self.page.click("[data-do=fit]")
        box = self.page.locator(".window").bounding_box()
        assert box
        for _ in range(40):
            now = self.zoom
            if abs(now / zoom - 1) < 1e-3:
                return
            at = self.corner(x, y)
            self.page.mouse.move(box["x"] + at[0], box["y"] + at[1])
            self.page.mouse.wheel(0, float(max(min(-np.log(zoom / now) / 0.0016, 900), -900)))
            self.until(partial(self._moved, now))
        raise AssertionError(f"zoom {zoom} was never reached")

    @property
    def zoom(self) -> float:
        """Screen pixels per pixel of the picture."""
        return float(self.page.locator(".stage").get_attribute("data-zoom") or 0)

    def _moved(self, before: float) -> bool:
        return self.zoom != before

    def until(self, so: Callable[[], bool]) -> None:
        """Wait as long as it isn't so, for two seconds at most."""
        for _ in range(100):
            if so():
                return
            self.page.wait_for_timeout(20)

    def asked_for(self) -> set[str]:
        """The tiles that the page holds."""
        found = self.page.eval_on_selector_all("svg.layer image", "all => all.map(one => one.getAttribute('href'))")
        return set(found)


def edges(line: np.ndarray[Any, np.dtype[np.float64]], middle: float) -> tuple[float, float]:
    """Where a light line turns dark and light again, to a fraction of a pixel, by how much of each pixel is dark."""
    dark = np.clip((LIGHT - line) / (LIGHT - DARK), 0, 1)
    at = int(middle)
    return at - dark[:at].sum(), at + dark[at:].sum()


@pytest.fixture
def watched(open_page: Open, vast: Built) -> Watched:
    """The picture's page without outlines drawn over it."""
    found = Watched(open_page(vast, PAGE))
    found.outlines(filled=False)
    return found


@pytest.mark.parametrize("square", SQUARES.values(), ids=SQUARES)
def test_an_outline_lies_over_the_pixels_it_was_drawn_at(watched: Watched, square: tuple[int, int, int, int]) -> None:
    """At every zoom each side of a dark square is within half a screen pixel of the outline, filled as dark instead."""
    left, top, right, bottom = square
    assert {(left, top), (right, bottom)} <= set(watched.drawn())
    middle = ((left + right) / 2, (top + bottom) / 2)
    for zoom in (0.2, 0.37, 0.5, 0.83, 1, 2.6, 5.7):
        watched.zoom_to(zoom, *middle)
        of_picture = watched.sides(*middle)
        watched.outlines(filled=True)
        of_outline = watched.sides(*middle)
        watched.outlines(filled=False)
        in_view = min(watched.corner(right, bottom)[0], 1190)
        assert of_outline[:2] == pytest.approx((watched.corner(left, top)[0], in_view), abs=0.5)
        assert of_picture == pytest.approx(of_outline, abs=0.5), zoom


def test_the_bar_is_as_long_as_its_label_at_every_zoom(watched: Watched) -> None:
    """Its pixels over those of the drawn frame, times the scale, within half a pixel."""
    for zoom in (0, 0.11, 0.2, 0.5, 1, 3.3, 8):
        if zoom:
            watched.zoom_to(zoom, 4140, 3120)
        bar = watched.page.evaluate(
            """() => { const [len, txt] = ['len', 'txt'].map(one => document.querySelector('.livebar .' + one));
                 return [len.getBoundingClientRect().width, txt.textContent]; }"""
        )
        per_pixel = (watched.corner(5000, 0)[0] - watched.corner(4000, 0)[0]) / 1000
        assert bar[0] == pytest.approx(um_of(bar[1]) / UM * per_pixel, abs=0.5)


def test_the_bar_is_drawn_from_the_middle_of_one_tick_to_that_of_the_other(watched: Watched) -> None:
    """As in a card, in print and in the PDF; measured in what is drawn, within a pixel."""
    watched.page.evaluate("document.querySelector('.livebar').style.opacity = '1'")
    for zoom in (0.2, 0.5, 3.3):
        watched.zoom_to(zoom, 4140, 3120)
        with Image.open(BytesIO(watched.page.locator(".livebar").screenshot())) as image:
            row = np.asarray(image.convert("L"))[-14]
        dark = np.flatnonzero(row < 120)
        assert set(np.diff(dark)[:-1]) <= {1, dark[-1] - dark[0] - 2} and 4 <= len(dark) <= 6
        label = watched.page.locator(".livebar .txt").inner_text()
        middles = (dark[-1] + dark[-2]) / 2 - (dark[0] + dark[1]) / 2
        assert middles == pytest.approx(um_of(label) / UM * watched.zoom, abs=1)


def test_at_full_resolution_the_edge_is_sharp_and_only_tiles_in_view_are_there(watched: Watched, vast: Built) -> None:
    """From one pixel to the next it is dark; a window of 1190 x 684 pixels needs a few tiles of the 110."""
    watched.zoom_to(1, 4140, 3120)
    row = watched.seen()[int(watched.corner(4140, 3120)[1])]
    left = round(watched.corner(4090, 3070)[0])
    assert row[left - 3] > LIGHT - 12 and row[left + 2] < DARK + 12
    full = set(sizes_on(vast)[2][5])
    assert 4 <= len(watched.asked_for() & full) <= 12
    assert watched.said == []


def test_what_was_left_behind_is_let_go_of(watched: Watched) -> None:
    """However far one moves, no more than sixty tiles stay in the page, and what is in view is shown."""
    watched.zoom_to(1, 4140, 3120)
    watched.page.locator(".window").focus()
    for key in ("ArrowLeft", "ArrowUp", "ArrowRight", "ArrowDown"):
        for _ in range(60):
            watched.page.keyboard.press(key)
        assert len(watched.asked_for()) <= 60 + 24
    watched.zoom_to(1, 10_132, 9_256)
    row = watched.seen()[int(watched.corner(10_132, 9_256)[1])]
    left = round(watched.corner(10_100, 9_220)[0])
    assert row[left - 3] > LIGHT - 12 and row[left + 2] < DARK + 12


def test_first_nothing_larger_than_a_quarter_is_loaded(open_page: Open, vast: Built) -> None:
    """The page as it opens has no tile, and its own picture is the quarter."""
    page: Page = open_page(vast, PAGE).page
    assert page.locator("svg.layer image").count() == 1
    folder = (vast.out / PAGE).parent
    with Image.open(folder / (page.locator("svg.base img").get_attribute("src") or "")) as image:
        assert image.size == (2601, 2351)


def test_without_scripts_the_whole_file_is_a_link_away(open_page: Open, vast: Built) -> None:
    """The picture is seen, with its bar, and the link leads to a file that is there."""
    page = open_page(vast, PAGE, scripts=False).page
    assert page.locator("svg.base").is_visible() and page.locator(".still .scale text").is_visible()
    link = page.get_by_text("Open at full resolution").get_attribute("href")
    assert ((vast.out / PAGE).parent / (link or "-")).is_file()


def test_on_paper_the_picture_is_whole(watched: Watched) -> None:
    """Wherever it was moved to, no tile is printed."""
    watched.zoom_to(1, 4140, 3120)
    watched.page.emulate_media(media="print")
    assert not watched.page.locator("svg.layer").first.is_visible()
    assert watched.page.locator(".still").is_visible()


def test_a_second_build_makes_the_same_files(vast: Built, tmp_path: Path) -> None:
    """Tiles are named by what they hold, and hold the same each time."""
    again = build_site(vast.folder, tmp_path)
    assert again[PAGE].body == vast.pages[PAGE].body
