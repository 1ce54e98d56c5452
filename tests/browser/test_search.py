"""Looking things up in the browser, from a folder without a server: what is found, by which letters, in which order."""

from typing import Any

import pytest

from portal import resources
from portal.site.fold import folded
from tests.browser.conftest import Open
from tests.site.conftest import Built

SEARCH = "search.html"
SCRIPT = (resources.templates() / "search.js").read_text(encoding="utf-8")
PURE = SCRIPT[: SCRIPT.index("(function () {\n  var finder")]


def found(page: Any, text: str) -> list[str]:
    """The names that are listed once that is typed."""
    page.fill("#query", text)
    names: list[str] = page.eval_on_selector_all("#hits a", "all => all.map(one => one.textContent)")
    return names


def test_the_ranking_knows_no_page() -> None:
    """It names neither document nor window."""
    code = PURE.split("*/", 1)[1]
    assert "document" not in code and "window" not in code


@pytest.mark.parametrize("text", ["Größe", "ÅNGSTRÖM", "Straße", "Œuvre", "ﬁn", "浇口", "ΆΛΦΑ", "İstanbul"])
def test_the_script_folds_as_the_index_is_sorted(open_page: Open, built: Built, text: str) -> None:
    """One folding in Python and in the browser."""
    page = open_page(built, SEARCH).page
    assert page.evaluate("text => PortalSearch.fold(text)", text) == folded(text)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("gate", "gate vestige"),
        ("VESTI gat", "gate vestige"),
        ("uberst", "Überstand am Anguss"),
        ("ueberstand", "Überstand am Anguss"),
        ("ÜBERSTAND", "Überstand am Anguss"),
        ("残留", "浇口残留"),
        ("0044-17", "0044-17"),
        ("ls-0007", "LS-0007"),
        ("7k3f", "7K3F"),
        ("h-sp", "H-SP"),
        ("bench", "bench-1"),
        ("probe ri", "Probe ring"),
    ],
)
def test_what_is_typed_finds_its_record_first(open_page: Open, built: Built, typed: str, name: str) -> None:
    """Beginnings of words in any order, without accents, in every language, by number."""
    opened = open_page(built, SEARCH)
    assert found(opened.page, typed)[0] == name
    assert opened.said == []


def test_every_word_has_to_be_found(open_page: Open, built: Built) -> None:
    """A further word narrows; where one is nowhere that is said, with what has the others."""
    page = open_page(built, SEARCH).page
    many, fewer = found(page, "gate"), found(page, "gate cavity 3")
    assert 0 < len(fewer) < len(many)
    assert found(page, "gate xyzzy") == many
    assert page.locator("#found-count").inner_text().startswith("Nothing has all of these words")


def test_each_page_is_listed_once(open_page: Open, built: Built) -> None:
    """A class that is found by its term and by a synonym stands once, by what fits best."""
    page = open_page(built, SEARCH).page
    page.fill("#query", "gate")
    hrefs = page.eval_on_selector_all("#hits a", "all => all.map(one => one.getAttribute('href'))")
    assert len(hrefs) == len(set(hrefs))


def test_keys_move_through_what_was_found_and_open_it(open_page: Open, built: Built) -> None:
    """Down into the list, up again to the field, Enter opens the best."""
    page = open_page(built, SEARCH).page
    page.focus("#query")
    page.keyboard.type("speck")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.textContent") == "black speck"
    page.keyboard.press("ArrowUp")
    assert page.evaluate("document.activeElement.id") == "query"
    page.keyboard.press("Enter")
    page.wait_for_url("**/defects/speck.html")


def test_a_search_can_be_passed_on_and_is_there_again_on_return(open_page: Open, built: Built) -> None:
    """It stands behind the page's address."""
    page = open_page(built, SEARCH).page
    page.focus("#query")
    page.keyboard.type("Überstand")
    page.keyboard.press("Enter")
    page.wait_for_url("**/defects/gate-vestige.html")
    page.go_back()
    page.wait_for_url("**/search.html#q=%C3%9Cberstand")
    assert page.input_value("#query") == "Überstand"
    assert page.locator("#hits a").first.inner_text() == "Überstand am Anguss"


def test_hostile_text_stays_text_in_what_was_found(open_page: Open, hostile: Built) -> None:
    """A name that is markup is listed as it is written, and the policy has nothing to say."""
    opened = open_page(hostile, SEARCH)
    page = opened.page
    names = found(page, "script")
    assert any('<script>document.title="gone"</script>' in name for name in names)
    assert page.evaluate("document.querySelectorAll('#hits script, #hits img').length") == 0
    assert page.title() != "gone"
    found(page, '<img src=x onerror=alert(1)> "{{')
    assert page.evaluate("document.querySelectorAll('#hits script, #hits img').length") == 0
    assert opened.said == []


def test_a_broken_address_searches_for_nothing(open_page: Open, built: Built) -> None:
    """Half an escape is no text."""
    opened = open_page(built, SEARCH)
    opened.page.evaluate("location.hash = '#q=%E4%'")
    opened.page.wait_for_timeout(100)
    assert opened.page.input_value("#query") == ""
    assert opened.said == []


def test_without_scripts_the_page_is_an_index_of_everything(open_page: Open, built: Built) -> None:
    """All entries stand under their letters, the field that would do nothing doesn't."""
    page = open_page(built, SEARCH, scripts=False).page
    assert not page.locator("#query").is_visible()
    assert page.locator(".az section:has(h2:text-is('U')) a").first.is_visible()
    assert page.locator(".az li").count() > 40


def test_where_no_record_has_every_word_those_with_the_most_are_shown(open_page: Open, built: Built) -> None:
    """Whoever doesn't know a name says how it looks in words of their own; short words stand for nothing."""
    opened = open_page(built, SEARCH)
    assert found(opened.page, "vestige zzzz of gate")[0] == "gate vestige"
    assert opened.page.locator("#found-count").inner_text().startswith("Nothing has all of these words")
    assert found(opened.page, "zzzz of yyyy") == []
    assert found(opened.page, "zzzz") == []
    assert opened.page.locator("#found-count").inner_text().startswith("Nothing found")


def test_a_class_is_found_by_its_look_together_with_any_of_its_names(open_page: Open, built: Built) -> None:
    """Each class has all of its terms with its description, and the way to its picture needs no word at all."""
    opened = open_page(built, SEARCH)
    assert found(opened.page, "浇口残留 torn") == ["gate vestige"]
    opened.page.locator(".by-look a").click()
    assert opened.page.url.endswith("catalogue.html#classes")
