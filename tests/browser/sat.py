"""Somebody at a bench that runs in a process of its own, so that it can be killed and started again."""

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, Page, expect

from portal.catalog import read
from tests.bench.forking import Forked, Started, bench, end
from tests.browser.benched import At
from tests.tasks.small import small_catalogue

PATIENCE_MS = 60_000


def sit_down(page: Page, address: str) -> None:
    """Somebody opens the top picture and takes a line for a length."""
    page.goto(address)
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    page.click("#strip button:has-text('c1_top')")
    expect(page.locator("#strip [aria-current=true]")).to_contain_text("c1_top")
    expect(page.locator("#classes button").first).to_be_visible()


@dataclass
class Sat:
    """Somebody who sits at a bench that runs in a process of its own."""

    at: At
    address: str
    running: Forked | Started

    def start_again(self) -> None:
        """The bench listens where it listened before."""
        self.running, _ = bench(self.at.folder, int(self.address.rstrip("/").rpartition(":")[2]))

    def crash(self) -> Page:
        """A line is drawn that no server hears of, and the tab's process crashes; a new tab, nothing opened in it."""
        self.at.page.route("**/api/save*", lambda route: route.abort())
        line(self.at, 70)
        expect(self.at.page.locator("#state[data-kind=waiting]")).to_be_visible()
        return self.crash_now()

    def crash_now(self) -> Page:
        """The tab's process crashes; a new tab."""
        with contextlib.suppress(Error):
            self.at.page.goto("chrome://crash", timeout=5_000)
        return self.at.page.context.new_page()


@contextlib.contextmanager
def sitting(folder: Path, chromium: Browser) -> Iterator[Sat]:
    """The same, with the top picture open."""
    running, address = bench(folder)
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE_MS)
    expect.set_options(timeout=PATIENCE_MS)
    found = Sat(At(folder, context.new_page()), address, running)
    try:
        sit_down(found.at.page, address)
        yield found
    finally:
        end(found.running)
        context.close()


@pytest.fixture
def sat(tmp_path: Path, chromium: Browser) -> Iterator[Sat]:
    """The same at a small catalogue."""
    with sitting(small_catalogue(tmp_path / "c"), chromium) as found:
        yield found


def line(at: At, y: float, *, first: bool = True) -> None:
    """A line over two clicks; a later one is taken for the same as the first."""
    if first:
        at.pick("length")
        at.page.get_by_role("button", name="line", exact=False).first.click()
    at.click(50, y)
    at.click(80, y)
    at.page.keyboard.press("Enter")


def lines(folder: Path) -> list[int]:
    """How far down each line lies that is in the folder."""
    catalogue = read(folder).catalogue
    assert catalogue
    shapes = [shape for each in catalogue.findings() for shape in each.finding.shapes]
    return sorted(round(shape.points.xy[0][1]) for shape in shapes if shape.shape == "line")
