"""What a page costs a reader before anything of it is read: what lies far below waits, and links still arrive."""

import re
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from portal import resources
from portal.site import typeset
from portal.site.lean import lean_style
from tests.browser.conftest import Open
from tests.site.conftest import Built
from tests.site.specimen import build_site, catalogue

REVIEW = "parts/PR-20/M-7-T2.html"
LAID_OUT = """() => [...document.querySelectorAll('.card > :first-child')]
  .map(one => one.checkVisibility({ contentVisibilityAuto: true }))"""


def test_cards_far_below_are_laid_out_when_they_come_near(open_page: Open, built: Built) -> None:
    """On a telephone the last one isn't until it is scrolled to."""
    page = open_page(built, REVIEW, width=390).page
    assert page.evaluate(LAID_OUT)[-1] is False
    page.locator(".card").last.scroll_into_view_if_needed()
    page.wait_for_timeout(100)
    assert page.evaluate(LAID_OUT)[-1] is True


@pytest.mark.parametrize("width", [1280, 390])
def test_a_link_to_a_card_arrives_there(open_page: Open, built: Built, width: int) -> None:
    """At its top, though nothing between was laid out before; the last one may stand at the page's end."""
    page = open_page(built, REVIEW, width=width).page
    anchors: list[str] = page.eval_on_selector_all(".card", "all => all.map(one => one.id)")
    for anchor in anchors[::-1]:
        page.evaluate("window.scrollTo(0, 0)")
        page.locator(f"a[href='#{anchor}']").first.evaluate("link => link.click()")
        page.wait_for_timeout(600)
        top, left = page.evaluate(
            """anchor => [document.getElementById(anchor).getBoundingClientRect().top,
                 document.documentElement.scrollHeight - innerHeight - scrollY]""",
            anchor,
        )
        assert top == pytest.approx(8, abs=3) or left < 1, anchor


@pytest.mark.parametrize(("width", "pixels"), [(390, 800), (1280, 1600)])
def test_a_picture_is_fetched_in_the_one_size_that_its_screen_needs(
    open_page: Open, built: Built, width: int, pixels: int
) -> None:
    """What is there without a script is what the script shows: a telephone got a large one, and the small one too."""
    page = open_page(built, "pictures/M-7/T2/c1_gate.jpg.html", width=width).page
    page.locator(".layer image").wait_for(state="attached")
    under: str = page.locator(".base img").evaluate("one => one.currentSrc")
    over: list[str] = page.eval_on_selector_all(".layer image", "all => all.map(one => one.href.baseVal)")
    name = under.rpartition("/")[2]
    assert [name] == [each.rpartition("/")[2] for each in over]
    with Image.open(built.out / "assets" / name) as image:
        assert image.width == pixels


@pytest.mark.parametrize(("width", "pixels"), [(390, 800), (1280, 1600)])
def test_a_telephone_is_given_a_card_s_picture_in_small(
    open_page: Open, tmp_path: Path, width: int, pixels: int
) -> None:
    """Where it is large: on a wide screen all of it, on a narrow one half as many pixels to a side."""
    folder = catalogue(tmp_path / "catalogue")
    tags = folder / "moulds/M-7/trials/T2/tags"
    (tag,) = (each for each in tags.iterdir() if "500,600 560,520" in each.read_text(encoding="utf-8"))
    text = tag.read_text(encoding="utf-8")
    tag.write_text(text.replace("500,600 560,520 640,500", "300,600 800,520 1300,500"), encoding="utf-8")
    site = Built(tmp_path / "site", build_site(folder, tmp_path / "site"), folder)
    page = open_page(site, REVIEW, width=width).page
    picture = page.locator(".card img[srcset]").first
    picture.scroll_into_view_if_needed()
    page.wait_for_function("() => document.querySelector('.card img[srcset]').currentSrc")
    name = str(picture.evaluate("one => one.currentSrc")).rpartition("/")[2]
    with Image.open(site.out / "assets" / name) as image:
        assert image.width == pixels


def test_a_letter_of_the_index_waits_and_is_arrived_at(open_page: Open, built: Built) -> None:
    """An index has thousands of lines; the heading that a letter names stands at the window's top, or the page ends."""
    page = open_page(built, "search.html", width=390).page
    assert page.evaluate(LAID_OUT.replace(".card", ".az section"))[-1] is False
    page.locator(".letters-jump a").nth(-3).evaluate("link => link.click()")
    page.wait_for_timeout(600)
    top, left = page.evaluate(
        """() => [document.querySelector(':target').getBoundingClientRect().top,
             document.documentElement.scrollHeight - innerHeight - scrollY]"""
    )
    assert top == pytest.approx(8, abs=3) or left < 1


RULES = """text => { const sheet = new CSSStyleSheet(); sheet.replaceSync(text);
  return [...sheet.cssRules].map(rule => rule.cssText.replace(/, +/g, ',')); }"""


@pytest.mark.parametrize("name", ["style.css", "reference.css", "answer.css", "bench.css"])
def test_a_shortened_style_says_the_same(chromium: Browser, name: str) -> None:
    """Rule for rule, as the browser understands them; it tells a value with a variable as it was written."""
    page = chromium.new_page()
    text = (resources.templates() / name).read_text(encoding="utf-8")
    rules: list[str] = page.evaluate(RULES, text)
    assert len(rules) > 20
    assert page.evaluate(RULES, lean_style(text)) == rules
    page.close()


ELEMENTS = """text => { const whole = new DOMParser().parseFromString(text, 'text/html');
  const told = one => one.nodeType === 3 ? one.data.replace(/\\s+/g, ' ').trim() : one.nodeType !== 1 ? '' :
    [one.tagName, ...[...one.attributes].map(each => each.name + '=' + each.value), ...[...one.childNodes].map(told)]
      .filter(Boolean);
  return JSON.stringify(told(whole.documentElement)); }"""


def read_on(page: Page, path: Path) -> str:
    """All words of a page as they stand on the screen, those in closed details too."""
    page.goto(path.as_uri())
    page.eval_on_selector_all("*", "all => all.forEach(one => { one.style.contentVisibility = 'visible'; })")
    page.eval_on_selector_all("details", "all => all.forEach(one => { one.open = true; })")
    return str(page.evaluate("document.body.innerText"))


def test_pages_are_what_they_are_in_full(
    chromium: Browser, built: Built, hostile: Built, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same elements in the same places with the same words, of every page, whatever people wrote; and on the screen
    the same lines, with a space wherever there was one."""
    monkeypatch.setattr(typeset, "lean_template", lambda text: text)
    typeset._environment.cache_clear()
    try:
        page, shortened = chromium.new_page(), 0
        for number, site in enumerate((built, hostile)):
            for path, whole in build_site(site.folder, tmp_path / str(number)).items():
                if path.endswith(".html"):
                    full, lean = whole.body.decode("utf-8"), site.text(path)
                    shortened += len(re.findall("</t[dhr]>|</li>|</d[td]>", full)) > lean.count("</li>")
                    assert page.evaluate(ELEMENTS, lean) == page.evaluate(ELEMENTS, full), path
                    assert read_on(page, site.out / path) == read_on(page, tmp_path / str(number) / path), path
        page.close()
        assert shortened > 40
    finally:
        typeset._environment.cache_clear()
