"""An answer that leaves several things owed: each is settled by its own name, or all at once when that is said."""

import csv
import io
import re
from pathlib import Path

import pytest
from openpyxl import load_workbook

from portal.log.verify import verify
from portal.model.event import About
from portal.model.logstate import AskStatus, Owing
from portal.model.says import MatterClosed, QuestionAnswered
from portal.problem import PortalError
from portal.tasks.close import close
from portal.tasks.note import Subject, To, reply
from portal.tasks.withdraw import withdraw
from tests.tasks import answered
from tests.tasks.answered import LIVE, built, page, sent_path
from tests.tasks.judged import ENGINEER, PART, opened
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.test_threads import thread
from tests.tasks.test_waiting import lines
from tests.tasks.two import OURS, change
from tests.tasks.typed import Typed, typed

MAIL = """1 C qty 500
2 E side view, piece
3 A limit 0.2 mm keep 7K3H last good
? Which resin was it
? Which press was it
1 fine with me as well
"""
NAMES = {
    "concession-1", "criterion-3", "piece-7K3H-last-good", "evidence-2-side-view", "evidence-2-the-piece-itself",
    "question-1", "question-2",
}  # fmt: skip


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue from which a review was sent, made once; only to be copied."""
    folder = ready_catalogue(tmp_path_factory.mktemp("sent") / "c")
    assert pack(folder).code == 0
    return folder


@pytest.fixture(scope="module")
def owing(sent: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One whose one answer leaves seven things owed, made once; only to be copied."""
    folder = answered.copied(sent, tmp_path_factory.mktemp("owing") / "c")
    answered.reply(folder, MAIL.replace("1 fine with me as well\n", ""))
    return folder


@pytest.fixture
def folder(owing: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return answered.copied(owing, tmp_path / "c")


def event(folder: Path) -> str:
    """The answer that came in."""
    (review,) = opened(folder).state.reviews.values()
    (came,) = review.received
    return came.event


def owed(folder: Path) -> set[str]:
    """The names of what is owed for that answer."""
    return {each.duty.name for each in opened(folder).state.owed if each.duty is not None}


def done(folder: Path, command: str, *words: str) -> Typed:
    """A command of the engineer's."""
    return typed(command, folder, "--part", PART, "--by", ENGINEER, *words)


def test_every_thing_that_an_answer_leaves_owed_has_a_name_in_the_log(folder: Path) -> None:
    """As the commands take it: in the sentence, and in a column of its own in the tables."""
    assert owed(folder) == NAMES
    code = event(folder)[:8]
    told = typed("log", folder, "--part", PART).out
    assert all(f"[{code}:{name}]" in told for name in NAMES)
    table = folder.parent / "log.csv"
    assert typed("log", folder, "--csv", table).code == 0
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8-sig"))))
    assert {each["duty"] for each in rows if each["section"] == "owed"} == {f"{code}:{name}" for name in NAMES}
    assert f"[{code}:criterion-3]" in typed("check", folder).out


def test_a_workbook_tells_what_is_left_and_what_a_closing_ended(folder: Path, tmp_path: Path) -> None:
    """Read back by another library."""
    code = event(folder)[:8]
    words = ("--closes", f"{code}:criterion-3", "--closes", f"{code}:question-2", "--why", "seen to")
    assert done(folder, "close", *words).code == 0
    assert typed("log", folder, "--xlsx", tmp_path / "log.xlsx").code == 0
    book = load_workbook(tmp_path / "log.xlsx")
    head = [cell.value for cell in book["owed"][1]]
    at = head.index("duty")
    left = {row[at] for row in book["owed"].iter_rows(min_row=2, values_only=True)}
    assert left == {f"{code}:{name}" for name in NAMES - {"criterion-3", "question-2"}}
    last = list(book["entry"].iter_rows(min_row=2, values_only=True))[-1]
    assert last[at] == f"{code}:criterion-3 {code}:question-2" and "seen to" in str(last[head.index("text")])


@pytest.mark.parametrize("name", sorted(each for each in NAMES if not each.startswith("evidence")))
def test_one_is_settled_and_the_others_stay_owed(folder: Path, name: str) -> None:
    """On record under its name; taking the closing back makes it owed again."""
    code = event(folder)[:8]
    closed = done(folder, "close", "--closes", f"{code}:{name}", "--why", "seen to")
    assert closed.code == 0 and f"closed {code}:{name}: seen to" in closed.out, closed.err
    assert owed(folder) == NAMES - {name}
    assert verify(folder, PART).is_whole
    again = done(folder, "close", "--closes", f"{code}:{name}", "--why", "again")
    assert again.code == 3 and f"nothing is owed for {code} as `{name}`" in again.err
    state = opened(folder).state
    withdraw(opened(folder), Subject(event=state.events[-1].hash), why="a slip")
    assert owed(folder) == NAMES


def test_an_event_alone_settles_all_of_several_only_when_that_is_said(folder: Path) -> None:
    """Else it is refused with their names and nothing is written; what is replied to stays."""
    code, before = event(folder)[:8], len(opened(folder).state.events)
    refused = done(folder, "close", "--closes", code, "--why", "over")
    assert refused.code == 3 and "several things are owed" in refused.err and "criterion-3" in refused.err
    assert "--all" in refused.err and len(opened(folder).state.events) == before
    assert done(folder, "close", "--closes", code, "--all", "--why", "over").code == 0
    assert owed(folder) == {"evidence-2-side-view", "evidence-2-the-piece-itself"}
    says = opened(folder).state.events[-1].event.says
    assert isinstance(says, MatterClosed) and len(says.only) == 5


def test_a_closing_as_older_versions_wrote_it_still_settles_all(folder: Path) -> None:
    """It names the event alone; its file is written without the new key, so that its bytes are what they were."""
    came = event(folder)
    logged = opened(folder).write(MatterClosed(closes=(came,), why="over"), About(trial="M-001/T1"))
    (file,) = (folder / "parts" / PART / "log").glob(f"*{logged.hash}.json")
    assert b'"says":{"closes":["' + came.encode() + b'"],"why":"over"}' in file.read_bytes()
    assert owed(folder) == {"evidence-2-side-view", "evidence-2-the-piece-itself"}
    assert f"closed {came[:8]}: over" in typed("log", folder, "--part", PART).out


def test_each_kind_of_evidence_comes_by_itself(folder: Path) -> None:
    """The ask waits at the shop until all of it came, then at the customer again."""
    came = event(folder)
    ask = opened(folder).state.events[[each.hash for each in opened(folder).state.events].index(came)]
    hash_ = opened(folder).state.reviews[ask.event.about.review or ""].asks[1]
    with pytest.raises(PortalError, match="is replied to, not closed"):
        close(opened(folder), (f"{came[:8]}:evidence-2-side-view",), why="no")
    reply(opened(folder), "in trial T1, cavity 1", to=To(f"{came[:8]}:evidence-2-side-view"))
    state = opened(folder).state
    assert state.asks[hash_].status is AskStatus.EVIDENCE_WANTED
    assert owed(folder) == NAMES - {"evidence-2-side-view"}
    reply(opened(folder), "sent by post", to=To(f"{came[:8]}:evidence-2-the-piece-itself"))
    state = opened(folder).state
    assert state.asks[hash_].status is AskStatus.WAITING
    last = state.events[-1]
    assert [(each.what, each.since) for each in state.owed if each.ask == hash_] == [(Owing.ANSWER, last.event.at)]


def test_a_reply_is_to_one_of_the_reviewers_own_questions_or_to_all_when_said(folder: Path) -> None:
    """And words to one ask leave the rest of the mail owed."""
    code = event(folder)[:8]
    refused = done(folder, "note", "--answers", code, "--comment", "PA 66")
    assert refused.code == 3 and "several things are owed" in refused.err
    assert done(folder, "note", "--answers", f"{code}:question-1", "--comment", "PA 66").code == 0
    assert owed(folder) == NAMES - {"question-1"}
    says = opened(folder).state.events[-1].event.says
    assert isinstance(says, QuestionAnswered) and [each.name for each in says.only] == ["question-1"]
    assert done(folder, "note", "--answers", code, "--number", "2", "--comment", "both follow").code == 0
    assert owed(folder) == {"concession-1", "criterion-3", "piece-7K3H-last-good", "question-2"}
    for words in (("--answers", f"{code}:question-2", "--number", "2"), ("--answers", f"{code}:question-2", "--all")):
        assert done(folder, "note", *words, "--comment", "x").code == 2
    refused = done(folder, "note", "--answers", f"{code}:criterion-3", "--comment", "x")
    assert refused.code == 3 and f"portal close --closes {code}:criterion-3" in refused.err
    assert done(folder, "note", "--answers", code, "--all", "--comment", "press 4").code == 0
    assert owed(folder) == {"concession-1", "criterion-3", "piece-7K3H-last-good"}


def test_an_unclear_line_is_read_and_settled_by_itself(sent: Path, tmp_path: Path) -> None:
    """By its place in the mail; what it was about is a person's to enter."""
    folder = answered.copied(sent, tmp_path / "c")
    answered.reply(folder, "1 fine with me\n2 A\n3 fine too")
    assert owed(folder) == {"line-1", "line-2"}
    code = event(folder)[:8]
    assert done(folder, "close", "--closes", f"{code}:line-2", "--why", "entered by telephone").code == 0
    assert owed(folder) == {"line-1"}
    text = re.sub(r"<[^>]+>|[\u2066-\u2069]", "", page(built(folder).out, sent_path(folder)))
    assert "an unclear line, to be read by a person. entered by telephone" in re.sub(r"\s+", " ", text)


def test_a_name_that_is_not_owed_is_refused_with_what_is(folder: Path) -> None:
    """A slip of the hand is told what it might have meant."""
    code = event(folder)[:8]
    with pytest.raises(PortalError, match=r"as `criterion-1`; owed are .*criterion-3") as refused:
        close(opened(folder), (f"{code}:criterion-1",), why="x")
    assert "criterion-3" in (refused.value.hint or "")


def test_pages_tell_what_is_still_owed_and_what_was_settled_by_whom(folder: Path, tmp_path: Path) -> None:
    """The front page loses that line alone; thread, question and review say who settled which thing and why."""
    came = event(folder)
    before = lines(built(folder).out)
    assert done(folder, "close", "--closes", f"{came[:8]}:piece-7K3H-last-good", "--why", "bag 12").code == 0
    out = built(folder).out
    gone = [each for each in before if each not in lines(out)]
    assert len(gone) == 1 and "7K3H, last good" in gone[0]
    told = thread(out, "7K3H")
    assert "Settled F. Engineer" in told and "a piece, to be kept as a limit sample (7K3H, last good)" in told
    assert "bag 12" not in thread(out, "7K3F") and "Settled" not in thread(out, "7K3G")
    for path in (LIVE, sent_path(folder)):
        text = page(out, path)
        assert re.search(r"Settled on .* by .*F. Engineer.*a piece, to be kept as a limit sample.*bag 12", text)
    change(folder, "customers/vellorin.yaml", "language: en", "language: de")
    german = page(built(folder, OURS, tmp_path / "de").out, LIVE)
    assert "Erledigt am" in german and "ein Teil, das als Grenzmuster aufzuheben ist" in german


def test_the_record_of_a_closed_matter_tells_what_was_settled(folder: Path) -> None:
    """It is there once the last thing is; until then it isn't."""
    came = event(folder)
    assert done(folder, "close", "--closes", f"{came[:8]}:criterion-3", "--why", "entered as GV-C").code == 0
    assert not list((built(folder).out / "parts" / PART).glob("records/*"))
    assert done(folder, "close", "--closes", f"{came[:8]}:piece-7K3H-last-good", "--why", "bag 12").code == 0
    state = opened(folder).state
    (ask,) = state.closed_asks()
    assert state.asks[ask].findings == ("7K3H",)
    out = built(folder).out
    text = page(out, f"parts/{PART}/records/{ask[:8]}/index.html")
    assert "the agreed limit entered as a criterion" in text and "entered as GV-C" in text and "bag 12" in text
    closings = [each.hash for each in state.events if isinstance(each.event.says, MatterClosed)]
    assert all(each in text for each in closings)
