"""The whole trip: from the sample catalogue to a log in which nobody owes anything, as three people take it."""

import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from portal.log import verify
from portal.model.logstate import LogState, Owing
from portal.tasks.opened import open_part
from tests.browser.conftest import PATIENCE_MS
from tests.outside.mails import WROTE
from tests.tasks.typed import Typed, typed

TOP = Path(__file__).resolve().parents[2]
PART, TRIAL = "LC-0440", "M-118/T2"
ENGINEER, INSPECTOR = "m-vasquell", "k-ammer"
DECIDER, RELEASER = "K. Ammerlund", "J. Oostervald"
_LIVE, _SENT = f"parts/{PART}/M-118-T2.html", f"parts/{PART}/reviews/T2-*/index.html"
MAIL = "k.ammerlund@brindelaar.example"
ANSWERS = ("C", "D", "A", "B", "A", "E", "A")


def act(folder: Path, command: str, *words: str | Path) -> Typed:
    """What the project engineer types."""
    done = typed(command, folder, "--part", PART, *words, "--by", ENGINEER)
    assert done.code == 0, done.err
    return done


def state(folder: Path) -> LogState:
    """What the log comes to."""
    return open_part(folder, PART, by=ENGINEER, to="look").state


def owed(folder: Path) -> dict[Owing, list[str]]:
    """What is owed, with the first digits of the event from which it arose."""
    found: dict[Owing, list[str]] = {}
    for each in state(folder).owed:
        found.setdefault(each.what, []).append(each.event[:8])
    return found


@dataclass
class Shots:
    """A picture of each step, in the folder that PORTAL_SHOTS names; nothing where it names none."""

    browser: Browser
    into: Path | None
    taken: list[str] = field(default_factory=list)

    def take(self, page: Page, what: str, *, whole: bool = True) -> None:
        """What the page shows now."""
        if self.into:
            self.taken.append(what)
            page.screenshot(path=self.into / f"{len(self.taken):02}-{what}.png", full_page=whole)

    def site(self, folder: Path, **pages: str) -> None:
        """The shop's own site as it is now, each page by what it shows."""
        if not self.into:
            return
        built = typed("build", folder)
        assert built.code in (0, 1), built.err
        for what, pattern in pages.items():
            (path,) = (folder / "site" / "shop").glob(pattern)
            self.file(path, what)

    def record(self, folder: Path, what: str) -> None:
        """The record of the first question that is closed, as it prints on A4."""
        if not self.into:
            return
        paths = (folder / "site" / "shop").glob(f"parts/{PART}/records/*/index.html")
        page = self.browser.new_page(viewport={"width": 794, "height": 1123})
        page.emulate_media(media="print")
        page.goto(sorted(paths)[0].as_uri())
        self.take(page, what)
        page.close()

    def file(self, path: Path, what: str) -> None:
        """A file as a desk's browser shows it."""
        if not self.into:
            return
        page = self.browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(path.as_uri())
        self.take(page, what.replace("_", "-"))
        page.close()


@pytest.fixture(scope="module")
def shots(chromium: Browser) -> Shots:
    """Takes pictures where PORTAL_SHOTS names a folder for them."""
    named = os.environ.get("PORTAL_SHOTS")
    into = Path(named) if named else None
    if into:
        into.mkdir(parents=True, exist_ok=True)
    return Shots(chromium, into)


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    """The reviewer's browser, as wide as a telephone."""
    context = chromium.new_context(viewport={"width": 390, "height": 844}, has_touch=True, accept_downloads=True)
    context.set_default_timeout(PATIENCE_MS)
    yield context.new_page()
    context.close()


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory, shots: Shots) -> Path:
    """The sample as the inspector left it, asked about and sent; the moulds of the other parts would only cost time."""
    left_out = shutil.ignore_patterns("render", "site", "log", "reviews", "M-126", "M-131")
    folder = shutil.copytree(TOP / "sample_catalog", tmp_path_factory.mktemp("trip") / "c", ignore=left_out)
    act(folder, "ask", "--trial", TRIAL, "--proposed", "--due", "2099-12-02")
    shots.site(folder, before_it_is_sent=_LIVE)
    act(folder, "pack", "--trial", TRIAL)
    shots.site(folder, sent=_SENT, front_while_waiting="index.html")
    return folder


@pytest.fixture
def folder(sent: Path, tmp_path: Path) -> Path:
    """A copy of it for each way to answer."""
    return shutil.copytree(sent, tmp_path / "c")


def test_from_the_first_ask_to_a_log_in_which_nobody_owes_anything(
    folder: Path, phone: Page, tmp_path: Path, shots: Shots
) -> None:
    """Asked, sent, answered by thumb, what is left asked again and answered by plain mail, decided, kept, released."""
    assert set(owed(folder)) == {Owing.ANSWER} and len(owed(folder)[Owing.ANSWER]) == len(ANSWERS)
    saved = _answered_by_thumb(folder, phone, tmp_path, shots)
    came = typed("receive", folder, saved, "--by", INSPECTOR)
    assert came.code == 0, came.err

    shots.site(folder, answered=_SENT, front_with_the_shop="index.html")
    came_in, first = _after_the_first_answer(folder)
    _next_review(folder, tmp_path, came_in, first)
    _decided_and_released(folder)
    shots.site(folder, released=_LIVE)
    _closed(folder)
    shots.site(folder, front_at_the_end="index.html", part_at_the_end=f"parts/{PART}/index.html")
    shots.record(folder, "record-to-print")


def test_the_same_by_plain_mail_alone(folder: Path, tmp_path: Path) -> None:
    """The reviewer answers our mail above its quotation, in a mail program, and never opens the file."""
    (mail,) = folder.glob(f"parts/{PART}/reviews/T2-*/carriers/*.txt")
    (review,) = state(folder).reviews.values()
    piece = state(folder).asks[review.asks[2]].findings[0]
    said = (
        "1 C qty 500 ref DEV-118 because hidden once built in\n2 D\n"
        f"3 A keep {piece} last good\n4 B\n5 A\n6 E side view\n7 A limit fan up to 1.5 mm long"
    )
    below = "\n".join(f"> {line}" for line in mail.read_text(encoding="utf-8").splitlines())
    reply = tmp_path / "first.eml"
    head = f"From: {DECIDER} <{MAIL}>\nSubject: Re: Review {review.code}\nContent-Type: text/plain; charset=utf-8\n"
    reply.write_text(f"{head}\n{said}\n\nRegards\n{DECIDER}\n\n{WROTE}\n{below}\n", encoding="utf-8")
    came = typed("receive", folder, reply, "--by", INSPECTOR)
    assert came.code == 0, came.out + came.err
    came_in, first = _after_the_first_answer(folder)
    _next_review(folder, tmp_path, came_in, first)
    _decided_and_released(folder)
    _closed(folder)


def _decided_and_released(folder: Path) -> None:
    _the_shop_decides(folder)
    act(folder, "release", "--trial", TRIAL, *_granted())


def _closed(folder: Path) -> None:
    """What is left is entered and closed; then nobody owes anything."""
    for what, events in owed(folder).items():
        assert what in {Owing.CRITERION, Owing.CONFIRMATION}, what
        for event in events:
            act(folder, "close", "--closes", event, "--why", "entered in revision 4 of the agreement")
    done = state(folder)
    assert done.owed == () and done.open_asks() == ()
    assert [each.complete_at is not None for each in done.reviews.values()] == [True, True]
    assert verify(folder, PART).is_whole
    told = typed("log", folder, "--part", PART)
    assert told.code == 0 and "kept" not in told.err


def _answered_by_thumb(folder: Path, phone: Page, tmp_path: Path, shots: Shots) -> Path:
    """Every question of the first review on a telephone; the saved file."""
    (file,) = folder.glob(f"parts/{PART}/reviews/T2-*/carriers/*.html")
    said: list[str] = []
    phone.on("console", lambda message: said.append(message.text))
    phone.goto(file.as_uri())
    phone.wait_for_selector("html.live", state="attached")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    shots.take(phone, "reviewer-opens-it", whole=False)
    shots.take(phone, "reviewer-whole-file")
    for number, letter in enumerate(ANSWERS, start=1):
        phone.tap(f".choice:has([name='{number}.letter'][value='{letter}'])")
    phone.fill("[name='1.words']", "hidden once built in")
    phone.fill("[name='1.concession.quantity']", "500")
    phone.fill("[name='1.concession.reference']", "DEV-118")
    phone.select_option("[name^='3.keep.']", "last good")
    phone.check("[name='6.evidence'][value='side view']")
    phone.fill("[name='7.limit.limit']", "fan up to 1.5 mm long")
    assert "7 of 7" in phone.inner_text(".progress")
    phone.fill("[name='who.name']", DECIDER)
    for number in range(1, len(ANSWERS) + 1):
        phone.locator(f"[name='{number}.letter']").first.scroll_into_view_if_needed()
        shots.take(phone, f"reviewer-answers-{number}", whole=False)
    phone.locator("[data-do='save']").scroll_into_view_if_needed()
    shots.take(phone, "reviewer-sends", whole=False)
    with phone.expect_download() as waiting:
        phone.click("[data-do='save']")
    shots.take(phone, "reviewer-has-saved", whole=False)
    saved = tmp_path / waiting.value.suggested_filename
    waiting.value.save_as(saved)
    assert said == []
    return saved


def _after_the_first_answer(folder: Path) -> tuple[str, str]:
    """The event that came in, and the check code of the first review."""
    known = owed(folder)
    assert set(known) == {Owing.EVIDENCE, Owing.DISPOSITION, Owing.CRITERION, Owing.KEEPING}
    (review,) = state(folder).reviews.values()
    (received,) = review.received
    assert [str(each.letter) for each in received.answers] == list(ANSWERS) and received.unclear == ()
    return received.event, review.code


def _next_review(folder: Path, tmp_path: Path, came: str, first: str) -> None:
    """The evidence is given; the second review asks only what is open, and is answered by a plain reply."""
    act(folder, "note", "--answers", came[:8], "--number", "6", "--comment", "the side view is in trial T2, cavity 4")
    act(folder, "pack", "--trial", TRIAL)
    (second,) = [each for each in state(folder).reviews.values() if each.code != first]
    assert second.number == 2 and len(second.asks) == 1
    reply = tmp_path / "reply.eml"
    head = f"From: {RELEASER} <j.oostervald@brindelaar.example>\nSubject: Re: Review {second.code}\n\n"
    reply.write_text(f"{head}{second.numbers[0]} A\n\nRegards\n{RELEASER}\n", encoding="utf-8")
    assert typed("receive", folder, reply, "--by", INSPECTOR).code == 0
    assert Owing.ANSWER not in owed(folder) and Owing.EVIDENCE not in owed(folder)


def _the_shop_decides(folder: Path) -> None:
    """What becomes of what was judged outside and of what can't be judged; the agreed piece is kept."""
    part = open_part(folder, PART, by=ENGINEER, to="look")
    (tick,) = part.state.ticks
    where = ("--expires", "2099-03-05", "--holder", "Halvenast Small Parts: limit sample drawer 2")
    act(folder, "keep", "--finding", tick.finding.finding, "--as", "last good", *where)
    refused = typed("release", folder, "--part", PART, "--trial", TRIAL, *_granted(), "--by", ENGINEER)
    assert refused.code == 3 and "without disposition" in refused.err
    lacking = re.findall(r"^ +([0-9A-Z]{4}): ", refused.err, re.MULTILINE)
    assert lacking
    named = [word for each in lacking for word in ("--finding", each)]
    act(folder, "record", "--shop", "--disposition", "mould correction", *named, "--why", "gate insert is reworked")


def _granted() -> tuple[str, ...]:
    return ("--for", "next trial", "--granted-by", RELEASER, "--how", "telephone", "--when", "2026-03-09")
