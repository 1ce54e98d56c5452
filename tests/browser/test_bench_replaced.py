"""A picture is replaced or goes while it is open on the bench: what was drawn isn't written on another one."""

import shutil
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser

from tests.browser.benched import At
from tests.browser.test_bench_ten import catalogue, current, opened
from tests.tasks.small import TRIAL


def test_what_is_drawn_on_the_old_picture_is_not_written_on_the_new_one(chromium: Browser, tmp_path: Path) -> None:
    """It is said; opened again, the new one is seen, and can be drawn on."""
    folder = catalogue(tmp_path)
    at = looking_at(chromium, folder, "p0.jpg")
    at.pick("length")
    Image.new("RGB", (120, 160), (200, 180, 160)).save(tmp_path / "new.jpg")
    shutil.copy(tmp_path / "new.jpg", folder / TRIAL / "images/p0.jpg")
    draw(at, (20.0, 20.0), (60.0, 40.0))
    at.page.locator("#refused").filter(has_text="replaced by another picture").wait_for()
    tag = folder / TRIAL / "tags/p0.jpg.yaml"
    assert not tag.exists()
    at.page.click("#strip button:has-text('p1.jpg')")
    current(at.page, "p1.jpg")
    at.page.click("#strip button:has-text('p0.jpg')")
    current(at.page, "p0.jpg")
    at.page.wait_for_selector("#stage img:not([hidden])")
    for _ in range(200):
        seen = at.page.evaluate("() => [...document.querySelectorAll('#stage img')].map(one => one.naturalWidth)")
        if seen == [120]:
            break
        at.page.wait_for_timeout(20)
    assert seen == [120]
    draw(at, (20.0, 20.0), (60.0, 40.0))
    at.page.wait_for_selector("#state[data-kind=saved]")
    assert "stored: 120x160" in tag.read_text(encoding="utf-8")
    at.page.context.close()


def looking_at(chromium: Browser, folder: Path, name: str) -> At:
    """The first inspector, with a picture of the trial open."""
    at = opened(chromium, folder, viewport={"width": 1280, "height": 800})
    at.page.click("[data-by=first-inspector]")
    at.page.click("#trial-list button")
    at.page.click(f"#strip button:has-text('{name}')")
    current(at.page, name)
    return at


def draw(at: At, *points: tuple[float, float]) -> None:
    """A line through image points."""
    for x, y in points:
        at.click(x, y)
    at.page.keyboard.press("Enter")


def test_what_is_drawn_while_the_share_is_away_is_written_once_it_is_back(chromium: Browser, tmp_path: Path) -> None:
    """The pictures stay listed, it is said, and nobody has to do anything."""
    folder = catalogue(tmp_path)
    at = looking_at(chromium, folder, "p0.jpg")
    at.pick("length")
    listed = at.page.locator("#strip li").count()
    folder.rename(tmp_path / "away")
    draw(at, (20.0, 20.0), (60.0, 40.0))
    at.page.locator("#state[data-kind=waiting]").filter(has_text="can't be reached").wait_for()
    assert at.page.locator("#strip li").count() == listed and at.page.is_visible("#classes")
    (tmp_path / "away").rename(folder)
    at.page.wait_for_selector("#state[data-kind=saved]")
    assert (folder / TRIAL / "tags/p0.jpg.yaml").read_text(encoding="utf-8").count("- id:") == 1
    at.page.context.close()


def test_a_picture_that_is_taken_away_while_it_is_open_is_told(chromium: Browser, tmp_path: Path) -> None:
    """At once, by its name; and no more once it is back."""
    folder = catalogue(tmp_path)
    at = looking_at(chromium, folder, "p2.jpg")
    own = folder / TRIAL / "images/p2.jpg"
    own.rename(tmp_path / "p2.jpg")
    at.page.locator("#refused").filter(has_text="p2.jpg isn't in the trial's folder any more").wait_for()
    (tmp_path / "p2.jpg").rename(own)
    at.page.locator("#refused").wait_for(state="hidden")
    current(at.page, "p2.jpg")
    assert at.said == []
    at.page.context.close()


def test_what_can_be_done_with_a_replaced_picture_is_a_button_beside_it(chromium: Browser, tmp_path: Path) -> None:
    """Replaced while it is open, it is opened again from where that is said; then its tag is said to hold, by keys."""
    folder = catalogue(tmp_path)
    at = looking_at(chromium, folder, "c1_gate.jpg")
    Image.new("RGB", (320, 240), (200, 180, 160)).save(folder / TRIAL / "images/c1_gate.jpg")
    at.page.click("#findings button:has-text('7K3G')")
    again = at.page.locator("#answer button")
    again.filter(has_text="Open it again").wait_for()
    again.press("Enter")
    box = at.page.locator("#replaced")
    box.filter(has_text="put the tagged picture back").wait_for()
    assert not at.page.is_visible("#noscale")
    assert at.page.evaluate("() => document.activeElement.id") == "window"
    at.page.locator("#holds-too").press("Enter")
    box.wait_for(state="hidden")
    at.page.click("#findings button:has-text('7K3G')")
    at.page.locator("#answer .ruler").first.wait_for()
    at.page.click("#strip button:has-text('c1_top.jpg')")
    current(at.page, "c1_top.jpg")
    assert [each for each in at.said if "422" not in each] == []
    at.page.context.close()


def test_drawn_on_a_picture_that_was_replaced_meanwhile_it_can_be_opened_from_the_refusal(
    chromium: Browser, tmp_path: Path
) -> None:
    """What was drawn waits on top until somebody lets it go."""
    folder = catalogue(tmp_path)
    at = looking_at(chromium, folder, "p0.jpg")
    at.pick("length")
    Image.new("RGB", (120, 160), (200, 180, 160)).save(folder / TRIAL / "images/p0.jpg")
    draw(at, (20.0, 20.0), (60.0, 40.0))
    at.page.locator("#refused button").filter(has_text="Open it again").click()
    at.page.wait_for_function(
        "() => [...document.querySelectorAll('#stage img')].some(one => one.naturalWidth === 120)"
    )
    at.page.locator("#left").filter(has_text="p0.jpg").wait_for()
    at.page.context.close()
