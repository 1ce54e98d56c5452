"""Pictures that land while somebody works at others are told of; neither the focus nor what is being drawn moves."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.benched import PATIENCE, At
from tests.browser.test_bench_sheet import IMAGES, put
from tests.browser.test_bench_ten import current, opened
from tests.tasks.small import small_catalogue

expect.set_options(timeout=PATIENCE)


def view(at: At) -> dict[str, str]:
    """Where the picture stands in its window."""
    found: dict[str, str] = at.page.evaluate("() => ({ ...document.querySelector('#window').dataset })")
    return found


def focused(at: At) -> str:
    """What has the focus, by its words."""
    return str(at.page.evaluate("() => document.activeElement.id || document.activeElement.textContent"))


def test_a_picture_that_lands_while_a_line_is_drawn_is_told_and_one_key_away(at: At) -> None:
    """It is said once to who hears the page; the line goes on where it was, and waits on its own picture."""
    at.pick("length")
    at.page.locator("#shapes button").filter(has_text="line").first.click()
    at.click(40.0, 40.0)
    at.click(90.0, 60.0)
    at.page.locator("#window").focus()
    before, drawn = view(at), at.page.locator("#ink .vertex").first.get_attribute("d")
    expect(at.page.locator("#come")).to_be_hidden()
    put(at, "a_come_1.jpg")
    expect(at.page.locator("#to-come")).to_contain_text("New pictures: 1")
    expect(at.page.locator("#come-said")).to_contain_text("The key j goes to them")
    assert at.page.get_attribute("#come-said", "role") == "status"
    assert (view(at), at.page.locator("#ink .vertex").first.get_attribute("d")) == (before, drawn)
    assert focused(at) == "window" and "c1_top" in at.page.inner_text("#strip [aria-current=true]")
    put(at, "z_come_2.jpg")
    expect(at.page.locator("#to-come")).to_contain_text("New pictures: 2")
    at.page.keyboard.press("Escape")
    for name, left in (("a_come_1", "1"), ("z_come_2", "")):
        at.page.keyboard.press("j")
        at.page.wait_for_selector(f"#strip [aria-current=true]:has-text('{name}')")
        expect(at.page.locator("#come")).to_be_visible(visible=bool(left))
    expect(at.page.locator("#come-said")).to_have_text("")


@pytest.mark.parametrize("name", ["a_more_1.jpg", "z_more_2.jpg"])
def test_who_goes_through_the_list_by_keys_stays_where_they_are(at: At, name: str) -> None:
    """Also where the picture comes before it."""
    at.page.locator("#strip button:has-text('c1_gate')").focus()
    words = focused(at)
    put(at, name)
    at.page.wait_for_selector(f"#strip button:has-text('{name}')")
    assert focused(at) == words and "c1_gate" in words
    expect(at.page.locator("#come")).to_be_visible()
    at.page.click("#come-away")
    expect(at.page.locator("#come")).to_be_hidden()


def where(at: At) -> tuple[float, float]:
    """Where the open picture stands in the list, on the screen."""
    box = at.page.locator("#strip [aria-current=true]").bounding_box()
    assert box is not None
    return box["x"], box["y"]


@pytest.mark.parametrize("width", [1280, 390])
def test_a_long_list_does_not_move_under_the_hand(chromium: Browser, tmp_path: Path, width: int) -> None:
    """A picture that comes before the open one is above what is seen, or left of it."""
    folder = small_catalogue(tmp_path / "c")
    content = (folder / IMAGES / "c1_top.jpg").read_bytes()
    for number in range(30):
        (folder / IMAGES / f"p{number:02}.jpg").write_bytes(content)
    at = opened(chromium, folder, viewport={"width": width, "height": 800})
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    at.page.click("#strip button:has-text('p20.jpg')")
    current(at.page, "p20.jpg")
    place = where(at)
    (folder / IMAGES / "a_first.jpg").write_bytes(content)
    at.page.wait_for_selector("#strip button:has-text('a_first.jpg')")
    assert where(at) == pytest.approx(place, abs=1)
    expect(at.page.locator("#to-come")).to_be_visible()
    assert at.said == []
    at.page.context.close()


def test_who_is_in_the_sheet_stays_where_they_are(at: At) -> None:
    """It is drawn anew with each picture; the notice stands there too, and goes with a picture that is taken away."""
    at.page.keyboard.press("t")
    own = at.page.locator("#sheet button.missing").first
    own.focus()
    words = focused(at)
    put(at, "m_sheet.jpg")
    expect(at.page.locator("#to-come")).to_contain_text("New pictures: 1")
    assert focused(at) == words and words
    (at.folder / IMAGES / "m_sheet.jpg").unlink()
    expect(at.page.locator("#come")).to_be_hidden()


def test_a_key_that_leads_nowhere_says_so(at: At) -> None:
    """None came, or the first or last picture is open."""
    said = at.page.locator("#state")
    at.page.keyboard.press("j")
    expect(said).to_contain_text("No other picture came")
    for row, key, words in (("first", "p", "the first picture"), ("last", "n", "the last picture")):
        button = at.page.locator(f"#strip li:{row}-child button")
        button.click()
        expect(button).to_have_attribute("aria-current", "true")
        at.page.locator("#window").focus()
        at.page.keyboard.press(key)
        expect(said).to_contain_text(words)
