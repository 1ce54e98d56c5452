"""Several windows of one browser at the bench: it opens six connections for all of them, and each can be used."""

import shutil
from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.browser.benched import PATIENCE, serve
from tests.tasks.small import TRIAL, small_catalogue

WINDOWS = 8


def catalogue(top: Path) -> Path:
    """A trial for each window: of one trial a browser asks but once for all of them."""
    folder = small_catalogue(top / "c")
    for number in range(2, WINDOWS + 1):
        other = folder / f"moulds/M-001/trials/T{number}"
        shutil.copytree(folder / TRIAL, other)
        for tag in (other / "tags").iterdir():
            tag.unlink()
    return folder


def test_eight_windows_at_eight_trials_are_all_answered(chromium: Browser, tmp_path: Path) -> None:
    """The last one opens, and each of them learns of a new picture."""
    folder = catalogue(tmp_path)
    address = serve(folder)
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE)
    pages = []
    for number in range(1, WINDOWS + 1):
        page = context.new_page()
        page.goto(address)
        page.click("[data-by=first-inspector]")
        page.click(f"#trial-list button:has(b:text-is('M-001 T{number}'))")
        page.wait_for_selector("#strip [aria-current=true]")
        pages.append(page)
    assert not any(page.evaluate("() => document.hidden") for page in pages), "a hidden page wouldn't wait"
    for number in range(1, WINDOWS + 1):
        new = folder / f"moulds/M-001/trials/T{number}/images/z_new.jpg"
        new.write_bytes((folder / TRIAL / "images/c1_top.jpg").read_bytes())
    for page in pages:
        expect(page.locator("#strip button").last).to_contain_text("z_new", timeout=PATIENCE)
    context.close()
