"""Asking and noting in Chromium: about the picture, and about a spot by a click or by keys."""

import re
import threading
from collections.abc import Iterator
from pathlib import Path
from queue import Queue
from typing import Any

import pytest
from axe_core_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from portal.bench.run import run_bench
from portal.log import fold, read
from tests.tasks.judged import PART
from tests.tasks.packing import ready_catalogue

PATIENCE_MS = 30_000


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A bench over a catalogue whose customer can be asked."""
    folder = ready_catalogue(tmp_path_factory.mktemp("talk") / "c")
    said: Queue[str] = Queue()
    threading.Thread(target=run_bench, args=(folder,), kwargs={"ready": said.put}, daemon=True).start()
    return folder, said.get(timeout=60)


@pytest.fixture
def page(served: tuple[Path, str], chromium: Browser) -> Iterator[Page]:
    """A picture open, an engineer at it, the part for asking unfolded."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE_MS)
    expect.set_options(timeout=PATIENCE_MS)
    told: list[str] = []
    opened = context.new_page()
    opened.on("console", lambda message: told.append(message.text))
    opened.on("pageerror", lambda error: told.append(str(error)))
    opened.goto(served[1])
    opened.click("[data-by=first-engineer]")
    opened.click("#trial-list button")
    opened.click("#strip button:has-text('c1_top')")
    expect(opened.locator("#strip [aria-current=true]")).to_contain_text("c1_top")
    opened.click("#talk summary")
    yield opened
    assert [each for each in told if "422" not in each] == []
    context.close()


def events(folder: Path) -> list[Any]:
    """What the part's log holds."""
    return [each.event for each in fold(PART, read(folder, PART).events).events]


def test_a_spot_is_asked_about_and_draws_nothing_else(served: tuple[Path, str], page: Page) -> None:
    """A click points; the same click is no point of a finding. What was asked stands there, and on the picture."""
    before = len(events(served[0]))
    page.check("#talk-form [name=of][value=spot]")
    expect(page.locator("#talk-spot")).to_contain_text("Click the spot")
    box = page.locator("#window").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator("#talk-spot")).to_contain_text("The spot at 160, ")
    for what, called in (("shop", "Note"), ("ask", "Question")):
        page.select_option("#talk-form [name=what]", what)
        expect(page.locator("#ink text", has_text=re.compile(rf"^{called}$"))).to_have_count(1)
    page.fill("#talk-form [name=words]", "What is this?")
    page.click("#talk-write")
    expect(page.locator("#talk-list")).to_contain_text("What is this?")
    asked = events(served[0])[before:]
    assert [(each.kind, each.about.picture.rpartition("/")[2]) for each in asked] == [("question-asked", "c1_top.jpg")]
    assert asked[0].about.spot.startswith("160")
    assert page.locator("#ink .mine .vertex").count() == 0
    expect(page.locator("#ink text", has_text="Question 1")).to_have_count(1)
    expect(page.locator("#talk-list")).to_contain_text("Question 1")


def test_a_refusal_keeps_the_words_and_a_note_is_written(served: tuple[Path, str], page: Page) -> None:
    """Two questions at once are refused with the reason; the same words may be a note."""
    before = len(events(served[0]))
    page.fill("#talk-form [name=words]", "Is it sound? And how high?")
    page.click("#talk-write")
    expect(page.locator("#talk-refused")).to_contain_text("may ask two things")
    expect(page.locator("#talk-refused")).to_contain_text(page.inner_text("label.tick:has([name=as_it_is])").strip())
    assert page.input_value("#talk-form [name=words]") == "Is it sound? And how high?"
    page.select_option("#talk-form [name=what]", "shop")
    page.click("#talk-write")
    expect(page.locator("#talk-list")).to_contain_text("And how high?")
    assert [each.kind for each in events(served[0])[before:]] == ["comment-made"]
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]})
    assert [each["id"] for each in found["violations"]] == []


def test_keys_alone_point_at_a_spot(served: tuple[Path, str], page: Page) -> None:
    """The cross is moved, the space bar points."""
    page.focus("#talk-form [name=of][value=picture]")
    page.keyboard.press("ArrowDown")
    page.focus("#window")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    expect(page.locator("#talk-spot")).to_contain_text("The spot at")
    expect(page.locator("#talk-form [name=words]")).to_be_focused()
    assert page.locator("#ink .mine .vertex").count() == 0


def test_on_a_telephone_the_picture_comes_for_the_spot_and_the_words_after_it(
    served: tuple[Path, str], chromium: Browser
) -> None:
    """They lie far from each other; nobody looks for either."""
    context = chromium.new_context(viewport={"width": 390, "height": 844}, has_touch=True, reduced_motion="reduce")
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    page.goto(served[1])
    page.tap("[data-by=first-inspector]")
    page.tap("#trial-list button")
    page.wait_for_selector("#classes button")
    page.tap("#talk summary")
    page.tap("#talk-form label:has([value=spot])")
    expect(page.locator("#window")).to_be_in_viewport(ratio=0.9)
    box = page.locator("#window").bounding_box()
    assert box is not None
    expect(page.locator("#how")).to_contain_text("Click the spot")
    page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator("#talk-form [name=words]")).to_be_focused()
    expect(page.locator("#talk-form [name=words]")).to_be_in_viewport()
    page.locator("#strip button:not([aria-current=true])").first.tap()
    expect(page.locator("#how")).not_to_contain_text("Click the spot")
    expect(page.locator("#talk-form [value=picture]")).to_be_checked()
    context.close()


def test_who_is_no_engineer_notes_and_is_told_why(served: tuple[Path, str], chromium: Browser) -> None:
    """The question can't be chosen."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800})
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    page.goto(served[1])
    page.click("[data-by=first-inspector]")
    page.click("#trial-list button")
    expect(page.locator("#strip [aria-current=true]")).to_be_visible()
    page.click("#talk summary")
    expect(page.locator("#talk-may")).to_be_visible()
    assert page.input_value("#talk-form [name=what]") == "shop"
    expect(page.locator("#talk-form [value=ask]")).to_be_disabled()
    context.close()
