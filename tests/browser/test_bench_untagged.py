"""A picture whose tag was taken away by hand may be tagged again from the sheet."""

from playwright.sync_api import expect

from tests.browser.benched import At
from tests.browser.test_bench_sheet import IMAGES, frame, put, tagged


def test_a_picture_that_was_untagged_is_the_next_again(at: At) -> None:
    """It was assigned to one frame; its tag is deleted in the folder; it is what the next click on a frame takes."""
    put(at, "next_1.jpg")
    at.page.wait_for_selector("#strip button:has-text('next_1')")
    at.page.keyboard.press("t")
    at.page.click(frame(at, "top"))
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('next_1')")
    assert tagged(at, "next_1.jpg").view == "top"
    at.page.wait_for_selector("#state[data-kind=saved]")
    at.page.locator("#strip li:has-text('next_1')").filter(has_text="Cavity 2").wait_for()
    (at.folder / IMAGES).with_name("tags").joinpath("next_1.jpg.yaml").unlink()
    at.page.locator("#strip li:has-text('next_1')").filter(has_not_text="Cavity 2").wait_for()
    at.page.keyboard.press("t")
    at.page.click(frame(at, "gate-profile"))
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('next_1')")
    assert tagged(at, "next_1.jpg").view == "gate-profile"
    at.page.wait_for_selector("#state[data-kind=saved]")


def test_the_next_picture_that_nobody_tagged_is_one_key_away(at: At) -> None:
    """Tagged ones are passed over, behind the last comes the first; where none is left it says so and stays."""
    new = "#strip li:has(b:text-is('new'))"
    for each in at.page.locator(new).all_text_contents():
        (at.folder / IMAGES / each.removeprefix("new").strip()).unlink()
    expect(at.page.locator(new)).to_have_count(0)
    at.page.keyboard.press("Shift+N")
    expect(at.page.locator("#state")).to_contain_text("No other picture")
    assert "c1_top" in at.page.inner_text("#strip [aria-current=true]")
    for name in ("a_new.jpg", "z_new.jpg"):
        put(at, name)
        at.page.wait_for_selector(f"#strip button:has-text('{name}')")
    for name in ("z_new", "a_new", "z_new"):
        at.page.keyboard.press("Shift+N")
        at.page.wait_for_selector(f"#strip [aria-current=true]:has-text('{name}')")
    at.page.keyboard.press("?")
    expect(at.page.locator("#help")).to_contain_text("next picture that nobody tagged yet")
