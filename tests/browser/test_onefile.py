"""The one file in a reader's browser: answered by keys, kept, saved, copied, mailed; read without scripts."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from axe_core_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page

from portal.inbox.answerfile import read_answer_file
from portal.log.reply import read_reply
from portal.model.answer import AgreedLimit, Bound, Concession, Evidence, Given, HoldsFrom, LookedAt
from portal.model.answerfile import AnswerFile
from portal.model.event import check_code
from portal.model.reply import Asked
from portal.model.sample import Side
from portal.model.terms import Answer
from portal.site.onefile import EXTRACTED, held_by, one_file
from portal.tasks.screening import from_file
from tests.browser.conftest import PATIENCE_MS
from tests.site.sentreview import Store
from tests.site.test_onefile import HOSTILE


@pytest.fixture(scope="session")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    """A small review, with its file beside its pictures."""
    return made(Store(tmp_path_factory.mktemp("sent")))


def made(store: Store) -> Store:
    """The store, with its one file written."""
    path_of(store).write_bytes(one_file(store.shown, held_by(store.shown, store.pictures), sent=store.sent))
    return store


def path_of(store: Store) -> Path:
    """Where the file lies."""
    return store.folder / "review.html"


def asked(store: Store) -> dict[int, Asked]:
    """What the review asked, as the log would tell it."""
    bases = {each.id: each.basis for each in store.shown.findings}
    return {
        each.number: Asked(
            each.number,
            each.ask,
            each.kind,
            tuple(letter.letter for letter in each.letters),
            tuple(Bound(finding=one, basis=bases[one]) for one in each.findings),
        )
        for each in store.shown.asks
    }


class Reviewer:
    """Somebody with the file open, and what the browser said and fetched meanwhile."""

    def __init__(self, context: BrowserContext, path: Path, *, plain: bool = False) -> None:
        self.said: list[str] = []
        self.fetched: list[str] = []
        self.page: Page = context.new_page()
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.fetched.append(request.url))
        self.page.goto(path.as_uri())
        if not plain:
            self.page.wait_for_selector("html.live", state="attached")

    def choose(self, name: str, value: str) -> None:
        """Tick or choose."""
        self.page.check(f"[name='{name}'][value='{value}']")

    def write(self, name: str, text: str) -> None:
        """Fill in a field."""
        self.page.fill(f"[name='{name}']", text)

    def text(self) -> str:
        """The answers as text."""
        return self.page.input_value("#as-text")

    def save(self) -> AnswerFile:
        """Save, and read the file as the shop will."""
        with self.page.expect_download() as waiting:
            self.page.click("text=Save my answers")
        return read_answer_file(Path(waiting.value.path()).read_bytes())

    def wait_until_kept(self, text: str) -> None:
        """Until the browser has kept that text."""
        for _ in range(600):
            if text in self.page.evaluate("JSON.stringify(localStorage)"):
                return
            self.page.wait_for_timeout(100)
        raise AssertionError(f"`{text}` wasn't kept")

    def tab_to(self, selector: str) -> None:
        """Press Tab until a control has the focus."""
        for _ in range(200):
            self.page.keyboard.press("Tab")
            if self.page.evaluate("selector => document.activeElement.matches(selector)", selector):
                return
        raise AssertionError(f"{selector} isn't reached by Tab")


OpenFile = Callable[..., Reviewer]


@pytest.fixture
def opened(chromium: Browser) -> Iterator[OpenFile]:
    """Opens a review's file; every context is closed afterwards."""
    contexts: list[BrowserContext] = []

    def opening(
        store: Store, *, width: int = 1280, scale: int = 1, scheme: str = "light", scripts: bool = True
    ) -> Reviewer:
        context = chromium.new_context(
            viewport={"width": width, "height": 900 // scale},
            device_scale_factor=scale,
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=scripts,
        )
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        return Reviewer(context, path_of(store), plain=not scripts)

    yield opening
    for context in contexts:
        context.close()


def fill_all(reviewer: Reviewer) -> None:
    """Answer all four questions of the review, with all that a reply in text can say too."""
    reviewer.choose("1.letter", "C")
    reviewer.choose("1.left_out", "7K3G")
    reviewer.write("1.words", "Hidden once\nbuilt in")
    reviewer.write("1.concession.quantity", "500")
    reviewer.write("1.concession.lots", "4711, 4712")
    reviewer.write("1.concession.until", "2026-05-01")
    reviewer.write("1.concession.reference", "DEV-118")
    reviewer.page.select_option("[name='1.looked_at']", "piece in hand")
    reviewer.choose("2.letter", "B")
    reviewer.write("2.words", "the rim can be felt")
    reviewer.page.select_option("[name='2.keep.7K3G']", "first bad")
    reviewer.choose("3.letter", "A")
    reviewer.write("3.limit.limit", "0.15 mm")
    reviewer.write("3.limit.condition", "at 20x, ring light")
    reviewer.page.select_option("[name='3.limit.holds']", "this trial only")
    reviewer.write("4.words", "The flange is bonded")


def bound(store: Store, *findings: str) -> tuple[Bound, ...]:
    """Findings with the digests that were shown."""
    return tuple(each for ask in asked(store).values() for each in ask.findings if each.finding in findings)[
        : len(findings)
    ]


def expected(store: Store) -> tuple[Given, ...]:
    """What `fill_all` answers."""
    ask = asked(store)
    concession = Concession(
        justification="Hidden once\nbuilt in",
        lots="4711, 4712",
        quantity="500",
        until="2026-05-01",
        reference="DEV-118",
    )
    limit = AgreedLimit(limit="0.15 mm", condition="at 20x, ring light", holds=HoldsFrom.THIS_TRIAL)
    return (
        Given(number=1, ask=ask[1].ask, letter=Answer.CONCESSION, findings=bound(store, "7K3F"), left_out=("7K3G",),
              looked_at=LookedAt.PIECE, concession=concession),
        Given.model_validate({"number": 2, "ask": ask[2].ask, "letter": "B", "findings": bound(store, "7K3G"),
                              "comment": "the rim can be felt", "keep": [{"finding": "7K3G", "side": Side.FIRST_BAD}]}),
        Given(number=3, ask=ask[3].ask, letter=Answer.INSIDE, findings=bound(store, "7K3F"), limit=limit),
        Given(number=4, ask=ask[4].ask, words="The flange is bonded"),
    )  # fmt: skip


def test_it_is_answered_by_keys_alone_and_the_saved_file_says_so(opened: OpenFile, store: Store) -> None:
    """From the page's beginning to the saved file without a mouse; the shop takes every answer."""
    reviewer = opened(store)
    keys = reviewer.page.keyboard
    reviewer.tab_to("[data-do='next']")
    keys.press("Enter")
    assert reviewer.page.evaluate("document.activeElement.name") == "1.letter"
    keys.press("Space")
    assert reviewer.page.is_checked("[name='1.letter'][value='B']")
    reviewer.tab_to("[name='1.words']")
    keys.type("seen at once")
    reviewer.tab_to("[name='2.letter']")
    keys.press("Space")
    keys.press("ArrowDown")
    keys.press("ArrowDown")
    keys.press("ArrowDown")
    reviewer.tab_to("[name='2.evidence'][value='other light']")
    keys.press("Space")
    reviewer.tab_to("[name='who.name']")
    keys.type("K. Ammerlund")
    reviewer.tab_to("[data-do='save']")
    with reviewer.page.expect_download() as waiting:
        keys.press("Enter")
    assert waiting.value.suggested_filename == f"answers-{check_code(store.sent.digest)}.json"
    file = read_answer_file(Path(waiting.value.path()).read_bytes())
    screened = from_file(file.answers, asked(store))
    assert screened.unclear == ()
    assert [(each.number, each.letter, each.comment, each.evidence) for each in screened.answers] == [
        (1, Answer.OUTSIDE, "seen at once", ()),
        (2, Answer.MORE_EVIDENCE, None, (Evidence.OTHER_LIGHT,)),
    ]
    assert (file.answers_to, file.answered_by.name, file.code_fits) == (store.sent.digest, "K. Ammerlund", True)
    assert "3, 4" in reviewer.page.inner_text(".outcome")
    assert reviewer.said == []


def test_all_that_can_be_answered_is_in_the_saved_file(opened: OpenFile, store: Store) -> None:
    """Each field where the record has it, and nothing else."""
    reviewer = opened(store)
    fill_all(reviewer)
    reviewer.write("own", "Which resin?")
    for name, text in (("name", "K. Ammerlund"), ("organisation", "Brindelaar Optics"), ("role", "quality")):
        reviewer.write(f"who.{name}", text)
    file = reviewer.save()
    assert file.answers == expected(store)
    assert from_file(file.answers, asked(store)).answers == expected(store)
    assert [each.question for each in file.questions] == ["Which resin?"]
    assert (file.answered_by.organisation, file.answered_by.role) == ("Brindelaar Optics", "quality")


def test_the_copied_text_decides_the_same_as_the_saved_file(opened: OpenFile, store: Store) -> None:
    """Read as a plain reply; only line ends within words are blanks there."""
    reviewer = opened(store)
    fill_all(reviewer)
    reviewer.write("own", "Which resin?")
    reviewer.write("who.name", "K. Ammerlund")
    reviewer.write("who.role", "quality")
    reply = read_reply(reviewer.text(), asked(store))
    assert reply.unclear == ()
    in_file = json.dumps([each.model_dump(mode="json") for each in expected(store)])
    assert [each.model_dump(mode="json") for each in reply.answers] == json.loads(in_file.replace("\\n", " "))
    assert ([each.question for each in reply.questions], reply.answered_by) == (["Which resin?"], "K. Ammerlund")
    reviewer.page.click("text=Copy as text")
    reviewer.page.locator(".outcome:not(:empty)").wait_for()
    reviewer.page.focus("[name='own']")
    reviewer.page.keyboard.press("Control+A")
    reviewer.page.keyboard.press("Control+V")
    assert "1 C qty 500 lots 4711, 4712 until 2026-05-01 ref DEV-118" in reviewer.page.input_value("[name='own']")


@pytest.mark.parametrize("letter", ["A", "B", "C", "D", "E", "?"])
def test_every_letter_by_itself_reads_the_same_in_text_and_file(opened: OpenFile, store: Store, letter: str) -> None:
    """Wherever it is offered, bare and with words, evidence and a finding left out."""
    reviewer = opened(store)
    reviewer.write("who.name", "K. Ammerlund")
    for ask in store.shown.asks:
        if letter not in [each.letter for each in ask.letters]:
            continue
        reviewer.choose(f"{ask.number}.letter", letter)
        assert read_reply(reviewer.text(), asked(store)).answers == reviewer.save().answers
        reviewer.write(f"{ask.number}.words", "seen at the rim")
        for name in ("evidence", "left_out"):
            for box in reviewer.page.locator(f"[name='{ask.number}.{name}']:visible").all()[:1]:
                box.check()
        said = reviewer.save()
        assert read_reply(reviewer.text(), asked(store)).answers == said.answers
        assert from_file(said.answers, asked(store)).answers == said.answers
        reviewer.page.click("text=Remove all I entered")
        reviewer.write("who.name", "K. Ammerlund")


def test_nothing_is_chosen_beforehand_and_a_choice_can_be_taken_back(opened: OpenFile, store: Store) -> None:
    """No answer yet is said of each question; taking back leaves the words."""
    reviewer = opened(store)
    page = reviewer.page
    assert page.locator("input:checked").count() == 0
    assert page.locator(".state:has-text('No answer yet')").count() == 4
    assert page.inner_text(".progress .count") == "0 of 4 answered"
    reviewer.choose("2.letter", "A")
    assert page.inner_text("#ask-2 .state-text") == "Answered: A"
    assert page.inner_text(".progress .count") == "1 of 4 answered"
    reviewer.write("2.words", "at the rim")
    page.click("#ask-2 [data-do='clear']")
    assert page.inner_text("#ask-2 .state-text") == "No answer yet: choose a letter beside your words"
    assert page.inner_text(".progress .count") == "0 of 4 answered"
    assert page.is_visible("[name='2.words']")
    for finding in ("7K3F", "7K3G"):
        reviewer.page.check("[name='1.letter'][value='D']")
        reviewer.choose("1.left_out", finding)
    assert page.inner_text("#ask-1 .state-text") == "No answer yet: every finding is left out"


def test_only_letters_that_the_ask_offers_are_there(opened: OpenFile, store: Store) -> None:
    """In the order in which it offers them."""
    page = opened(store).page
    for ask in store.shown.asks:
        found = page.eval_on_selector_all(f"[name='{ask.number}.letter']", "all => all.map(one => one.value)")
        assert found == [each.letter for each in ask.letters]


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


def test_a_spot_is_asked_about_in_pixels_of_the_whole_picture(opened: OpenFile, store: Store) -> None:
    """The card shows 240 by 160 of 800 by 600 pixels from (280, 220); keys ask about the picture without a spot."""
    reviewer = opened(store)
    page = reviewer.page
    page.locator("#f-7K3F").scroll_into_view_if_needed()
    box = page.locator("#f-7K3F .plates .spot .field").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] * 0.25, box["y"] + box["height"] * 0.5)
    page.keyboard.type("Dirt?")
    page.focus("#f-7K3H [data-do='ask']")
    page.keyboard.press("Enter")
    page.keyboard.type("From which shot?")
    pins = page.locator("#f-7K3F .pin text").all_text_contents()
    assert pins == ["1", "1"]
    reviewer.write("who.name", "K. Ammerlund")
    questions = reviewer.save().questions
    assert [(each.finding, each.picture, each.question) for each in questions] == [
        ("7K3F", "c1_top.jpg", "Dirt?"),
        ("7K3H", "c1_top.jpg", "From which shot?"),
    ]
    x, y = map(int, (questions[0].spot or "").split(","))
    assert abs(x - 340) <= 1 and abs(y - 300) <= 1
    assert questions[1].spot is None
    reply = read_reply(reviewer.text(), asked(store))
    assert [each.question for each in reply.questions] == [
        f"7K3F c1_top.jpg {x},{y}: Dirt?",
        "7K3H c1_top.jpg: From which shot?",
    ]
    page.click("#f-7K3F [data-do='remove']")
    assert page.locator(".pin").count() == 0


def test_a_mail_holds_the_answers_or_says_to_paste_them(opened: OpenFile, store: Store) -> None:
    """A short one reads as a reply; what is too long for programs is copied, and the mail holds the code only."""
    reviewer = opened(store)
    reviewer.choose("2.letter", "A")
    href = str(reviewer.page.get_attribute("#mail", "href"))
    assert href.startswith("mailto:m.vasquell@halvenast.example?") and "+" not in href
    mail = parse_qs(urlsplit(href).query)
    assert check_code(store.sent.digest) in mail["subject"][0]
    assert [each.letter for each in read_reply(mail["body"][0], asked(store)).answers] == [Answer.INSIDE]
    reviewer.write("2.words", "It is long. " * 200)
    href = str(reviewer.page.get_attribute("#mail", "href"))
    assert len(href) < 1800
    body = unquote(parse_qs(urlsplit(href).query)["body"][0])
    short = read_reply(body, asked(store))
    assert (short.answers, short.unclear, check_code(store.sent.digest) in body) == ((), (), True)


def test_a_name_is_asked_for_before_anything_is_saved(opened: OpenFile, store: Store) -> None:
    """And nothing is saved where nothing is answered."""
    page = opened(store).page
    page.click("text=Save my answers")
    assert page.inner_text(".outcome") == "Nothing is answered or asked yet."
    page.check("[name='2.letter'][value='A']")
    page.click("text=Save my answers")
    assert "name" in page.inner_text(".outcome")
    assert page.evaluate("document.activeElement.name") == "who.name"


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


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_checker_of_accessibility_finds_nothing(opened: OpenFile, store: Store, scheme: str) -> None:
    """WCAG 2.2 A and AA as axe-core checks them, untouched and with every field open."""
    reviewer = opened(store, width=390, scheme=scheme)
    for is_filled in (False, True):
        if is_filled:
            fill_all(reviewer)
            reviewer.page.click("#f-7K3F [data-do='ask']")
            reviewer.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        options = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
        found = Axe().run(reviewer.page, options=options)
        assert [(each["id"], [node["html"][:160] for node in each["nodes"]]) for each in found["violations"]] == []


def test_by_thumb_nothing_sticks_out_and_targets_are_large(opened: OpenFile, store: Store) -> None:
    """At 360 pixels, with every field open; 44 pixels for whatever is tapped to answer."""
    reviewer = opened(store, width=360)
    fill_all(reviewer)
    reviewer.page.click("#f-7K3F [data-do='ask']")
    reviewer.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert reviewer.page.evaluate("document.documentElement.scrollWidth") == 360
    heights: list[tuple[str, float]] = reviewer.page.eval_on_selector_all(
        "button, .button, .choice, .tick, input[type=text], input[type=date], select, textarea, summary, .to-ask",
        """all => all.filter(one => one.getClientRects().length)
             .map(one => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])""",
    )
    assert len(heights) > 40
    assert [each for each in heights if each[1] < 43.9] == []
    widths: list[float] = reviewer.page.eval_on_selector_all(
        ".looks .strip .this", "all => all.map(one => one.getBoundingClientRect().width)"
    )
    assert widths and min(widths) >= 0.75 * 360  # what is asked about is seen, not hinted at


@pytest.mark.parametrize("width", [1280, 780])
def test_at_twice_the_size_nothing_is_cut_off_and_every_control_is_reached(
    opened: OpenFile, store: Store, width: int
) -> None:
    """As a browser zooms to 200 %: half as many pixels of a page, each twice as large; by keys alone."""
    reviewer = opened(store, width=width // 2, scale=2)
    page = reviewer.page
    fill_all(reviewer)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    assert page.evaluate("document.documentElement.scrollWidth") == width // 2
    cut_off: list[str] = page.eval_on_selector_all(
        "main *",
        """all => all.filter(one => one.getClientRects().length && !one.matches("svg *, textarea, input, select"))
             .filter(one => ["hidden", "clip"].includes(getComputedStyle(one).overflowX))
             .filter(one => !one.closest(".visually-hidden, .field"))
             .filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.outerHTML.slice(0, 120))""",
    )
    assert cut_off == []
    outside: list[str] = page.eval_on_selector_all(
        "main :is(button, .button, .choice, .tick, input, select, textarea, summary, a[href])",
        """all => all.filter(one => one.getClientRects().length && !one.closest(".strip, .scroll, .visually-hidden"))
             .filter(one => { const box = one.getBoundingClientRect(); return box.left < 0 || box.right > innerWidth; })
             .map(one => one.outerHTML.slice(0, 120))""",
    )
    assert outside == []
    wanted = set(page.eval_on_selector_all(
        "#answers :is(input:not([type=radio]), select, textarea, button)",
        """all => all.filter(one => one.getClientRects().length && !one.disabled)
             .map((one, at) => one.name || one.dataset.do || one.id)""",
    ))  # fmt: skip
    reached = set()
    page.emulate_media(reduced_motion="reduce")  # so that what has the keys is where it will be
    page.locator(".skip").focus()
    for _ in range(400):
        page.keyboard.press("Tab")
        now = page.evaluate(
            """() => { const one = document.activeElement, box = one.getBoundingClientRect();
                 const name = one.name || one.dataset.do || one.id || one.outerHTML.slice(0, 120);
                 return [name, box.bottom > 0 && box.top < innerHeight]; }"""
        )
        if not now[1]:
            raise AssertionError(f"{now[0]} has the keys and isn't seen")
        reached.add(now[0])
        if wanted <= reached:
            break
    assert wanted - reached == set() and len(wanted) > 20


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


def test_a_limit_sample_can_be_laid_over_in_the_file_too(opened: OpenFile, store: Store) -> None:
    """The viewer's part of the script runs in it."""
    card = opened(store).page.locator("#f-7K3G")
    card.locator(".lay button").first.click()
    assert card.locator(".laid").count() == 1


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
