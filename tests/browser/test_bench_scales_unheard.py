"""A check of the scale that was written though the page never heard of it: it is sent again, and stands there once."""

import threading
from pathlib import Path
from queue import Queue

from playwright.sync_api import Browser, Route, expect

from portal.bench.run import run_bench
from portal.catalog import read
from tests.browser.test_bench_scales import lay, opened
from tests.tasks.small import TRIAL, small_catalogue


def test_what_was_written_without_an_answer_is_told_as_written_once_it_is_sent_again(
    tmp_path: Path, chromium: Browser
) -> None:
    """Its picture went from the trial meanwhile, and another one came: what is shown stays what was sent."""
    folder = small_catalogue(tmp_path / "c")
    said: Queue[str] = Queue()
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    lay(folder, "IMG_1.jpg", 25.0)
    page, _ = opened((folder, said.get(timeout=60)), chromium, 1280, "light")
    expect(page.locator("#scale [name=picture]")).to_contain_text("IMG_1.jpg")
    page.fill("#scale [name=pitch]", "25 um")
    page.keyboard.press("Enter")
    expect(page.locator("#scale-write-check")).to_be_focused()

    def unheard(route: Route) -> None:
        route.fetch()
        route.abort()

    page.route("**/api/check-written**", unheard, times=1)
    page.keyboard.press("Enter")
    expect(page.locator("#scale-refused")).to_be_visible()
    assert not (folder / TRIAL / "images/IMG_1.jpg").exists()
    lay(folder, "IMG_2.jpg", 25.0)
    expect(page.locator("#scale [name=picture]")).to_contain_text("IMG_2.jpg")
    page.click("#scale-write-check")
    expect(page.locator("#state")).to_contain_text("written")
    catalogue = read(folder).catalogue
    assert catalogue is not None and len(catalogue.scopes["bench-1"].settings["zoom-2-adapter-0.5"].checks) == 1
    assert (folder / TRIAL / "images/IMG_2.jpg").exists()
    page.context.close()
