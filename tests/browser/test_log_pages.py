"""Pages that tell what the log says, in a real browser."""

from pathlib import Path

import pytest
from axe_core_python.sync_playwright import Axe
from pypdf import PdfReader

from tests.browser.conftest import Open
from tests.site.conftest import Built
from tests.tasks.answered import LIVE, answered_catalogue, built, sent_path
from tests.tasks.judged import ENGINEER, PART
from tests.tasks.typed import typed

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}


@pytest.fixture(scope="module")
def logged(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The site of a catalogue with an answered review and a closed matter."""
    folder = answered_catalogue(tmp_path_factory.mktemp("logged") / "c")
    words = ("--finding", "7K3F", "--shop", "--disposition", "rework", "--why", "polish the insert", "--by", ENGINEER)
    assert typed("record", folder, "--part", PART, *words).code == 0
    return Built(built(folder).out, {}, folder)


def paths(site: Built) -> list[str]:
    """Front page, part, trial, sent review, record."""
    (record,) = (site.out / "parts" / PART / "records").glob("*/index.html")
    pages = ["index.html", f"parts/{PART}/index.html", LIVE, sent_path(site.folder)]
    return [*pages, record.relative_to(site.out).as_posix()]


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (390, "dark")])
def test_pages_of_the_log_are_accessible_and_fit_their_screen(
    open_page: Open, logged: Built, width: int, scheme: str
) -> None:
    """WCAG 2.2 level A and AA as axe-core checks them, nothing wider than the screen, nothing in the console."""
    for path in paths(logged)[::2] if width > 1000 else paths(logged)[1::2]:
        opened = open_page(logged, path, width=width, scheme=scheme)
        found = Axe().run(opened.page, options=RULES)["violations"]
        assert [(each["id"], each["nodes"][0]["html"]) for each in found] == [], path
        assert opened.page.evaluate("document.documentElement.scrollWidth") <= width, path
        assert opened.said == [], path


def test_on_a_narrow_screen_what_is_owed_comes_before_the_day(open_page: Open, logged: Built) -> None:
    """Each line is read from above: what, then since when and of which part; no column is cut off."""
    page = open_page(logged, "index.html", width=390).page
    row = page.locator(".waiting tbody tr").first
    what, day = row.locator(".what").bounding_box(), row.locator(".day").first.bounding_box()
    assert what and day
    assert what["y"] < day["y"]
    assert page.locator(".waiting thead").first.is_hidden()


def test_a_record_prints_with_its_question_and_its_picture(open_page: Open, logged: Built, tmp_path: Path) -> None:
    """On paper: A4, the picture as it was shown, the entries it rests on."""
    out = tmp_path / "record.pdf"
    open_page(logged, paths(logged)[-1]).page.pdf(path=str(out), format="A4")
    text = " ".join(page.extract_text() for page in PdfReader(out).pages)
    assert "polish the insert" in text
    assert "answers-received" in text
    assert any(page.images for page in PdfReader(out).pages)
