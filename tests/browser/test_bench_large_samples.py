"""A limit sample of more than 24 megapixels beside the drawing: near, its tiles lie where the whole of it lies."""

import hashlib
import re
import shutil
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect

from portal import resources
from tests.browser.benched import PATIENCE, At, serve

PICTURE = "M-118_T2_c2_s14_gate-profile"
WIDTH, HEIGHT = 6144, 4608
SETTING = f"""  zoom-24:
    optics: {{objective: 3x, zoom: "8", click_stop: true, adapter: 0.5x, camera: Orrisview CX-5, binning: 1x1}}
    calibrations:
      - id: CAL-2026-24
        frame: {WIDTH}x{HEIGHT}
        x: 0.2868 um
        u_x: 0.0003 um
        y: 0.2864 um
        u_y: 0.0003 um
        artefact: stage micrometer SM-2, 10 um divisions
        certificate: {{number: HK-25-0417, u: 0.2 um}}
        date: 2026-02-02
        valid_until: 2027-02-01
        by: k-ammer
  zoom-4-adapter-0.5:
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's catalogue; its last good gate vestige was taken with three times the pixels across."""
    made = tmp_path_factory.mktemp("large") / "c"
    shutil.copytree(resources.sample(), made, ignore=shutil.ignore_patterns("render"))
    picture, record, scope = (
        made / each
        for each in (
            "limit-samples/LS-0007/gate-profile.jpg",
            "limit-samples/LS-0007/sample.yaml",
            "scopes/stereo-1.yaml",
        )
    )
    Image.new("RGB", (WIDTH, HEIGHT), (90, 90, 90)).save(picture, quality=50)
    text = record.read_text(encoding="utf-8").replace("2048x1536", f"{WIDTH}x{HEIGHT}", 1)
    text = text.replace("setting: zoom-8-adapter-0.5", "setting: zoom-24", 1)
    sha256 = hashlib.sha256(picture.read_bytes()).hexdigest()
    record.write_text(re.sub(r"sha256: \w{64}", f"sha256: {sha256}", text, count=1), encoding="utf-8")
    own = scope.read_text(encoding="utf-8").replace("  zoom-4-adapter-0.5:\n", SETTING, 1)
    scope.write_text(own, encoding="utf-8")
    return made


def test_a_large_sample_is_drawn_by_its_tiles_where_it_lies(folder: Path, chromium: Browser) -> None:
    """Far, one file; near, tiles in view, each answered, in the very place of the whole; far again, none of them."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(PATIENCE)
    at, asked = At(folder, context.new_page()), dict[str, int]()
    at.page.on("response", lambda response: asked.update({response.url: response.status}))
    at.page.goto(serve(folder))
    at.page.click("[data-by] >> nth=0")
    at.page.click("#trial-list button:has-text('M-118 T2')")
    at.page.click(f"#strip button:has-text('{PICTURE}')")
    at.page.wait_for_selector(f"#strip [aria-current=true]:has-text('{PICTURE}')")
    at.page.locator("#findings button").first.click()
    plate = at.page.locator("#beside .plate").first
    expect(plate.locator("img")).to_have_attribute("src", re.compile(r"^/sample/\w+/\d\b"))
    expect(plate.locator("image")).to_have_count(0)
    at.page.mouse.move(*at.screen(1000, 800))
    for _ in range(6):
        at.page.mouse.wheel(0, -400)
        at.page.wait_for_timeout(100)
    tiles = plate.locator("image")
    expect(tiles.first).to_be_attached(timeout=PATIENCE)
    at.page.wait_for_timeout(500)
    hrefs = tiles.evaluate_all("all => all.map(each => each.getAttribute('href'))")
    assert all(re.fullmatch(r"/sample/\w+/1/\d+(\?\w+)?", each) for each in hrefs) and 0 < len(hrefs) < 15, hrefs
    answered = {url.partition("/sample")[2]: status for url, status in asked.items() if "/sample/" in url}
    assert [answered[each.removeprefix("/sample")] for each in hrefs] == [200] * len(hrefs)
    whole, layer = plate.locator("img").bounding_box(), plate.locator(".layer").bounding_box()
    assert whole and layer and whole == pytest.approx(layer, rel=0.001, abs=0.5)
    at.page.keyboard.press("0")
    expect(tiles).to_have_count(0)
    context.close()
