"""A picture is replaced or goes while it is open on the bench: what was drawn isn't written on another one."""

import shutil
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser

from tests.browser.benched import At
from tests.browser.test_bench_ten import catalogue, current, opened
from tests.tasks.small import TRIAL


def test_what_is_drawn_on_the_old_picture_is_not_written_on_the_new_one(chromium: Browser, tmp_path: Path) -> None:
    """It is said; opened again, the new one is seen, and can be drawn on."""
    folder = catalogue(tmp_path)
    at = opened(chromium, folder, viewport={"width": 1280, "height": 800})
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    at.page.click("#strip button:has-text('p0.jpg')")
    current(at.page, "p0.jpg")
    at.pick("length")
    Image.new("RGB", (120, 160), (200, 180, 160)).save(tmp_path / "new.jpg")
    shutil.copy(tmp_path / "new.jpg", folder / TRIAL / "images/p0.jpg")
    draw(at, (20.0, 20.0), (60.0, 40.0))
    at.page.locator("#refused").filter(has_text="replaced by another picture").wait_for()
    tag = folder / TRIAL / "tags/p0.jpg.yaml"
    assert not tag.exists()
    at.page.click("#strip button:has-text('p1.jpg')")
    current(at.page, "p1.jpg")
    at.page.click("#strip button:has-text('p0.jpg')")
    current(at.page, "p0.jpg")
    at.page.wait_for_selector("#stage img:not([hidden])")
    for _ in range(200):
        seen = at.page.evaluate("() => [...document.querySelectorAll('#stage img')].map(one => one.naturalWidth)")
        if seen == [120]:
            break
        at.page.wait_for_timeout(20)
    assert seen == [120]
    draw(at, (20.0, 20.0), (60.0, 40.0))
    at.page.wait_for_selector("#state[data-kind=saved]")
    assert "stored: 120x160" in tag.read_text(encoding="utf-8")
    at.page.context.close()


def draw(at: At, *points: tuple[float, float]) -> None:
    """A line through image points."""
    for x, y in points:
        at.click(x, y)
    at.page.keyboard.press("Enter")
