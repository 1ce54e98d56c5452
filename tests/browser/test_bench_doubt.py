"""That a setting's scale is in doubt is said beside pictures of that setting, and beside no others."""

from pathlib import Path

from playwright.sync_api import Browser, expect

from portal.tasks.shiftcheck import write_check
from tests.browser.benched import PATIENCE
from tests.browser.test_bench_replaced import looking_at
from tests.browser.test_bench_ten import current
from tests.tasks.small import SPECK, TRIAL, add_picture, small_catalogue
from tests.tasks.test_shiftcheck import graticule, wanted

expect.set_options(timeout=PATIENCE)
OTHER = """  zoom-4-adapter-0.5:
    optics: {objective: 1x, zoom: "4", click_stop: true, adapter: 0.5x, camera: c, binning: none}
    calibrations: []
"""
ZOOM_2, ZOOM_4 = "bench-1\nzoom-2-adapter-0.5", "bench-1\nzoom-4-adapter-0.5"


def catalogue(top: Path) -> Path:
    """Two pictures by a setting whose check failed, one by another setting."""
    folder = small_catalogue(top / "c")
    scope = folder / "scopes/bench-1.yaml"
    scope.write_text(scope.read_text(encoding="utf-8").replace("settings:\n", f"settings:\n{OTHER}"), encoding="utf-8")
    tag = add_picture(folder, "zoom_4.jpg", view="top", findings=SPECK.replace("7K3F", "7K3J"), seed=3)
    tag.write_text(tag.read_text(encoding="utf-8").replace("zoom-2", "zoom-4"), encoding="utf-8")
    (folder / TRIAL / "images/untold.jpg").write_bytes((folder / TRIAL / "images/c1_top.jpg").read_bytes())
    write_check(folder, wanted(graticule(top / "moved.jpg", 26.5)))
    return folder


def test_it_stands_beside_the_pictures_that_it_is_about(chromium: Browser, tmp_path: Path) -> None:
    """From picture to picture, and as somebody says by which setting one was taken."""
    at = looking_at(chromium, catalogue(tmp_path), "c1_top.jpg")
    doubt = at.page.locator("#in-doubt")
    expect(doubt).to_contain_text("bench-1, zoom-2-adapter-0.5 is in doubt")
    at.page.click("#strip button:has-text('zoom_4.jpg')")
    current(at.page, "zoom_4.jpg")
    expect(doubt).to_be_hidden()
    at.page.click("#strip button:has-text('untold.jpg')")
    current(at.page, "untold.jpg")
    if not at.page.is_visible("#place [name=setting]"):
        at.page.click("#place-open summary")
    at.page.select_option("#place [name=setting]", ZOOM_2)
    expect(doubt).to_be_visible()
    at.page.select_option("#place [name=setting]", ZOOM_4)
    expect(doubt).to_be_hidden()
    assert at.said == []
    at.page.context.close()
