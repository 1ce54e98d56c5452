"""What is promised of any browser, tried in those that aren't Chromium: `PORTAL_BROWSERS=all pytest` on this file.

They take half a minute to start where much else runs, so that they are asked for.
"""

import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.otherbrowsers import ELEMENT, Driven, Firefox, WebKit, program_of
from tests.browser.reviewer import path_of
from tests.browser.test_pages import MAPPED
from tests.site.conftest import Built
from tests.site.sentreview import Store

PAGES = ("index.html", "parts/PR-20/index.html", "parts/PR-20/M-7-T2.html", "pictures/M-7/T2/c1_gate.jpg.html")
SOON_S = 60
"""The longest that a page may take for anything."""
ARRIVED = """for (const one of document.querySelectorAll('img')) { one.scrollIntoView({ behavior: 'instant' });
  if (!one.complete || !one.naturalWidth) { return false; } } return true;"""


class Window:
    """A browser's window, in the words of these tests."""

    def __init__(self, driven: Driven) -> None:
        self._driven = driven

    def open(self, path: Path) -> None:
        """Open a file."""
        self._driven.command("url", {"url": path.as_uri()})

    def told(self, script: str, *values: Any) -> Any:
        """What a script returns."""
        return self._driven.command("execute/sync", {"script": script, "args": list(values)})

    def click(self, selector: str) -> None:
        """Click as a mouse does."""
        self._driven.command(f"element/{self._found(selector)}/click", {})

    def type(self, selector: str, text: str) -> None:
        """Type into a field."""
        self._driven.command(f"element/{self._found(selector)}/value", {"text": text})

    def wait(self, holds: Callable[[], bool]) -> bool:
        """Whether it comes to hold."""
        until = time.monotonic() + SOON_S
        while not holds():
            if time.monotonic() > until:
                return False
            time.sleep(0.2)
        return True

    def _found(self, selector: str) -> str:
        found = self._driven.command("element", {"using": "css selector", "value": selector})
        return str(found[ELEMENT])


@pytest.fixture(scope="module", params=[Firefox, WebKit], ids=["firefox", "webkit"])
def window(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Window]:
    """A window of one of them."""
    if os.environ.get("PORTAL_BROWSERS") != "all":
        pytest.skip("tried in other browsers only with PORTAL_BROWSERS=all")
    program = program_of(request.param)
    if program is None:
        pytest.skip(f"not installed: {', '.join(request.param.NAMES)}")
    driven = request.param(program, tmp_path_factory.mktemp("profile"))
    yield Window(driven)
    driven.quit()


@pytest.mark.parametrize("path", PAGES)
def test_every_picture_arrives_and_nothing_is_wider_than_the_window(window: Window, built: Built, path: str) -> None:
    """From a folder, without a server."""
    window.open(built.out / path)
    assert window.wait(lambda: bool(window.told(ARRIVED)))
    assert window.told("return document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0


def test_the_bar_is_as_long_as_its_label_and_outlines_lie_on_the_picture(window: Window, built: Built) -> None:
    """At three sizes, within half a pixel of the screen."""
    window.open(built.out / PAGES[-1])
    for button in (None, "in", "full"):
        if button:
            window.click(f"[data-do='{button}']")
        length, label, um, off = window.told(
            """const data = JSON.parse(document.getElementById('picture-data').textContent);
            const stage = document.querySelector('.stage'), zoom = Number(stage.dataset.zoom);
            const over = document.querySelector('.over').getBoundingClientRect();
            const base = document.querySelector('.base').getBoundingClientRect();
            return [document.querySelector('.livebar .len').getBoundingClientRect().width / zoom * data.um[0],
              document.querySelector('.livebar .txt').textContent, 0.5 / zoom * data.um[0],
              Math.max(...['left', 'top', 'width', 'height'].map(side => Math.abs(over[side] - base[side])))];"""
        )
        assert length == pytest.approx(1000 * float(label.split("\u00a0")[0].split(" ")[0]), abs=um)
        assert off <= 0.5


@pytest.mark.parametrize("path", PAGES[1:3])
def test_the_outlines_of_zones_lie_on_the_pictures_of_maps(window: Window, built: Built, path: str) -> None:
    """By their middles: Firefox counts a line's width, too."""
    window.open(built.out / path)
    maps = window.told(f"return ({MAPPED})()")
    assert maps
    for (left, top, width, height), _ in maps:
        assert (left + width / 2, top + height / 2) == pytest.approx((400 / 800, 295 / 600), abs=0.005)


def test_a_limit_sample_is_laid_over_the_part(window: Window, built: Built) -> None:
    """And taken away again."""
    window.open(built.out / PAGES[2])
    for count in (1, 0):
        window.told("document.querySelector('.lay button').scrollIntoView({ behavior: 'instant', block: 'center' })")
        window.click(".lay button")
        assert window.told("return document.querySelectorAll('.laid').length") == count


def test_the_one_file_is_answered(window: Window, store: Store) -> None:
    """A letter by a click, words by keys: both stand in the text that can be mailed."""
    window.open(path_of(store))
    assert window.wait(lambda: bool(window.told("return document.documentElement.classList.contains('live')")))
    first = "[name='1.letter'][value='B']"
    window.told("document.querySelector(arguments[0]).scrollIntoView({ behavior: 'instant', block: 'center' })", first)
    window.click(first)
    window.type("[name='1.words']", "seen at once")
    window.type("[name='who.name']", "K. Ammerlund")

    def text() -> str:
        return str(window.told("return document.getElementById('as-text').value"))

    assert window.wait(lambda: "1 B comment seen at once" in text() and "K. Ammerlund" in text()), text()
