"""The bench opened in Chromium: where image points are on the screen, and what the folder says by now."""

import json
import re
import threading
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from queue import Queue
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from portal.bench.run import run_bench
from portal.catalog import read
from portal.model.tag import Finding, Shape
from tests.tasks.small import small_catalogue

PATIENCE = 60_000


@dataclass
class At:
    """The bench opened in the browser, and what its console said."""

    folder: Path
    page: Page
    said: list[str] = field(default_factory=list)

    def screen(self, x: float, y: float) -> tuple[float, float]:
        """Where an image point is on the screen, by what the page says of its view."""
        found: dict[str, Any] = self.page.evaluate(
            """() => { const pane = document.querySelector('#window'), box = pane.getBoundingClientRect();
                 return { ...pane.dataset, left: box.left, top: box.top }; }"""
        )
        zoom, ratio = float(found["zoom"]), float(found["ratio"])
        left, top = float(found["left"]), float(found["top"])
        return left + (x - float(found["x"])) * zoom, top + (y - float(found["y"])) * zoom * ratio

    @property
    def half_pixel(self) -> float:
        """Half a screen pixel, in image pixels."""
        return 0.5 / float(self.page.get_attribute("#window", "data-zoom") or "nan")

    def click(self, x: float, y: float) -> None:
        """Click on an image point."""
        self.page.mouse.click(*self.screen(x, y))

    def pick(self, name: str) -> None:
        """Choose what is measured by the key that stands beside its name."""
        buttons = self.page.locator("#characteristics button, #others button")
        button = buttons.filter(has_text=re.compile(rf"^{name} ")).first
        self.page.keyboard.press(button.locator("kbd").text_content() or "")

    def saved(self, count: int, *, unlike: Shape | None = None) -> list[Finding]:
        """The findings of the folder once there are so many, the last with another shape than that one."""
        for _ in range(200):
            reading = read(self.folder)
            if reading.catalogue and not reading.problems:
                found = [each.finding for each in reading.catalogue.findings()]
                found.sort(key=lambda each: each.at.order)
                if len(found) == count and found[-1].shapes != (unlike,):
                    return found
            time.sleep(0.05)
        raise AssertionError(f"{len(found)} findings, {reading.problems}, console: {self.said}")


def serve(folder: Path) -> str:
    """Where a bench over that catalogue listens."""
    said: Queue[str] = Queue()
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    return said.get(timeout=60)


def asked(address: str, path: str) -> Any:
    """What the server answers, asked beside the page."""
    with urllib.request.urlopen(address.split("?")[0] + path) as answer:
        return json.load(answer)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A bench that listens."""
    folder = small_catalogue(tmp_path_factory.mktemp("bench") / "c")
    return folder, serve(folder)


@pytest.fixture
def at(served: tuple[Path, str], chromium: Browser) -> Iterator[At]:
    """The bench with its top picture open and somebody at it."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE)
    opened = At(served[0], context.new_page())
    opened.page.on("console", lambda message: opened.said.append(message.text))
    opened.page.on("pageerror", lambda error: opened.said.append(str(error)))
    opened.page.goto(served[1])
    opened.page.click("[data-by=first-inspector]")
    opened.page.click("#trial-list button")
    opened.page.click("#strip button:has-text('c1_top')")
    opened.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_top')")
    opened.page.wait_for_selector("#classes button")
    yield opened
    assert opened.said == []
    context.close()


def count(at: At) -> int:
    """How many findings the folder has."""
    catalogue = read(at.folder).catalogue
    assert catalogue
    return len(list(catalogue.findings()))


def near(points: tuple[tuple[float, float], ...], wanted: list[tuple[float, float]], within: float) -> None:
    """Each point is where it was drawn."""
    assert len(points) == len(wanted)
    for (x, y), (a, b) in zip(points, wanted, strict=True):
        assert abs(x - a) <= within + 0.005 and abs(y - b) <= within + 0.005, (points, wanted, within)
