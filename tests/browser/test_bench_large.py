"""A picture of a hundred megapixels on the bench: sharp and in place at every zoom, never sent or loaded whole."""

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser

from portal.bench.index import key_of
from portal.site.tiles import LARGE
from tests.browser.benched import PATIENCE, At, serve
from tests.tasks.small import TRIAL, small_catalogue

WIDTH, HEIGHT = 10_401, 9_403
LIGHT, DARK = 210, 40
SQUARE = (4090, 3070, 4190, 3182)
"""Across four tiles; its left and upper edges are between two pixels."""


@pytest.fixture(scope="module")
def large(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[At, list[str]]]:
    """The bench with that picture open, and the addresses of pixels that the page asked for."""
    assert WIDTH * HEIGHT > 4 * LARGE
    folder = small_catalogue(tmp_path_factory.mktemp("large") / "c")
    pixels = np.full((HEIGHT, WIDTH), LIGHT, np.uint8)
    left, top, right, bottom = SQUARE
    pixels[top:bottom, left:right] = DARK
    Image.fromarray(pixels).save(folder / TRIAL / "images/vast.jpg", quality=95)
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE)
    at, asked = At(Path(folder), context.new_page()), []
    at.page.on("request", lambda request: asked.append(request.url))
    at.page.goto(serve(folder))
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    at.page.click("#strip button:has-text('vast')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('vast')")
    at.page.wait_for_selector("#classes button")
    yield at, asked
    context.close()


def seen(at: At, of: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    """The pixels of a part of the page, grey, once nothing in them changes any more."""
    before, calm = b"", 0
    for _ in range(100):
        now = at.page.locator(of).screenshot()
        calm = calm + 1 if now == before else 0
        if calm > 3:
            break
        before = now
        at.page.wait_for_timeout(120)
    with Image.open(BytesIO(before)) as image:
        return np.asarray(image.convert("L"), dtype=np.float64)


def crossing(row: np.ndarray[Any, np.dtype[np.float64]]) -> float:
    """Where a row of pixels that begins light comes to be halfway to dark, from its start."""
    middle = (LIGHT + DARK) / 2
    place = int(np.argmax(row < middle))
    return place - 0.5 + (row[place - 1] - middle) / (row[place - 1] - row[place]) if place else float("nan")


def zoom_to(at: At, x: float, y: float, zoom: float) -> None:
    """Zoom with the wheel over an image point until it is that close."""
    for _ in range(60):
        now = float(at.page.get_attribute("#window", "data-zoom") or "nan")
        if abs(now / zoom - 1) < 0.001:
            return
        at.page.mouse.move(*at.screen(x, y))
        at.page.mouse.wheel(0, float(np.clip(-np.log(zoom / now) / 0.0016, -600, 600)))
        at.page.wait_for_timeout(30)


@pytest.mark.parametrize("zoom", [0.3, 0.8, 2.5, 12.0])
def test_an_edge_is_where_its_points_are_at_every_zoom(large: tuple[At, list[str]], zoom: float) -> None:
    """Within three quarters of a pixel of the screen."""
    at, _ = large
    left, top, _, bottom = SQUARE
    for _ in range(3):
        at.page.keyboard.press("0")
    zoom_to(at, left, top, zoom)
    pixels = seen(at, "#window")
    pane = at.page.locator("#window").bounding_box()
    assert pane
    x, y = at.screen(left, top)
    _, lower = at.screen(left, min(top + 40, bottom))
    edge, corner = x - pane["x"], y - pane["y"]
    row = pixels[round((corner + lower - pane["y"]) / 2)]
    found = crossing(row[round(edge) - 12 : round(edge) + 12]) + round(edge) - 12
    assert abs(found - edge) < 0.75, (found, edge)


def test_only_tiles_in_view_are_asked_for(large: tuple[At, list[str]]) -> None:
    """The whole at full size or at half of it never, and of 110 tiles few."""
    at, asked = large
    zoom_to(at, SQUARE[0], SQUARE[1], 1.2)
    seen(at, "#window")
    paths = [re.sub(r".*(/picture/[^?]*).*", r"\1", each) for each in asked if "/picture/" in each]
    tiles = {each for each in paths if re.search(r"/picture/[^/]+/1/\d+$", each)}
    assert 1 <= len(tiles) <= 24
    key = key_of(f"{TRIAL}/images/vast.jpg")
    assert f"/picture/{key}/4" in paths
    assert not {f"/picture/{key}/1", f"/picture/{key}/2"} & set(paths)
    sizes = at.page.evaluate("() => document.querySelectorAll('#stage img').length")
    assert sizes <= 2


def test_the_loupe_has_the_full_resolution(large: tuple[At, list[str]]) -> None:
    """Over the small picture as a whole it shows the very pixels under the pointer."""
    at, _ = large
    at.page.keyboard.press("0")
    zoom_to(at, SQUARE[0], SQUARE[1], 0.3)
    at.page.keyboard.press(".")
    at.page.mouse.move(*at.screen(SQUARE[0] - 10.0, (SQUARE[1] + SQUARE[3]) / 2))
    pixels = seen(at, "#loupe")
    row = pixels[30]
    assert row[5] > LIGHT - 20 and row[-6] < DARK + 20
    assert ((row > LIGHT - 20) | (row < DARK + 20)).mean() > 0.95
    at.page.keyboard.press(".")
    assert not at.said
