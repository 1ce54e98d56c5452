"""Small things of the bench that nothing else holds."""

import re
import time
from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.browser.benched import PATIENCE, At
from tests.browser.test_bench_ten import catalogue, current, opened
from tests.tasks.small import TRIAL, small_catalogue


def test_a_key_with_alt_is_the_browsers(at: At) -> None:
    """Of menus and pages: it chooses nothing here."""
    at.page.keyboard.press("1")
    before = at.page.locator("#classes [aria-pressed=true]").inner_text()
    at.page.keyboard.press("Alt+2")
    assert at.page.locator("#classes [aria-pressed=true]").inner_text() == before
    at.page.keyboard.press("2")
    assert at.page.locator("#classes [aria-pressed=true]").inner_text() != before
    at.page.keyboard.press("1")


def test_a_slip_of_the_hand_is_no_outline(at: At) -> None:
    """Pressed, moved a little, let go: nothing is begun, and the next click begins as ever."""
    at.pick("area")
    at.page.locator("#shapes button").filter(has_text="outline").first.click()
    left, top = at.screen(60.0, 60.0)
    at.page.mouse.move(left, top)
    at.page.mouse.down()
    at.page.mouse.move(left + 9, top + 3)
    at.page.mouse.up()
    assert at.page.locator("#ink .vertex").count() == 0
    at.click(60.0, 60.0)
    expect(at.page.locator("#ink .vertex")).to_have_count(1)
    at.page.keyboard.press("Escape")


def test_nothing_seen_is_said_on_the_sheet_where_a_picture_isnt_wanted_always(
    chromium: Browser, tmp_path: Path
) -> None:
    """For the first kept shot; the frame is looked at then."""
    folder = small_catalogue(tmp_path / "c")
    part = folder / "parts/P-0001/part.yaml"
    part.write_text(re.sub("picture: always", "picture: if found", part.read_text(encoding="utf-8")), encoding="utf-8")
    for tag in (folder / TRIAL / "tags").glob("*.yaml"):
        tag.unlink()
    at = opened(chromium, folder, viewport={"width": 1280, "height": 800})
    at.page.context.set_default_timeout(PATIENCE)
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    at.page.click("#to-sheet")
    at.page.get_by_role("button", name=re.compile("[Nn]othing seen")).first.click()
    for _ in range(200):
        found = [each.name for each in (folder / TRIAL / "looked").glob("*.yaml")]
        if found:
            break
        time.sleep(0.05)
    assert found == ["1-top-11.yaml"]
    at.page.context.close()


def test_the_piece_is_that_of_the_cavity_that_is_chosen(chromium: Browser, tmp_path: Path) -> None:
    """Another cavity, of which no piece is known: the one that was proposed goes."""
    folder = catalogue(tmp_path)
    at = opened(chromium, folder, viewport={"width": 1280, "height": 800})
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    current(at.page, "p0.jpg")
    if not at.page.is_visible("#place [name=cavity]"):
        at.page.locator("#place-open summary").click()
    at.page.select_option("#place [name=cavity]", "2")
    at.page.select_option("#place [name=view]", "top")
    at.page.focus("#window")
    at.page.keyboard.press("Enter")
    at.page.wait_for_selector("#state[data-kind=saved]")
    written = (folder / TRIAL / "tags/p0.jpg.yaml").read_text(encoding="utf-8")
    assert 'cavity: "2"' in written and "piece:" not in written
    at.page.context.close()


def test_the_keys_are_shown_from_the_first(at: At) -> None:
    """Not from the last, where the button is that closes them."""
    at.page.keyboard.press("?")
    expect(at.page.locator("#help h2")).to_be_in_viewport()
    at.page.keyboard.press("Escape")
    expect(at.page.locator("#help")).to_be_hidden()


def test_where_each_picture_was_taken_is_open_only_where_somebody_opened_it(at: At) -> None:
    """What is known of the next picture is one line again."""
    at.page.locator("#place-open summary").click()
    expect(at.page.locator("#place [name=cavity]")).to_be_visible()
    at.page.keyboard.press("q")
    at.page.wait_for_timeout(300)
    expect(at.page.locator("#place [name=cavity]")).to_be_visible()
    at.page.click("#strip button:has-text('c1_gate')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('c1_gate')")
    expect(at.page.locator("#place [name=cavity]")).to_be_hidden()


def test_no_edge_is_looked_for_at_a_point(at: At) -> None:
    """It has none; a line has."""
    edge = at.page.locator("[data-do=edge]")
    at.pick("count")
    at.page.locator("#shapes button").filter(has_text="point").first.click()
    at.click(60.0, 60.0)
    expect(at.page.locator("#finding-name")).not_to_have_text("New finding")
    expect(edge).to_be_disabled()
    at.page.wait_for_selector("#state[data-kind=saved]")
    at.page.keyboard.press("Shift+Delete")
    expect(at.page.locator("#finding-name")).to_have_text("New finding")
    at.pick("length")
    at.page.locator("#shapes button").filter(has_text="line").first.click()
    at.click(60.0, 60.0)
    at.click(90.0, 60.0)
    at.page.keyboard.press("Enter")
    expect(edge).to_be_enabled()
    at.page.wait_for_selector("#state[data-kind=saved]")
    at.page.keyboard.press("Shift+Delete")
    expect(at.page.locator("#finding-name")).to_have_text("New finding")


def test_what_is_to_be_written_as_it_stands_is_set_apart(at: At) -> None:
    """In what a refusal says; nothing of its quotes is left."""
    at.page.locator("#gauges summary").click()
    for name, value in (("readings", "32"), ("instrument", "dial gauge"), ("u", "3 um")):
        at.page.fill(f"#gauge [name={name}]", value)
    at.page.click("#gauge > button")
    wrong = at.page.locator("#gauge .fieldwrong")
    expect(wrong.locator("code").first).to_have_text("32")
    assert "`" not in wrong.inner_text()
    at.said[:] = [each for each in at.said if "422" not in each]  # the browser tells of the refusal


def test_it_is_told_how_a_shape_is_drawn_and_what_it_lacks(at: At) -> None:
    """A base ends by itself nowhere, and the farthest point comes after it."""
    how, state = at.page.locator("#how"), at.page.locator("#state")
    at.pick("height")
    expect(how).to_contain_text("Three or more points along the sound edge, Finish")
    for x, lacks in ((60.0, "more points"), (90.0, "more points"), (120.0, "or Finish the base")):
        at.click(x, 60.0)
        expect(state).to_have_text(re.compile(f"{lacks}$"))
    at.page.keyboard.press("Enter")
    expect(state).to_have_text("Not finished: the farthest point")
    at.page.keyboard.press("Escape")
    at.page.keyboard.press("v")
    expect(how).to_contain_text("Drag the picture")
