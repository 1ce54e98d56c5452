"""The one file in a reader's browser: answered by keys, saved, copied, mailed; all say the same."""

import json
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import pytest

from portal.inbox.answerfile import read_answer_file
from portal.log.reply import read_reply
from portal.model.answer import AgreedLimit, Bound, Concession, Evidence, Given, HoldsFrom, LookedAt
from portal.model.event import check_code
from portal.model.sample import Side
from portal.model.terms import Answer
from portal.tasks.screening import from_file
from tests.browser.reviewer import OpenFile, asked, fill_all
from tests.site.sentreview import Store


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


def test_a_spot_is_asked_about_in_pixels_of_the_whole_picture(opened: OpenFile, store: Store) -> None:
    """The card shows 240 by 160 of 800 by 600 pixels from (280, 220); keys ask about the picture without a spot."""
    reviewer = opened(store)
    page = reviewer.page
    field = page.locator("#f-7K3F .plates .spot .field")
    field.scroll_into_view_if_needed()
    box = field.bounding_box()
    assert box is not None
    # by its place in the field, which is clicked once it stands still: cards are laid out as they come near
    field.click(position={"x": box["width"] * 0.25, "y": box["height"] * 0.5})
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


def test_a_limit_sample_can_be_laid_over_in_the_file_too(opened: OpenFile, store: Store) -> None:
    """The viewer's part of the script runs in it."""
    card = opened(store).page.locator("#f-7K3G")
    card.locator(".lay button").first.click()
    assert card.locator(".laid").count() == 1
