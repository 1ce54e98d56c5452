"""Beside the drawing: limit samples at the same physical scale, a judgement by one key, a class by any of its names."""

import re
import shutil
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from portal import resources
from tests.browser.benched import PATIENCE, At, serve

PICTURE = "M-118_T2_c2_s14_gate-profile"


@pytest.fixture(scope="module")
def at(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[At]:
    """The sample's trial; the last good sample is said to be taken at half the magnification."""
    folder = tmp_path_factory.mktemp("beside") / "c"
    shutil.copytree(resources.sample(), folder, ignore=shutil.ignore_patterns("render"))
    sample = folder / "limit-samples/LS-0007/sample.yaml"
    sample.write_text(sample.read_text(encoding="utf-8").replace("zoom-8-", "zoom-4-"), encoding="utf-8")
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(PATIENCE)
    opened = At(folder, context.new_page())
    opened.page.on("pageerror", lambda error: opened.said.append(str(error)))
    opened.page.goto(serve(folder))
    opened.page.click("[data-by] >> nth=0")
    opened.page.click("#trial-list button:has-text('M-118 T2')")
    opened.page.click(f"#strip button:has-text('{PICTURE}')")
    opened.page.wait_for_selector(f"#strip [aria-current=true]:has-text('{PICTURE}')")
    yield opened
    assert opened.said == []
    context.close()


def test_the_samples_are_at_the_pictures_physical_scale(at: At) -> None:
    """A sample taken at half the magnification is drawn twice as large, at every zoom."""
    at.page.locator("#findings button").first.click()
    at.page.wait_for_selector("#beside figure img[src]")
    for wheel in (0, -300, 600):
        at.page.mouse.move(*at.screen(1000, 800))
        at.page.mouse.wheel(0, wheel)
        at.page.wait_for_timeout(100)
        zoom = float(at.page.get_attribute("#window", "data-zoom") or "nan")
        widths = at.page.eval_on_selector_all("#beside img", "all => all.map(one => parseFloat(one.style.width))")
        assert [each / 2048 / zoom for each in widths] == pytest.approx([2, 1], rel=0.02)
    assert at.page.locator("#beside figcaption").filter(has_text="At the picture's scale.").count() == 2


def test_a_sample_on_which_nothing_is_drawn_shows_the_middle_of_what_is_drawn_here(at: At) -> None:
    """Not where most points are: eight are on the base of a vestige, and one is at its tip."""
    at.page.locator("#findings button").first.click()
    at.page.wait_for_selector("#beside figure img[src]")
    shown = at.page.evaluate(
        """() => { const image = document.querySelectorAll('#beside img')[1], plate = image.parentElement;
             return (plate.clientHeight / 2 - parseFloat(image.style.top)) / parseFloat(image.style.height) * 1536; }"""
    )
    assert "Nothing is drawn on it: the same place" in at.page.locator("#beside figcaption").nth(1).inner_text()
    path = at.folder / f"moulds/M-118/trials/T2/tags/{PICTURE}.jpg.yaml"
    drawn = re.findall(r'(?:base|point): "([^"]+)"', path.read_text(encoding="utf-8"))
    ys = [float(each.split(",")[1]) for points in drawn for each in points.split()]
    assert shown == pytest.approx((min(ys) + max(ys)) / 2, abs=2)
    assert abs(sum(ys) / len(ys) - shown) > 20


def test_a_sample_without_a_picture_is_no_empty_frame(at: At) -> None:
    """The words say that the piece is to be looked at; the other sample stays at its scale."""
    picture = at.folder / "limit-samples/LS-0007/gate-profile.jpg"
    content = picture.read_bytes()
    picture.unlink()
    at.page.click("#strip button >> nth=0")
    at.page.wait_for_selector("#strip li:first-child [aria-current=true]")
    at.page.click(f"#strip button:has-text('{PICTURE}')")
    at.page.wait_for_selector(f"#strip [aria-current=true]:has-text('{PICTURE}')")
    at.page.locator("#findings button").first.click()
    words = at.page.locator("#beside figure").first
    words.filter(has_text="look at the piece itself").wait_for()
    assert words.locator(".plate").count() == 0 and at.page.locator("#beside .plate").count() == 1
    zoom = float(at.page.get_attribute("#window", "data-zoom") or "nan")
    width = float(at.page.eval_on_selector("#beside img", "one => parseFloat(one.style.width)"))
    assert width / 2048 / zoom == pytest.approx(1, rel=0.02)
    picture.write_bytes(content)


def test_better_same_worse_by_one_key(at: At) -> None:
    """Where a sample decides; the file says what was chosen."""
    picture = "M-118_T2_c3_s14_low-angle"
    at.page.click(f"#strip button:has-text('{picture}')")
    at.page.wait_for_selector(f"#strip [aria-current=true]:has-text('{picture}')")
    at.page.keyboard.press("/")
    at.page.keyboard.type("retassure")
    at.page.keyboard.press("Enter")
    at.page.keyboard.press("Shift+B")
    at.pick("length")
    at.page.locator("#shapes button").filter(has_text="line").first.click()
    at.click(600, 300)
    at.click(700, 300)
    at.page.keyboard.press("Enter")
    at.page.wait_for_selector("#compare:not([hidden])")
    path = at.folder / f"moulds/M-118/trials/T2/tags/{picture}.jpg.yaml"
    for number, word in ((2, "same"), (3, "worse"), (4, "cannot tell"), (1, "better")):
        at.page.keyboard.press(f"Shift+Digit{number}")
        at.page.wait_for_selector(f"#compared button:nth-child({number})[aria-pressed=true]")
        for _ in range(100):
            if f"compared: {word}" in path.read_text(encoding="utf-8"):
                break
            time.sleep(0.05)
        else:
            raise AssertionError(word)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [("bavure", "flash – bavure"), ("RAFAGA", "splay – ráfagas"), ("grat", "flash – Grat"), ("飞边", "flash – 飞边")],
)
def test_a_class_is_found_by_any_name_in_any_language(at: At, typed: str, shown: str) -> None:
    """Also without its accents; the first that begins so stands first."""
    at.page.fill("#find-class", typed)
    first = at.page.locator("#classes button").first
    assert first.inner_text().startswith(shown)
    assert first.locator("kbd").inner_text() == "⏎", "Enter takes it"
    tops = (
        "() => ['#find-class', '#classes button'].map((at) => document.querySelector(at).getBoundingClientRect().top)"
    )
    field, found = at.page.evaluate(tops)  # both at one moment: the list may be drawn anew between two questions
    assert found > field, "the field stays where it is while fewer are found"
    at.page.fill("#find-class", "nonesuch")
    assert at.page.is_visible("#class-none")
    at.page.fill("#find-class", "")


def test_where_nothing_is_agreed_for_a_zone_the_class_is_measured_as_in_others(at: At) -> None:
    """Not as another class was before: a speck in zone A isn't proposed to have a height."""
    at.page.keyboard.press("Escape")
    at.page.click("#strip button:has-text('M-118_T2_c2_s14_top-face')")
    at.page.wait_for_selector("#strip [aria-current=true]:has-text('M-118_T2_c2_s14_top-face')")
    at.page.locator("#classes button", has_text="gate vestige").click()
    at.page.locator("#zones button", has_text="C").click()
    chosen = at.page.locator("#characteristics button[aria-pressed=true]")
    chosen.filter(has_text="height").wait_for()
    at.page.locator("#zones button").filter(has_text=re.compile("^A ")).click()
    at.page.locator("#classes button", has_text="black speck").click()
    chosen.filter(has_text="mean diameter").wait_for()
    assert at.page.locator("#characteristics button").count() == 1, "what other classes are measured as is among others"
