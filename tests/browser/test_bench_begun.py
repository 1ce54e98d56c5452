"""What a person who begins is told: no trial, picture or microscope yet; what is proposed is confirmed by one key."""

import shutil
from pathlib import Path

from playwright.sync_api import Browser, Page, Route, expect

from portal.catalog import read
from tests.browser.benched import PATIENCE, serve
from tests.browser.test_bench_ten import button, catalogue, current, opened
from tests.tasks.small import TRIAL, small_catalogue


def begun(chromium: Browser, folder: Path) -> Page:
    """The bench with somebody at it."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE)
    expect.set_options(timeout=PATIENCE)
    page = context.new_page()
    page.goto(serve(folder))
    page.click("[data-by=first-inspector]")
    return page


def test_without_a_trial_it_is_said_and_one_comes_by_itself(chromium: Browser, tmp_path: Path) -> None:
    """Then it says into which folder its pictures go; and no microscope is said where there is none."""
    folder = small_catalogue(tmp_path / "c")
    trial = folder / TRIAL
    shutil.rmtree(trial / "images")
    shutil.rmtree(trial / "tags")
    shutil.move(trial, tmp_path / "kept")
    for scope in (folder / "scopes").glob("*.yaml"):
        scope.unlink()
    page = begun(chromium, folder)
    expect(page.locator("#no-trials")).to_contain_text("moulds/<mould>/trials/<trial>")
    page.click("#to-scales")
    expect(page.locator("#scale-no-setting")).to_contain_text("scopes/<name>.yaml")
    page.click("#to-trials")
    shutil.move(tmp_path / "kept", trial)
    page.click("#trial-list button")
    expect(page.locator("#no-trials")).to_be_hidden()
    expect(page.locator("#none-yet")).to_contain_text(f"{TRIAL}/images")
    page.context.close()


def test_what_is_proposed_is_confirmed_by_one_key(chromium: Browser, tmp_path: Path) -> None:
    """It stands above what can be chosen, and afterwards nothing is proposed any more."""
    folder = catalogue(tmp_path)
    at = opened(chromium, folder, viewport={"width": 1280, "height": 800})
    page = at.page
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    current(page, "p0.jpg")
    told = page.locator("#place").bounding_box()
    first = page.locator("#classes").bounding_box()
    assert told and first and told["y"] < first["y"]
    if not page.is_visible("#place [name=cavity]"):
        page.locator("#place-open summary").click()
    tag = folder / TRIAL / "tags/p0.jpg.yaml"
    page.select_option("#place [name=cavity]", "2")
    page.select_option("#place [name=view]", "top")
    page.focus("#window")
    page.keyboard.press("Enter")
    page.wait_for_selector("#state[data-kind=saved]")
    expect(page.locator("#proposed")).to_be_hidden()
    assert tag.is_file()
    catalogue_now = read(folder).catalogue
    assert catalogue_now
    pictures = {each.name: each.tag for _, trial in catalogue_now.trials() for each in trial.pictures}
    written = pictures["p0.jpg"]
    assert written and (written.cavity, written.view, written.findings) == ("2", "top", ())
    assert at.said == []
    page.context.close()


def test_a_picture_that_comes_while_the_desk_is_hidden_is_drawn_once_it_is_seen(
    chromium: Browser, tmp_path: Path
) -> None:
    """Somebody goes to the scales before the trial has come; nothing is said on the console."""
    folder = small_catalogue(tmp_path / "c")
    page = begun(chromium, folder)
    said: list[str] = []
    held: list[Route] = []
    page.on("console", lambda message: said.append(message.text))
    page.route("**/api/trial/*", lambda route: held.append(route))
    page.click("#trial-list button")
    page.click("#to-scales")
    expect(page.locator("#scales")).to_be_visible()
    for each in held:
        each.continue_()
    expect(page.locator("#what")).not_to_be_empty()
    assert said == []
    page.click("#to-scales")
    expect(page.locator("#ink path").first).to_be_attached()
    page.context.close()


def test_on_a_telephone_the_picture_stays_where_it_is_while_something_is_said(
    chromium: Browser, tmp_path: Path
) -> None:
    """Not finished, saving, saved: none of it moves what is under the finger."""
    at = opened(chromium, catalogue(tmp_path), viewport={"width": 390, "height": 844}, has_touch=True)
    page = at.page
    page.tap("[data-by=first-inspector]")
    page.tap("#trial-list button")
    current(page, "p0.jpg")
    page.wait_for_selector("#shapes button")
    button(page, "length").tap()
    button(page, "line").tap()
    page.locator("#window").scroll_into_view_if_needed()
    said, tops = set(), set()
    for x, y in ((40.0, 60.0), (120.0, 90.0)):
        page.touchscreen.tap(*at.screen(x, y))
        said.add(page.inner_text("#state"))
        tops.add(page.evaluate("() => document.querySelector('#window').getBoundingClientRect().top + scrollY"))
    page.tap("[data-do=finish]")
    page.wait_for_selector("#state[data-kind=saved]")
    tops.add(page.evaluate("() => document.querySelector('#window').getBoundingClientRect().top + scrollY"))
    page.evaluate("() => { document.querySelector('#state').textContent = ''; }")
    tops.add(page.evaluate("() => document.querySelector('#window').getBoundingClientRect().top + scrollY"))
    assert len(tops) == 1 and any(said)
    page.evaluate("() => scrollTo(0, 0)")
    verdict = page.locator("#answer .say").bounding_box()
    assert verdict and verdict["y"] < 844 - 60, "it is in sight while the finger draws"
    page.context.close()
