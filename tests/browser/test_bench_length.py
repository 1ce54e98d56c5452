"""A stranger's picture gets its scale on the bench: a known length is drawn and said, by the keys alone."""

import time
from typing import Any

import numpy as np
import pytest
from axe_core_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, expect

from portal.catalog import read
from portal.model.tag import Tag
from tests.browser.benched import At, near

PICTURE = "c1_top.jpg"


def tag(at: At, name: str, picture: str = PICTURE) -> Tag:
    """The picture's tag once it has such a key."""
    for _ in range(200):
        catalogue = read(at.folder).catalogue
        assert catalogue is not None
        pictures = catalogue.moulds["M-001"].trials["T1"].pictures
        found = next(each.tag for each in pictures if each.name == picture)
        if found is not None and getattr(found, name) is not None:
            return found
        time.sleep(0.05)
    raise AssertionError(f"no {name}: {at.said}")


def test_a_known_length_is_drawn_and_said_by_keys_alone(at: At) -> None:
    """Two ends, a length, its uncertainty, where it comes from; the scale with its U stands there at once."""
    page = at.page
    page.locator("#elsewhere button", has_text="Known length").press("Enter")
    expect(page.locator("#known-length")).to_be_visible()
    expect(page.locator("#window")).to_be_focused()
    page.keyboard.press("Space")
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    expect(page.locator("#known-length [name=stated]")).to_be_focused()
    page.keyboard.type("0.1 mm")
    page.keyboard.press("Tab")
    page.keyboard.type("0.5 um")
    page.keyboard.press("Tab")
    page.keyboard.type("bar of their camera program")
    page.keyboard.press("Enter")
    made = tag(at, "reference").reference
    for _ in range(100):  # what is complete is written while the rest is typed
        if made is not None and made.source:
            break
        time.sleep(0.05)
        made = tag(at, "reference").reference
    assert made is not None and (made.length.text, made.u.text) == ("0.1 mm", "0.5 um")
    assert made.source == "bar of their camera program" and len(made.points.xy) == 2
    expect(page.locator("#window")).to_be_focused()
    axe = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]})
    assert [each["id"] for each in axe["violations"]] == []


def test_a_length_that_is_half_said_is_never_written_nor_takes_away_what_stands(at: At) -> None:
    """An emptied field waits; the file keeps what it had."""
    page = at.page
    before = tag(at, "reference").reference
    page.locator("#elsewhere button", has_text="Known length").click()
    expect(page.locator("#known-length [name=stated]")).to_have_value("0.1 mm")
    page.fill("#known-length [name=u]", "")
    page.locator("#known-length [name=u]").dispatch_event("change")
    page.wait_for_timeout(500)
    assert tag(at, "reference").reference == before
    page.fill("#known-length [name=u]", "0.7 um")
    page.locator("#known-length [name=u]").press("Enter")
    for _ in range(100):
        now = tag(at, "reference").reference
        if now is not None and now.u.text == "0.7 um":
            break
        time.sleep(0.05)
    assert now is not None and now.u.text == "0.7 um"


def test_its_ends_are_moved_onto_the_edges_by_a_key(at: At) -> None:
    """As those of any line, before its length is said too; what is written is where the edges are."""
    grey = np.full((240, 320), 40, dtype=np.uint8)
    grey[80:160, 100:200] = 210
    Image.fromarray(grey).save(at.folder / "moulds/M-001/trials/T1/images/c1_top_4.png")
    page = at.page
    page.click("#strip button:has-text('c1_top_4')")
    page.wait_for_selector("#strip [aria-current=true]:has-text('c1_top_4')")
    page.locator("#elsewhere button", has_text="Known length").click()
    expect(page.locator("[data-do=edge]")).to_be_disabled()
    at.click(103, 120)
    at.click(197, 120)
    expect(page.locator("[data-do=edge]")).to_be_enabled()
    page.click("[data-do=edge]")
    expect(page.locator("#state")).to_contain_text("2 of 2")
    page.click("[data-do=finish]")
    page.fill("#known-length [name=stated]", "0.1 mm")
    page.fill("#known-length [name=u]", "0.5 um")
    page.locator("#known-length [name=u]").press("Enter")
    made = tag(at, "reference", "c1_top_4.png").reference
    assert made is not None
    near(made.points.xy, [(100.0, 120.0), (200.0, 120.0)], 0.5)


@pytest.mark.parametrize(("width", "scheme"), [(390, "dark"), (390, "light")])
def test_the_form_fits_a_narrow_page(served: tuple[Any, str], chromium: Browser, width: int, scheme: Any) -> None:
    """Nothing sticks out; every field can be hit by a thumb."""
    context = chromium.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    page.goto(served[1])
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    page.locator("#elsewhere button", has_text="Known length").click()
    fields = page.locator("#known-length input:visible")
    expect(fields).to_have_count(3)
    assert all((fields.nth(each).bounding_box() or {"height": 0})["height"] >= 44 for each in range(3))
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()
