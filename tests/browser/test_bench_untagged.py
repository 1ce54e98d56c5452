"""A picture whose tag was taken away by hand may be tagged again from the sheet."""

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
