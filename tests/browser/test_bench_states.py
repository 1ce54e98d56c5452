"""axe-core finds nothing in any state of the bench: drawing, masks, not written, a conflict, no picture yet."""

import shutil
from typing import Any

import pytest
from axe_core_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.benched import At, count

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}


def clean(page: Page, state: str) -> None:
    """Nothing found."""
    found: Any = Axe().run(page, options=RULES)
    told = [(each["id"], [node["html"][:120] for node in each["nodes"]]) for each in found["violations"]]
    assert told == [], (state, told)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_any_state(at: At, scheme: Any) -> None:
    """One after the other, as they come up."""
    page, before = at.page, count(at)
    page.emulate_media(color_scheme=scheme)
    page.keyboard.press(".")
    at.pick("area")
    page.locator("#shapes button").filter(has_text="outline").first.click()
    for x, y in ((200.0, 120.0), (240.0, 120.0), (240.0, 160.0)):
        at.click(x, y)
    page.locator("#answer").filter(has_text="±").wait_for()
    clean(page, "drawing")
    page.keyboard.press("Enter")
    drawn = at.saved(before + 1)[-1]
    page.wait_for_selector("#state[data-kind=saved]")
    page.keyboard.press(".")
    page.route("**/api/save*", lambda route: route.abort())
    page.keyboard.press("q")
    page.wait_for_selector("#state[data-kind=waiting]")
    clean(page, "server gone")
    page.unroute("**/api/save*")
    page.wait_for_selector("#state[data-kind=saved]")
    path = at.folder / "moulds/M-001/trials/T1/tags/c1_top.jpg.yaml"
    text = path.read_text(encoding="utf-8").replace(f"id: {drawn.id}", f"id: {drawn.id}\n    note: theirs")
    path.write_text(text, encoding="utf-8")
    page.keyboard.press("q")
    page.wait_for_selector("#conflict:not([hidden])")
    page.locator("#conflict td").filter(has_text="theirs").wait_for()
    clean(page, "conflict")
    page.click("#conflict button:first-of-type")
    page.wait_for_selector("#state[data-kind=saved]")
    for beside in path.parent.glob("*.conflict-*"):
        beside.unlink()
    page.get_by_role("button", name="Masks").click()
    page.get_by_role("heading", name="Masks").wait_for()
    clean(page, "masks")
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    clean(page, "keys")
    page.keyboard.press("Escape")
    at.said[:] = [each for each in at.said if "ERR_FAILED" not in each]


def test_axe_finds_nothing_where_there_is_no_picture_yet(at: At) -> None:
    """A trial whose pictures are still to be taken."""
    trial = at.folder / "moulds/M-001/trials/T9"
    trial.mkdir()
    shutil.copy(at.folder / "moulds/M-001/trials/T1/trial.yaml", trial / "trial.yaml")
    at.page.click("#to-trials")
    at.page.click("#trial-list button:has-text('T9')")
    at.page.locator("#none-yet").filter(has_text="No pictures yet").wait_for()
    assert not at.page.is_visible("#panel")
    clean(at.page, "empty")
