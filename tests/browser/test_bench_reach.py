"""Within reach of one hand: what one finding takes is in sight without scrolling, and a reading is a key away."""

import pytest
from playwright.sync_api import expect

from tests.browser.benched import At

IN_SIGHT = ("classes", "zones", "characteristics", "seen")


@pytest.mark.parametrize("language", ["en", "de"])
def test_what_a_finding_takes_is_in_sight(at: At, language: str) -> None:
    """On a screen of 1280 by 800, before anything is drawn."""
    at.page.goto(f"{at.page.url.split('?')[0]}?language={language}")
    at.page.wait_for_selector("#classes button")
    for each in IN_SIGHT:
        box = at.page.locator(f"#{each}").bounding_box()
        assert box and box["height"] > 0 and box["y"] + box["height"] <= 800, (each, box)


def test_a_gauge_reading_and_what_was_felt_are_a_key_away(at: At) -> None:
    """The reading is of what is measured just then; the same key goes on to what was felt, Esc back to the picture."""
    keys = at.page.keyboard
    for measured in ("width", "height"):
        at.pick(measured)
        keys.press("Shift+Enter")
        expect(at.page.locator("#gauge [name=readings]")).to_be_focused()
        expect(at.page.locator("#gauge [name=characteristic]")).to_have_value(measured)
        keys.press("Escape")
    keys.press("Shift+Enter")
    for typed in ("0.21 mm", "optical gauge OG-2", "2 um"):
        keys.type(typed)
        keys.press("Tab")
    keys.press("Enter")
    expect(at.page.locator("#gauge-list")).to_contain_text("0.21 mm (optical gauge OG-2")
    expect(at.page.locator("#answer")).to_contain_text("optical gauge OG-2")
    keys.press("Shift+Tab")
    keys.press("Shift+Enter")
    expect(at.page.locator("#check [name=what]")).to_be_focused()
    keys.press("Shift+Enter")
    expect(at.page.locator("#gauge [name=readings]")).to_be_focused()
    keys.press("Escape")
    expect(at.page.locator("#window")).to_be_focused()
    keys.press("Shift+Delete")
    expect(at.page.locator("#gauge-list")).not_to_contain_text("optical gauge OG-2")


def test_what_was_felt_is_judged_though_nothing_is_drawn(at: At) -> None:
    """The verdict and what was felt stand there as soon as it is entered."""
    keys = at.page.keyboard
    at.page.click("#classes button >> nth=0")
    keys.press("Shift+Enter")
    keys.press("Shift+Enter")
    expect(at.page.locator("#answer .verdict")).to_have_count(0)
    at.page.fill("#check [name=method]", "drawn across twice")
    keys.press("Enter")
    expect(at.page.locator("#answer .verdict")).to_have_count(1)
    expect(at.page.locator("#answer")).to_contain_text("fingernail: no")
    keys.press("Escape")
    keys.press("Shift+Delete")
    expect(at.page.locator("#answer .verdict")).to_have_count(0)
