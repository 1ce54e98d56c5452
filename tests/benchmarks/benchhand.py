"""How quick the bench is under a hand, in Chromium: run it with `python tests/benchmarks/benchhand.py`; it never fails.

A picture of 24 megapixels: to its first sight, from a pointer's move to the ruler drawn anew, and five findings as a
practised inspector makes them, by keys and mouse at a person's pace.
"""

import os
import re
import shutil
import sys
import tempfile
import threading
import time
from pathlib import Path
from queue import Queue
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[2]))

from portal.bench.run import run_bench
from portal.catalog import read
from tests.tasks.small import TRIAL, small_catalogue

VERTICES = (12, 100, 300)
MOVES = 60
REACH_S, KEY_S, LOOK_S, SETTLE_S = 0.55, 0.18, 1.2, 0.25
"""A person's pace: to move the pointer to a place and click, to press a known key, to look at a new picture, to glance
at the verdict. Assumed, no source; the same before and after a change of the bench."""
WATCH = """() => { window.took = []; let moved = 0;
  document.querySelector('#window').addEventListener('pointermove', () => { moved = performance.now(); }, true);
  new MutationObserver(() => { const begun = moved; if (!begun) return; moved = 0;
    requestAnimationFrame(() => setTimeout(() => window.took.push(performance.now() - begun), 0)); })
    .observe(document.querySelector('#answer'), { attributes: true, attributeFilter: ['data-number'] }); }"""


def main() -> None:
    """One bench, one browser, on this machine."""
    with tempfile.TemporaryDirectory() as top, sync_playwright() as play:
        folder = small_catalogue(Path(top) / "c")
        rng = np.random.default_rng(1)
        for number in range(6):
            grey = rng.integers(60, 200, (500, 750, 3), dtype=np.uint8)
            image = Image.fromarray(grey).resize((6000, 4000), Image.Resampling.BICUBIC)
            image.save(folder / TRIAL / f"images/big_{number}.jpg", quality=92)
        scope = folder / "scopes/bench-1.yaml"
        scope.write_text(scope.read_text(encoding="utf-8").replace("320x240", "6000x4000"), encoding="utf-8")
        said: Queue[str] = Queue()
        threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
        found = os.environ.get("PORTAL_CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
        browser = play.chromium.launch(executable_path=found, args=["--no-sandbox"])
        page = _opened(browser, said.get(timeout=60))
        if "five" not in sys.argv:
            _first_sight(page)
            _ruler(page)
        _five(page, folder)
        browser.close()


def _opened(browser: Browser, address: str) -> Page:
    page = browser.new_context(viewport={"width": 1600, "height": 1000}).new_page()
    page.set_default_timeout(20000)
    page.goto(address)
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    page.wait_for_selector("#strip [aria-current=true]")
    page.wait_for_timeout(1500)
    return page


def _first_sight(page: Page) -> None:
    took = []
    for number in range(1, 6):
        begun = time.perf_counter()
        page.click(f"#strip button:has-text('big_{number}')")
        page.wait_for_selector(f"#strip [aria-current=true]:has-text('big_{number}')")
        page.wait_for_selector("#stage img")
        page.evaluate("async () => { await document.querySelector('#stage img').decode(); }")
        took.append(1000 * (time.perf_counter() - begun))
    print(f"open 24 megapixels to first sight: median {np.median(took):.0f} ms, most {max(took):.0f} ms of {len(took)}")


def _at(page: Page, x: float, y: float) -> tuple[float, float]:
    data: Any = page.evaluate(
        """() => { const pane = document.querySelector('#window'), box = pane.getBoundingClientRect();
             return { ...pane.dataset, left: box.left, top: box.top }; }"""
    )
    zoom = float(data["zoom"])
    return float(data["left"]) + (x - float(data["x"])) * zoom, float(data["top"]) + (y - float(data["y"])) * zoom


def _choose(page: Page, measured: str, shape: str) -> None:
    page.locator("#characteristics button, #others button").filter(has_text=measured).first.evaluate(
        "each => each.click()"
    )
    page.locator("#shapes button").filter(has_text=shape).first.click()


def _ruler(page: Page) -> None:
    page.evaluate(WATCH)
    for many in VERTICES:
        _choose(page, "area", "outline")
        angles = np.linspace(0, 2 * np.pi, many, endpoint=False)
        waves = 1 + 0.012 * (-1.0) ** np.arange(many)  # else points on a smooth line are left out
        rings = zip(3000 + 1500 * np.cos(angles) * waves, 2000 + 1200 * np.sin(angles) * waves, strict=True)
        left, top = _at(page, 0, 0)
        zoom = float(page.get_attribute("#window", "data-zoom") or "nan")
        places = [(left + x * zoom, top + y * zoom) for x, y in rings]
        page.mouse.move(*places[0])
        page.mouse.down()
        for place in places:
            page.mouse.move(*place)
        page.mouse.up()
        page.wait_for_selector("#state[data-kind=saved]")
        page.keyboard.press("PageDown")
        dots = page.locator("#ink .mine .vertex:not(.at)")
        drawn = dots.evaluate_all("all => all.map(each => each.getAttribute('d')).join('')")
        page.evaluate("() => { window.took.length = 0; }")
        page.mouse.move(*places[0])
        page.mouse.down()
        for move in range(MOVES):
            page.mouse.move(places[0][0] + 3 + move % 20, places[0][1] - 2 - move % 15)
            page.wait_for_timeout(90)
        page.mouse.up()
        took = page.evaluate("window.took")
        print(
            f"pointer move to ruler drawn anew, {drawn.count('M')} vertices: median {np.median(took):.0f} ms, "
            f"p95 {np.percentile(took, 95):.0f} ms of {len(took)}"
        )
        page.wait_for_selector("#state[data-kind=saved]")


def _five(page: Page, folder: Path) -> None:
    """Five findings on three pictures: two specks, a scratch, a vestige, a speck as on the picture before."""
    before = _count(folder)
    steps: dict[str, float] = {}
    begun = time.perf_counter()

    def pace(what: str, seconds: float) -> None:
        time.sleep(seconds)
        steps[what] = steps.get(what, 0.0) + seconds

    def key(name: str) -> None:
        pace("keys", KEY_S)
        page.keyboard.press(name)

    def click(x: float, y: float) -> None:
        page.mouse.move(*_at(page, x, y), steps=4)
        pace("pointing", REACH_S)
        page.mouse.click(*_at(page, x, y))

    def kind(name: str, shape: str) -> None:
        choices = page.locator("#characteristics button, #others button")
        button = choices.filter(has_text=re.compile(rf"^{name} ")).first
        key(button.locator("kbd").text_content() or "")
        for _ in range(6):
            if page.locator("#shapes [aria-pressed=true]").filter(has_text=re.compile(f"^{shape}")).count():
                return
            key("x")

    def picture(number: int) -> None:
        key("n")
        page.wait_for_selector(f"#strip [aria-current=true]:has-text('big_{number}')")
        pace("looking", LOOK_S)

    page.click("#strip button:has-text('big_0')")
    page.wait_for_selector("#strip [aria-current=true]:has-text('big_0')")
    begun = time.perf_counter()
    pace("looking", LOOK_S)
    key("1")
    key("Shift+B")
    kind("mean diameter", "ellipse")
    for x in (1200.0, 3100.0):
        for dx, dy in ((0, 0), (300, 0), (150, 130)):
            click(x + dx, 1500.0 + dy)
        pace("glancing", SETTLE_S)
    picture(1)
    kind("length", "line")
    click(1000, 2200)
    click(2600, 2500)
    key("Enter")
    pace("glancing", SETTLE_S)
    picture(2)
    kind("height", "base and point")
    for x, y in ((900, 2600), (1700, 2600), (2700, 2610)):
        click(x, y)
    key("Enter")
    click(1800, 2100)
    pace("glancing", SETTLE_S)
    picture(3)
    kind("mean diameter", "ellipse")
    for dx, dy in ((0, 0), (300, 0), (150, 130)):
        click(2000 + dx, 1800.0 + dy)
    page.wait_for_selector("#state[data-kind=saved]")
    whole = time.perf_counter() - begun
    own = whole - sum(steps.values())
    parts = ", ".join(f"{name} {seconds:.1f} s" for name, seconds in steps.items())
    print(f"{_count(folder) - before} findings are in the files")
    print(f"five findings, start to in the files: {whole:.1f} s, of that {own:.1f} s the bench; the hand: {parts}")


def _count(folder: Path) -> int:
    catalogue = read(folder).catalogue
    return sum(1 for _ in catalogue.findings()) if catalogue else 0


if __name__ == "__main__":
    main()
