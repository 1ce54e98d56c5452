"""What a reader's browser makes of the pages: no complaint, true bars, everything readable without scripts."""

import re
from io import BytesIO
from typing import Any

import pytest
from axe_core_python.sync_playwright import Axe
from pypdf import PdfReader

from tests.browser.conftest import Open
from tests.site.conftest import Built

REVIEW, PART, FRONT = "parts/PR-20/M-7-T2.html", "parts/PR-20/index.html", "index.html"
VERDICT = re.compile(r"(Conforms|Does not conform|Undecided|Not judged)\.")
PICTURE = "pictures/M-7/T2/c1_gate.jpg.html"
CLASS, STANDARD, SAMPLE = "defects/gate-vestige.html", "standards/house/3.html", "limit-samples/LS-0007.html"
SCOPE, CONTENTS, SEARCH = "scopes/bench-1.html", "catalogue.html", "search.html"
REFERENCE = [CLASS, STANDARD, SAMPLE, SCOPE, CONTENTS, SEARCH]
PAGES = [
    *REFERENCE,
    REVIEW,
    PART,
    FRONT,
    PICTURE,
    "pictures/M-7/T2/c2_top.jpg.html",
    "pictures/M-7/T2/c3_gate-1-41.jpg-9aa8af.html",
]
UM = 0.9
MAPPED = """() => [...document.querySelectorAll('.map')].filter(one => one.querySelector('[href="#z0"]')).map(one => {
  const edge = one.querySelector('.edge') || one.querySelector('use'), box = edge.getBoundingClientRect();
  const all = one.querySelector('img').getBoundingClientRect();
  const line = document.querySelector(`${edge.getAttribute('href')} use.zone`) || edge;
  return [[(box.x - all.x) / all.width, (box.y - all.y) / all.height, box.width / all.width, box.height / all.height],
    getComputedStyle(line).strokeDasharray]; })"""
"""Of each map of the first view where the outline lies on the picture, in shares of it, and how its line is broken."""


def um_of(label: str) -> float:
    """The length that a bar's label names, in µm."""
    number, unit = label.split(" ")
    return float(number) * {"mm": 1000.0, "in": 25_400.0}[unit]


@pytest.mark.parametrize("path", PAGES)
def test_no_console_message_and_every_picture_arrives(open_page: Open, built: Built, path: str) -> None:
    """The policy lets through all that a page needs, from a folder without a server."""
    opened = open_page(built, path)
    opened.page.wait_for_load_state("load")
    hrefs = opened.page.eval_on_selector_all("svg image", "all => all.map(one => one.href.baseVal)")
    loaded = opened.page.evaluate(
        """hrefs => Promise.all(hrefs.map(href => new Promise(done => {
             const one = new Image(); one.onload = () => done(one.naturalWidth > 0); one.onerror = () => done(false);
             one.src = href; })))""",
        hrefs,
    )
    assert all(loaded)
    assert opened.said == []


def test_the_pictures_bar_is_as_long_as_its_label_at_three_zooms(open_page: Open, built: Built) -> None:
    """Pixels of the bar over the zoom, times the calibrated µm per pixel, is what the label says."""
    page = open_page(built, PICTURE).page
    for action in (None, "in", "full"):
        if action:
            page.click(f"[data-do={action}]")
        found: dict[str, Any] = page.evaluate(
            """() => { const bar = document.querySelector('.livebar'), len = bar.querySelector('.len'),
                 stage = document.querySelector('.stage');
               return { px: len.getBoundingClientRect().width, label: bar.querySelector('.txt').textContent,
                 shown: stage.getBoundingClientRect().width, pane: stage.parentElement.clientWidth }; }"""
        )
        screen_px_per_um = found["shown"] / (1600 * UM)
        assert found["px"] == pytest.approx(um_of(found["label"]) * screen_px_per_um, abs=0.5)
        seen = min(found["pane"], found["shown"])
        assert found["px"] <= seen / 2 + 0.5


@pytest.mark.parametrize("path", [REVIEW, FRONT, PART, STANDARD])
def test_no_border_lies_on_the_papers_edge(open_page: Open, built: Built, path: str) -> None:
    """Printing cuts it there: of the thick line on the right a hair was left."""
    page = open_page(built, path).page
    page.set_viewport_size({"width": 703, "height": 900})
    page.emulate_media(media="print")
    beyond = page.evaluate(
        """() => { const paper = document.querySelector('.paper').getBoundingClientRect();
             return [...document.querySelectorAll('.block, .card, .ledger, .contact, .matrix')]
               .map(one => one.getBoundingClientRect()).filter(box => box.width)
               .map(box => Math.min(paper.right - box.right, box.left - paper.left)).filter(room => room < 1); }"""
    )
    assert beyond == []


@pytest.mark.parametrize("width", [1280, 390])
def test_the_bars_of_cards_are_as_long_as_their_labels(open_page: Open, built: Built, width: int) -> None:
    """A bar's share of its drawing's width is its label's share of the field."""
    page = open_page(built, REVIEW, width=width).page
    found: list[dict[str, Any]] = page.evaluate(
        """() => [...document.querySelectorAll('svg.field:has(.scale use)')].map(one => ({
             px: one.querySelector('.scale use').getBoundingClientRect().width,
             label: one.querySelector('.scale text').textContent,
             shown: one.getBoundingClientRect().width,
             field: one.querySelector('.pixels').viewBox.baseVal.width }))"""
    )
    assert len(found) >= 8
    for each in found:
        assert each["px"] == pytest.approx(um_of(each["label"]) / each["field"] * each["shown"], abs=0.5)
        assert each["shown"] / 5 - 0.5 <= each["px"] <= each["shown"] / 2 + 0.5


def test_pictures_of_one_card_are_at_the_same_scale_on_the_screen(open_page: Open, built: Built) -> None:
    """Screen pixels per µm agree within a thousandth, to the right and down, in the pixels that are drawn."""
    page = open_page(built, REVIEW).page
    found: list[list[float]] = page.evaluate(
        """() => [...document.querySelectorAll('#f-7K3F svg.field')].map(one => {
             const box = one.getBoundingClientRect(), field = one.querySelector('.pixels').viewBox.baseVal;
             return [box.width / field.width, box.height / field.height]; })"""
    )
    assert len(found) == 3
    flat = [scale for pair in found for scale in pair]
    assert max(flat) == pytest.approx(min(flat), rel=1e-3)


@pytest.mark.parametrize("path", [REVIEW, PART])
def test_outlines_lie_on_their_picture_in_every_map(open_page: Open, built: Built, path: str) -> None:
    """Zone B of the gate's profile, 240 × 210 pixels of 800 × 600; the emphasised one has an unbroken line."""
    maps = open_page(built, path).page.evaluate(MAPPED)
    assert maps
    for found, stroke in maps:
        assert found == pytest.approx([280 / 800, 190 / 600, 240 / 800, 210 / 600], abs=0.002)
        assert stroke == ("none" if path == REVIEW else "5px, 4px")


@pytest.mark.parametrize("width", [1280, 700, 390, 340])
def test_labels_of_rulers_never_meet_and_stay_in_their_card(open_page: Open, built: Built, width: int) -> None:
    """Measured in the browser, in its own font."""
    page = open_page(built, REVIEW, width=width).page
    rulers: list[list[list[float]]] = page.evaluate(
        """() => [...document.querySelectorAll('.ruler')].filter(one => one.getBoundingClientRect().width).map(one => {
             const card = one.closest('.card').getBoundingClientRect();
             const texts = [...one.querySelectorAll('text')].map(text => text.getBoundingClientRect());
             return [[card.left, card.top, card.right, card.bottom],
               ...texts.map(box => [box.left, box.top + 3, box.right, box.bottom - 3])]; })"""
    )
    assert rulers
    for card, *boxes in rulers:
        for number, one in enumerate(boxes):
            assert card[0] <= one[0] and one[2] <= card[2]
            for other in boxes[number + 1 :]:
                apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
                assert apart, (one, other)


@pytest.mark.parametrize("path", [REVIEW, PART, FRONT, PICTURE, *REFERENCE])
def test_nothing_sticks_out_on_a_phone(open_page: Open, built: Built, path: str) -> None:
    """The page is as wide as the screen; only tables scroll by themselves."""
    page = open_page(built, path, width=360).page
    assert page.evaluate("document.documentElement.scrollWidth") == 360


def test_without_scripts_the_page_reads_in_full(open_page: Open, built: Built) -> None:
    """Verdicts, both limit samples, the bar and the picture are there; tools that need a script are not."""
    review = open_page(built, REVIEW, scripts=False).page
    card = review.locator("#f-7K3F")
    assert card.locator("svg.field").count() == 3
    card.scroll_into_view_if_needed()
    card.get_by_text("Undecided.").first.wait_for()
    assert not card.locator("button").first.is_visible()
    picture = open_page(built, PICTURE, scripts=False).page
    assert picture.locator("svg.base").is_visible() and picture.locator(".still .scale text").is_visible()
    assert not picture.locator(".tools").is_visible()


def test_a_limit_sample_can_be_laid_over_the_part_and_taken_away(open_page: Open, built: Built) -> None:
    """It lies exactly over the part's field, and is off until asked for."""
    opened = open_page(built, REVIEW)
    card = opened.page.locator("#f-7K3F")
    assert card.locator(".laid").count() == 0
    card.locator(".lay button").first.click()
    under, over = (card.locator(f".this {name}").first for name in (".pixels:not(.laid)", ".laid"))
    field = (under.get_attribute("viewBox") or "").split()
    assert [over.get_attribute(name) for name in ("x", "y", "width", "height")] == field
    assert under.get_attribute("preserveAspectRatio") == over.get_attribute("preserveAspectRatio")
    assert over.locator("path").count() == 0 and under.locator("> path").count() > 0
    boxes = [under.bounding_box(), over.bounding_box()]
    assert boxes[0] == pytest.approx(boxes[1], abs=1.0)
    card.locator(".lay button").last.click()
    assert card.locator(".laid").count() == 1
    card.locator(".lay button").last.click()
    assert card.locator(".laid").count() == 0
    assert opened.said == []


def test_hostile_texts_run_nothing(open_page: Open, hostile: Built) -> None:
    """A script in a name is text on the page and in its title."""
    opened = open_page(hostile, REVIEW)
    assert opened.page.title() != "gone"
    assert "<script>document.title" in opened.page.locator("h1").inner_text()
    assert opened.said == []


@pytest.mark.parametrize(
    ("path", "scheme"),
    [
        *((REVIEW, "light"), (REVIEW, "dark"), (PART, "light"), (FRONT, "dark"), (PICTURE, "light")),
        *((CLASS, "dark"), (STANDARD, "light"), (STANDARD, "dark"), (SAMPLE, "light"), (SCOPE, "dark")),
        *((CONTENTS, "light"), (SEARCH, "light"), (SEARCH, "dark")),
    ],
)
def test_axe_finds_nothing(open_page: Open, built: Built, path: str, scheme: str) -> None:
    """WCAG 2.2 level A and AA rules of axe-core."""
    page = open_page(built, path, scheme=scheme).page
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
    assert [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in found["violations"]] == []


def test_targets_of_buttons_and_main_links_are_large_enough(open_page: Open, built: Built) -> None:
    """Buttons and the disclosure are 44 pixels high."""
    page = open_page(built, REVIEW, width=390).page
    heights: list[float] = page.eval_on_selector_all(
        ".card button, .card summary", "all => all.map(one => one.getBoundingClientRect().height)"
    )
    assert heights and min(heights) >= 44


def test_a_printed_standard_is_a4_with_numbered_pages_and_lines_to_sign(open_page: Open, built: Built) -> None:
    """Every page carries the standard's name and revision and its own number of how many."""
    page = open_page(built, STANDARD).page
    reader = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    texts = [" ".join(each.extract_text().split()) for each in reader.pages]
    for number, (each, text) in enumerate(zip(reader.pages, texts, strict=True), start=1):
        assert [float(side) for side in each.mediabox[2:]] == pytest.approx([595, 842], abs=1.5)
        assert "House standard, revision 3, in force from 12 January 2026" in text
        assert f"{number} / {len(texts)}" in text
    assert len(texts) > 1 and "Signature" in texts[-1] + texts[-2]


def test_a_budget_is_printed_where_it_is_open_or_all_are_wanted(open_page: Open, built: Built) -> None:
    """Closed it costs no paper: its largest term stands in the card's own line; the tools are no use on paper."""
    page = open_page(built, REVIEW).page
    page.emulate_media(media="print")
    budgets = page.locator(".card .reckoning")
    assert budgets.count() > 1
    assert [each.is_visible() for each in budgets.all()] == [False] * budgets.count()
    assert page.locator("#f-7K3F .facts").get_by_text("Largest contribution").is_visible()
    assert not page.locator("#f-7K3F .lay").first.is_visible()
    assert not page.locator(".paper-choice").is_visible()
    page.emulate_media(media="screen")
    page.locator("#f-7K3F details.how summary").first.click()
    page.emulate_media(media="print")
    assert [each.is_visible() for each in budgets.all()].count(True) == page.locator("#f-7K3F .reckoning").count()
    page.emulate_media(media="screen")
    page.locator("#print-all").check()
    page.emulate_media(media="print")
    assert [each.is_visible() for each in budgets.all()] == [True] * budgets.count()


def test_a_printed_review_names_itself_on_every_page_and_counts_them(open_page: Open, built: Built) -> None:
    """The running line and the marking stand above, the page's number below; no card's head is cut from its verdict."""
    page = open_page(built, REVIEW).page
    title = page.title()
    reader = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    texts = [" ".join(each.extract_text().split()) for each in reader.pages]
    marking = page.locator(".marking").inner_text().strip().splitlines()[-1]
    for number, text in enumerate(texts, start=1):
        assert title in text and marking in text
        assert f"{number} / {len(texts)}" in text
    for card in page.locator(".card").all():
        finding = (card.get_attribute("id") or "").removeprefix("f-")
        headed = [text for text in texts if f"finding {finding}, piece" in text]
        assert len(headed) == 1 and VERDICT.search(headed[0].split(f"finding {finding}, piece")[1]), finding


def test_a_picture_is_printed_whole_wherever_it_was_moved_to(open_page: Open, built: Built) -> None:
    """As wide as the paper, at its own height, with the bar that belongs to that width."""
    page = open_page(built, PICTURE).page
    page.click("[data-do=full]")
    page.emulate_media(media="print")
    window, base = page.locator(".window").bounding_box(), page.locator(".stage > svg.base").bounding_box()
    assert window is not None and base is not None
    assert (base["x"], base["y"]) == pytest.approx((window["x"], window["y"]), abs=1)
    assert (base["width"], base["height"]) == pytest.approx((window["width"], window["height"]), abs=1)
    assert page.locator(".still").is_visible() and not page.locator(".livebar").is_visible()
