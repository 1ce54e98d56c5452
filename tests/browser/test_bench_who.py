"""Who inspects, and what is seen at the set condition: asked first, kept for the session, changed per finding."""

from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.browser.benched import At, serve
from tests.tasks.small import small_catalogue


def test_both_are_asked_first_and_every_finding_carries_them(tmp_path: Path, chromium: Browser) -> None:
    """Nothing is shown before somebody is named; a finding may differ; the next begins as the session does; loading the
    page again asks nobody anew; another person is another name from then on."""
    folder = small_catalogue(tmp_path / "c")
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(60_000)
    expect.set_options(timeout=60_000)
    page = context.new_page()
    at = At(folder, page)
    page.goto(serve(folder))
    expect(page.locator("#who")).to_be_visible()
    for part in ("#trials", "#desk", "#sheet", "#scales", "#to-scales", "#to-trials"):
        expect(page.locator(part)).to_be_hidden()
    page.check("[name=seen][value=no]")
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    page.click("#strip button:has-text('c1_top')")
    expect(page.locator("#strip [aria-current=true]")).to_contain_text("c1_top")
    at.pick("length")
    page.get_by_role("button", name="line", exact=False).first.click()

    def draw(y: float) -> None:
        at.click(50, y)
        at.click(80, y)
        page.keyboard.press("Enter")

    draw(60)
    first = at.saved(4)[-1]
    assert (first.by, first.seen) == ("first-inspector", "no")
    page.keyboard.press("q")
    expect(page.locator("#seen [aria-pressed=true]")).to_contain_text("Not checked")
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    draw(80)
    found = at.saved(5)
    assert found[-1].seen == "no" and next(each for each in found if each.id == first.id).seen == "not checked"
    page.reload()
    expect(page.locator("#strip [aria-current=true]")).to_contain_text("c1_top")
    expect(page.locator("#seen [aria-pressed=true]")).to_contain_text("No")
    page.click("#to-who")
    expect(page.locator("[name=seen][value=no]")).to_be_checked()
    page.check("[name=seen][value=yes]")
    page.click("[data-by=first-engineer]")
    expect(page.locator("#desk")).to_be_visible()
    draw(100)
    last = at.saved(6)[-1]
    assert (last.by, last.seen) == ("first-engineer", "yes")
    context.close()
