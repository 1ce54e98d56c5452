"""What is around the one file: a browser that keeps or keeps nothing, no network, no scripts, a zip's preview."""

import re
from pathlib import Path

from playwright.sync_api import Browser

from portal.inbox.answerfile import read_answer_file
from portal.model.event import check_code
from portal.model.terms import Answer
from portal.site.onefile import EXTRACTED, held_by, one_file
from tests.browser.reviewer import OpenFile, fill_all, made, path_of
from tests.site.sentreview import Store
from tests.site.test_onefile import HOSTILE


def test_what_was_entered_is_offered_again_after_a_reload(opened: OpenFile, store: Store) -> None:
    """Nothing is filled in until it is taken up; then all of it, own questions with their pins too."""
    reviewer = opened(store)
    page = reviewer.page
    fill_all(reviewer)
    page.click("#f-7K3F .plates .spot .field", position={"x": 60, "y": 40})
    page.fill("#f-7K3F .own-question textarea", "What is this?")
    before = reviewer.text()
    reviewer.wait_until_kept("What is this?")
    page.reload()
    page.wait_for_selector(".offer:visible")
    assert re.search(r"\b\d{1,2} [A-Z][a-z]+ \d{4}\b", page.inner_text(".kept"))  # no month before its day
    assert page.locator("input:checked").count() == 0
    assert page.is_disabled("[name='1.letter'][value='C']")
    page.click("text=Take them up again")
    assert reviewer.text() == before
    assert page.is_hidden(".offer")
    assert page.locator("#f-7K3F .plates .pin text").text_content() == "1"
    page.reload()
    page.click("text=Discard them, start afresh")
    assert page.locator("input:checked").count() == 0
    page.reload()
    page.wait_for_selector("html.live", state="attached")
    assert page.is_hidden(".offer")


def test_a_browser_that_keeps_nothing_says_so_at_once(opened: OpenFile, store: Store) -> None:
    """In a sandbox, as mail programs and viewers put around it; saving works all the same."""
    (store.folder / "around.html").write_text(
        '<iframe sandbox="allow-scripts allow-downloads" width="1200" height="800" src="review.html"></iframe>'
    )
    reviewer = opened(store)
    assert reviewer.page.is_hidden(".no-storage")
    reviewer.page.goto((store.folder / "around.html").as_uri())
    frame = reviewer.page.frame_locator("iframe")
    frame.locator(".no-storage").wait_for(state="visible")
    frame.locator("[name='2.letter'][value='A']").check()
    frame.locator("[name='who.name']").fill("K. Ammerlund")
    with reviewer.page.expect_download() as waiting:
        frame.locator("text=Save my answers").click()
    file = read_answer_file(Path(waiting.value.path()).read_bytes())
    assert [(each.number, each.letter) for each in file.answers] == [(2, Answer.INSIDE)]


def test_nothing_but_the_file_itself_is_fetched_and_the_policy_is_never_touched(
    opened: OpenFile, store: Store, tmp_path: Path
) -> None:
    """Every picture of it arrives; hostile texts change neither."""
    for each in (store, made(Store(tmp_path, text=HOSTILE))):
        reviewer = opened(each)
        page = reviewer.page
        loaded = page.evaluate(
            """() => Promise.all([...document.querySelectorAll('defs image')].map(one => new Promise(done => {
                 const image = new Image(); image.onload = () => done(image.naturalWidth > 0);
                 image.onerror = () => done(false); image.src = one.href.baseVal; })))"""
        )
        assert len(loaded) == 4 and all(loaded)
        reviewer.choose("2.letter", "A")
        reviewer.write("2.words", "x")
        assert [url for url in reviewer.fetched if not url.startswith("data:")] == [path_of(each).as_uri()]
        assert reviewer.said == []
        assert "Lens collar" in page.title() and page.title() != "gone"


def test_without_scripts_all_questions_and_codes_read_and_the_reply_is_explained(
    opened: OpenFile, store: Store
) -> None:
    """No field stands there that would lose what is typed into it."""
    page = opened(store, scripts=False).page
    text = page.inner_text("body")
    for ask in store.shown.asks:
        assert ask.question in text
        shown = page.inner_text(f"#ask-{ask.number} .choices")
        for letter in ask.letters:
            assert letter.letter in shown and letter.meaning in shown
    assert page.locator("input:visible:not(#print-all), textarea:visible, select:visible, button:visible").count() == 0
    assert page.is_visible(".unlive")
    for line in ("1 A", "2 C qty 500 ref DEV-118", "3 ? which side", check_code(store.sent.digest)):
        assert line in text


def test_a_page_looked_at_inside_a_zip_says_to_extract_it_first(
    chromium: Browser, store: Store, tmp_path: Path
) -> None:
    """A preview shows a page without what lies beside it; no script is needed, and an extracted page is quiet."""
    alone, folder = tmp_path / "alone", tmp_path / "extracted"
    for each in (alone, folder):
        each.mkdir()
        held = held_by(store.shown, store.pictures)
        (each / "review.html").write_bytes(one_file(store.shown, held, sent=store.sent, in_folder=True))
    name, content = EXTRACTED
    (folder / name).write_bytes(content)
    for place, is_told in ((alone, True), (folder, False)):
        for scripts in (True, False):
            context = chromium.new_context(java_script_enabled=scripts, viewport={"width": 390, "height": 844})
            page = context.new_page()
            page.goto((place / "review.html").as_uri())
            notice = page.get_by_text("Extract the whole zip into a folder")
            assert notice.is_visible() is is_told
            assert notice.count() == 1
            context.close()
    assert b"not-extracted" not in path_of(store).read_bytes().partition(b"<body")[2]
