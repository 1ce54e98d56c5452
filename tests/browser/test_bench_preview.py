"""The review page beside the bench follows what is drawn, about where it was read."""

import time

from tests.browser.benched import At, count


def test_the_review_page_follows_what_is_drawn(at: At) -> None:
    """A finding appears there by itself; the page stays about where it was read; a link elsewhere leads nowhere."""
    before = count(at)
    with at.page.context.expect_page() as opened:
        at.page.click("#to-preview")
    page = opened.value
    page.on("pageerror", lambda error: at.said.append(str(error)))
    page.wait_for_selector("main[data-version]")
    frame = page.frame_locator("iframe:not(.coming)")
    frame.locator("h1").wait_for()
    page.frames[-1].evaluate("document.getElementById('f-7K3F').scrollIntoView({ behavior: 'instant' })")
    at.pick("length")
    at.page.locator("#shapes button").filter(has_text="line").first.click()
    at.click(60, 60)
    at.click(100, 60)
    at.page.keyboard.press("Enter")
    begun = time.perf_counter()
    id_ = at.saved(before + 1)[-1].id
    frame.get_by_text(id_).first.wait_for()
    print(f"from Enter to the page: {time.perf_counter() - begun:.2f} s")
    assert abs(page.frames[-1].evaluate("document.getElementById('f-7K3F').getBoundingClientRect().top")) < 30
    address = page.frames[-1].url
    frame.locator("a[href*='catalogue.html']").first.click()
    page.wait_for_timeout(200)
    assert page.frames[-1].url == address and "/preview/" in address
    page.close()
