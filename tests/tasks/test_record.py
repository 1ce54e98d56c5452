"""`portal record`: decisions that came by another way, and the shop's own; who may decide what."""

import hashlib
import re
from pathlib import Path

import pytest

from portal.log import verify
from portal.model.answer import AgreedLimit, AskKind, Bound, Concession, Disposition, HoldsFrom
from portal.model.event import About, Logged
from portal.model.logstate import AskStatus, Owing, OwnerSide
from portal.model.says import AskSent, DecisionRecorded, How, Recipient, ReviewSent, ReviewWithdrawn
from portal.model.terms import Answer
from portal.problem import PortalError
from portal.tasks.ask import Wanted, ask
from portal.tasks.dispose import dispose
from portal.tasks.record import Came, Decision, confirm, record
from tests.tasks.judged import INSPECTOR, MAY_ALL, MAY_LITTLE, PART, TRIAL_NAME, judged_catalogue, opened
from tests.tasks.small import TRIAL
from tests.tasks.two import change
from tests.tasks.typed import typed

CALL = Came(MAY_ALL, "telephone", "2026-03-05T14:20")
FULL = Concession(justification="hidden once built in", quantity="0500", reference="DEV-118")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A catalogue with a finding of every verdict."""
    return judged_catalogue(tmp_path / "c")


def asked(folder: Path, *findings: str, **more: object) -> Logged:
    """An ask about findings."""
    wanted = Wanted(**{"question": "Inside or outside?", "findings": findings, **more})  # type: ignore[arg-type]  # any field
    return ask(opened(folder), wanted)


def sent(folder: Path, logged: Logged, digest: str, basis: str) -> None:
    """The ask as number 3 of a review that showed its finding on that basis."""
    bound = (Bound(finding="7K3G", basis=basis),)
    says = ReviewSent(
        number=1,
        digest=digest,
        to=(Recipient(name=MAY_ALL),),
        asks=(AskSent(number=3, ask=logged.hash, findings=bound),),
        shown=bound,
    )
    opened(folder).write(says, About(trial=TRIAL_NAME))


def test_a_decision_by_telephone_answers_an_ask_and_waits_for_its_confirmation(folder: Path) -> None:
    """Whoever entered it is told apart from whoever decided; something in writing is still owed."""
    logged = asked(folder, "7K3G")
    came = record(opened(folder), Decision(ask=logged.hash[:8], letter="a"), CALL)
    assert came.doubts == ("not yet confirmed in writing: bring that with `--confirms` and `--evidence`",)
    part = opened(folder)
    assert part.state.asks[logged.hash].status is AskStatus.ANSWERED
    (decided,) = part.state.decided
    assert (decided.disposition, decided.by.name, decided.side) == (
        Disposition.JUDGED_INSIDE, MAY_ALL, OwnerSide.CUSTOMER,
    )  # fmt: skip
    assert decided.recorded_by and decided.recorded_by.name == "F. Engineer"
    assert (decided.how, decided.confirmed, decided.basis("7K3G")) == (How.TELEPHONE, False, part.bases["7K3G"])
    assert part.state.finding("7K3G").is_settled(part.bases["7K3G"])
    assert [each.what for each in part.state.owed] == [Owing.CONFIRMATION]


def test_evidence_is_copied_beside_the_reviews_and_confirms(folder: Path, tmp_path: Path) -> None:
    """Under its hash and its name; the log rests on it, and verifying looks at it."""
    paper = tmp_path / "Freigabe Größe 0,1.PDF"
    paper.write_bytes(b"%PDF signed")
    logged = asked(folder, "7K3G")
    first = record(opened(folder), Decision(ask=logged.hash, letter="A"), CALL).logged
    later = confirm(opened(folder), first.hash, Came(how="signed document", when="2026-03-06", files=(paper,)))
    says = later.logged.event.says
    assert isinstance(says, DecisionRecorded) and says.decided_by.name == MAY_ALL and says.decision is None
    (kept,) = says.evidence
    digest = hashlib.sha256(b"%PDF signed").hexdigest()
    assert kept.file.startswith(f"parts/{PART}/evidence/{digest[:16]}-Freigabe-Groe-0-1-")
    assert kept.file.endswith(".pdf") and (kept.sha256, kept.name) == (digest, paper.name)
    assert (folder / kept.file).read_bytes() == b"%PDF signed"
    state = opened(folder).state
    assert state.decided[0].confirmed and not state.owed and len(state.decided) == 1
    assert verify(folder, PART).is_whole
    (folder / kept.file).write_bytes(b"%PDF forged")
    assert not verify(folder, PART).is_whole


def test_evidence_that_is_not_there_or_empty_is_refused(folder: Path, tmp_path: Path) -> None:
    """Before anything is written."""
    logged = asked(folder, "7K3G")
    (tmp_path / "empty.txt").write_bytes(b"")
    for name, said in (("none.txt", "there is no file"), ("empty.txt", "is empty")):
        with pytest.raises(PortalError, match=said):
            record(opened(folder), Decision(ask=logged.hash, letter="A"),
                   Came(MAY_ALL, "mail", "2026-03-05", (tmp_path / name,)))  # fmt: skip
    assert len(opened(folder).state.events) == 1 and not (folder / "parts" / PART / "evidence").exists()


def test_a_decision_is_bound_to_what_the_last_review_showed(folder: Path) -> None:
    """Not to what the finding rests on by now; and the difference is told."""
    logged = asked(folder, "7K3G")
    sent(folder, logged, "a" * 64, "b" * 64)
    came = record(opened(folder), Decision(ask=logged.hash, letter="A"), CALL)
    assert any("7K3G has changed since it was shown" in doubt for doubt in came.doubts)
    state = opened(folder).state
    (decided,) = state.decided
    assert (decided.review, decided.basis("7K3G")) == ("a" * 64, "b" * 64)
    assert came.logged.event.says.decision.number == 3  # type: ignore[attr-defined]  # a decision-recorded
    assert not state.finding("7K3G").is_settled(opened(folder).bases["7K3G"])


def test_a_decision_without_an_ask_is_bound_to_what_was_shown_unless_the_piece_was_in_hand(folder: Path) -> None:
    """A withdrawn review showed nothing that counts."""
    logged = asked(folder, "7K3G")
    sent(folder, logged, "a" * 64, "b" * 64)
    now = opened(folder).bases["7K3G"]
    free = Decision(findings=("7K3G",), letter="A")
    shown = record(opened(folder), free, CALL).logged
    assert shown.event.says.decision.findings[0].basis == "b" * 64  # type: ignore[attr-defined]  # a decision-recorded
    held = record(opened(folder), Decision(findings=("7K3G",), letter="A", looked_at="piece in hand"), CALL).logged
    assert held.event.says.decision.findings[0].basis == now  # type: ignore[attr-defined]  # a decision-recorded
    opened(folder).write(ReviewWithdrawn(why="wrong pictures"), About(review="a" * 64))
    after = record(opened(folder), free, CALL).logged
    assert after.event.says.decision.findings[0].basis == now  # type: ignore[attr-defined]  # a decision-recorded


def test_a_finding_can_be_left_out_of_an_answer(folder: Path) -> None:
    """It stays open."""
    change(folder, f"{TRIAL}/tags/c1_top.jpg.yaml", "defect: splay", "defect: black-speck")
    logged = asked(folder, "7K3F", "7K3J")
    record(opened(folder), Decision(ask=logged.hash, letter="D", left_out=("7K3J",)), CALL)
    assert opened(folder).state.asks[logged.hash].unanswered == ("7K3J",)


@pytest.mark.parametrize(
    ("finding", "decision", "may"),
    [
        ("7K3F", {"letter": "C", "concession": FULL}, "`concession`"),
        ("7K3G", {"letter": "C", "concession": FULL}, "`concession`"),
        ("7K3H", {"letter": "A", "limit": AgreedLimit(limit="0.2 mm")}, "`agree-limit`"),
    ],
)
def test_a_reviewer_decides_only_what_the_customer_lets_them(
    folder: Path, finding: str, decision: dict[str, object], may: str
) -> None:
    """Who may is named; the same decision by one who may is entered."""
    wanted = Decision(findings=(finding,), **decision)  # type: ignore[arg-type]  # any field
    little = Came(MAY_LITTLE, "meeting", "2026-03-05")
    with pytest.raises(PortalError, match=re.escape(f"{MAY_LITTLE} may not answer")) as refused:
        record(opened(folder), wanted, little)
    assert refused.value.code == 3 and may in str(refused.value) and MAY_ALL in str(refused.value.hint)
    assert record(opened(folder), wanted, CALL)
    assert len(opened(folder).state.events) == 1


@pytest.mark.parametrize(
    ("finding", "decision"),
    [
        ("7K3G", Decision(letter="A")),
        ("7K3G", Decision(letter="B")),
        ("7K3H", Decision(letter="B")),
        ("7K3F", Decision(letter="D")),
        ("7K3F", Decision(letter="E", wants=("side view", "section"))),
        ("7K3F", Decision(letter="?", question="Which side?")),
        ("7K3J", Decision(words="We like it")),
    ],
)
def test_rework_evidence_and_questions_any_named_reviewer_may_give(
    folder: Path, finding: str, decision: Decision
) -> None:
    """And what `accept` covers, one who may accept."""
    logged = asked(folder, finding)
    to = Decision(**{**vars_of(decision), "ask": logged.hash})  # type: ignore[arg-type]  # any field
    record(opened(folder), to, Came(MAY_LITTLE, "meeting", "2026-03-05"))
    assert opened(folder).state.asks[logged.hash].replies[0].by.name == MAY_LITTLE


def vars_of(decision: Decision) -> dict[str, object]:
    """Its fields by name."""
    return {name: getattr(decision, name) for name in Decision.__dataclass_fields__}


def test_a_concession_that_lacks_something_decides_nothing_yet(folder: Path) -> None:
    """What lacks is told and owed."""
    short = Concession(quantity="500")
    came = record(opened(folder), Decision(findings=("7K3F",), letter="C", concession=short), CALL)
    assert "the concession lacks justification, reference: it decides nothing until that came" in came.doubts
    state = opened(folder).state
    assert not state.finding("7K3F").is_settled() and Owing.CONCESSION in {each.what for each in state.owed}


def test_an_agreed_limit_is_owed_as_a_criterion(folder: Path) -> None:
    """In the words in which it was agreed."""
    limit = AgreedLimit(limit="up to 0.20 mm", condition="stereo-20-ring", holds=HoldsFrom.NOW)
    record(opened(folder), Decision(findings=("7K3H",), letter="A", limit=limit), CALL)
    owed = next(each for each in opened(folder).state.owed if each.what is Owing.CRITERION)
    assert owed.text == "up to 0.20 mm, from now"


def test_a_concession_that_covers_nothing_is_not_recorded(folder: Path) -> None:
    """No piece, or a day that was past when it came; it is asked what was meant."""
    for scope in (Concession(quantity="0"), Concession(until="2020-01-01")):
        with pytest.raises(PortalError, match=r"covers no piece|was past on"):
            record(opened(folder), Decision(findings=("7K3F",), letter="C", concession=scope), CALL)
    assert not opened(folder).state.events


def test_letters_are_listed_in_their_order(folder: Path) -> None:
    """A person looks for them so, whatever order an ask puts them in."""
    with pytest.raises(PortalError, match="it isn't said what was decided") as refused:
        record(opened(folder), Decision(findings=("7K3F",)), CALL)
    assert refused.value.hint == "add `--letter`: B, C, D, E, ?"


@pytest.mark.parametrize(
    ("decision", "came", "code", "said"),
    [
        (Decision(letter="A"), CALL, 2, "it isn't said what was decided about"),
        (Decision(findings=("7K3G",)), CALL, 2, "it isn't said what was decided"),
        (Decision(findings=("7K3G",), letter="F"), CALL, 2, "`--letter`: `F` is none of what it takes"),
        (Decision(findings=("7K3H",), letter="C"), CALL, 3, "`C` is no answer to what is `not-agreed`"),
        (Decision(findings=("7K3G",), letter="D"), CALL, 3, "`D` is no answer to what is `undecided`"),
        (Decision(findings=("7K3J",), letter="A"), CALL, 3, "`A` is no answer to what is `question`"),
        (Decision(findings=("7K3F", "7K3G"), letter="B"), CALL, 3, "no one answer fits them all"),
        (Decision(findings=("7K3H",), letter="A"), CALL, 2, "an agreed limit has to say which"),
        (Decision(findings=("7K3G",), letter="E"), CALL, 2, "more evidence has to say which"),
        (Decision(findings=("7K3G",), letter="?"), CALL, 2, "a question back has to say which"),
        (Decision(findings=("7K3G",), letter="E", wants=("a kiss",)), CALL, 2, "`--wants`: `a kiss`"),
        (Decision(findings=("7K3G",), letter="A", concession=FULL), CALL, 2, "belong to a concession"),
        (Decision(findings=("7K3G",), letter="A", limit=AgreedLimit(limit="1 mm")), CALL, 2, "belongs to an agreed"),
        (Decision(findings=("7K3G",), letter="A"), Came(None, "mail", "2026-03-05"), 2, "it isn't said who decided"),
        (Decision(findings=("7K3G",), letter="A"), Came(MAY_ALL, None, "2026-03-05"), 2, "it isn't said how it came"),
        (Decision(findings=("7K3G",), letter="A"), Came(MAY_ALL, "pigeon", "2026-03-05"), 2, "`--how`: `pigeon`"),
        (Decision(findings=("7K3G",), letter="A"), Came(MAY_ALL, "mail", None), 2, "it isn't said when it came"),
        (Decision(findings=("7K3G",), letter="A"), Came(MAY_ALL, "mail", "5.3.2026"), 2, "`--when`: `5.3.2026`"),
        (Decision(findings=("7K3G",), letter="A"), Came(MAY_ALL, "mail", "2099-01-01"), 2, "is yet to come"),
        (Decision(findings=("7K3G",), letter="A"), Came("N. Obody", "mail", "2026-03-05"), 3, "N. Obody is no"),
    ],
)
def test_what_is_no_decision_is_refused_in_a_sentence(
    folder: Path, decision: Decision, came: Came, code: int, said: str
) -> None:
    """Wrong use is 2, what the rules refuse is 3; nothing is written."""
    with pytest.raises(PortalError, match=re.escape(said)) as refused:
        record(opened(folder), decision, came)
    assert refused.value.code == code and not opened(folder).state.events


def test_an_answer_to_an_ask_covers_nothing_else(folder: Path) -> None:
    """A finding it doesn't ask about, all left out, its kind named anew, an ask that was taken up again."""
    logged = asked(folder, "7K3G")
    for decision, said in (
        (Decision(ask=logged.hash, letter="A", findings=("7K3F",)), "doesn't ask about 7K3F"),
        (Decision(ask=logged.hash, letter="A", left_out=("7K3G",)), "every finding was left out"),
        (Decision(ask=logged.hash, letter="A", kind="question"), "the kind is that of the ask"),
    ):
        with pytest.raises(PortalError, match=said):
            record(opened(folder), decision, CALL)
    asked(folder, "7K3G", follows=logged.hash)
    with pytest.raises(PortalError, match="is closed"):
        record(opened(folder), Decision(ask=logged.hash, letter="A"), CALL)


def test_only_a_recorded_decision_can_be_confirmed_and_by_its_own_evidence(folder: Path, tmp_path: Path) -> None:
    """Not an ask, not without a file, not by somebody else."""
    paper = tmp_path / "mail.txt"
    paper.write_bytes(b"yes")
    logged = asked(folder, "7K3G")
    first = record(opened(folder), Decision(ask=logged.hash, letter="A"), CALL).logged
    mail = Came(None, "mail", "2026-03-06", (paper,))
    for hash_, came, said in (
        (logged.hash, mail, "is no recorded decision"),
        (first.hash, Came(None, "mail", "2026-03-06"), "nothing would be confirmed"),
        (first.hash, Came(MAY_LITTLE, "mail", "2026-03-06", (paper,)), f"was decided by {MAY_ALL}, not by"),
    ):
        with pytest.raises(PortalError, match=re.escape(said)):
            confirm(opened(folder), hash_, came)


@pytest.mark.parametrize("disposition", ["rework", "scrap", "sort", "mould correction"])
def test_the_shop_decides_what_is_its_own(folder: Path, disposition: str) -> None:
    """By its engineer, bound to what the finding rests on."""
    dispose(opened(folder), disposition, ("7K3F", "7K3G"), why="the insert is worn")
    part = opened(folder)
    (decided,) = part.state.decided
    assert (str(decided.disposition), decided.side) == (disposition, OwnerSide.SHOP)
    assert part.state.finding("7K3F").is_settled(part.bases["7K3F"])


@pytest.mark.parametrize(
    ("disposition", "said"),
    [
        ("concession", "the shop can't grant itself a concession"),
        ("repair", "repair needs the customer's concession first"),
        ("regrade", "regrade needs the customer's concession first"),
        ("judged inside", "only the customer can say `judged inside`"),
        ("limit agreed", "only the customer can say `limit agreed`"),
        ("not accepted", "only the customer can say `not accepted`"),
    ],
)
def test_the_shop_can_not_decide_for_the_customer(folder: Path, disposition: str, said: str) -> None:
    """Refused with what to do; from the command line with exit code 3."""
    done = typed("record", folder, "--part", PART, "--shop", "--disposition", disposition, "--finding", "7K3F",
                 "--by", "first-engineer")  # fmt: skip
    assert done.code == 3 and said in done.err and "portal ask --part P-0001 --finding 7K3F" in done.err
    assert not opened(folder).state.events


def test_an_inspector_decides_nothing(folder: Path) -> None:
    """Neither for the shop nor on somebody's behalf."""
    for words in (
        ("--shop", "--disposition", "scrap"),
        ("--letter", "A", "--decided-by", MAY_ALL, "--how", "mail", "--when", "2026-03-05"),
    ):
        done = typed("record", folder, "--part", PART, "--finding", "7K3G", *words, "--by", INSPECTOR)
        assert done.code == 3 and "only one may record a decision" in done.err


def test_every_field_of_a_decision_comes_from_the_command_line(folder: Path, tmp_path: Path) -> None:
    """Into the event as it was typed."""
    (tmp_path / "note.txt").write_bytes(b"call")
    done = typed("record", folder, "--part", PART, "--finding", "7K3F", "--letter", "C", "--decided-by", MAY_ALL,
                 "--how", "signed document", "--when", "2026-03-05", "--justification", "hidden", "--quantity", "0500",
                 "--reference", "DEV-118", "--comment", "once", "--looked-at", "pictures", "--evidence",
                 tmp_path / "note.txt", "--by", "first-engineer")  # fmt: skip
    assert done.code == 0 and done.err == ""
    says = opened(folder).state.events[0].event.says
    assert isinstance(says, DecisionRecorded) and says.decision and says.asks is AskKind.DOES_NOT_CONFORM
    assert says.decision.letter is Answer.CONCESSION
    assert says.decision.concession == Concession(justification="hidden", quantity="0500", reference="DEV-118")
    assert (says.decision.comment, str(says.decision.looked_at)) == ("once", "pictures")
    assert "recorded for R. Reviewer (signed document, 2026-03-05): C, for 7K3F" in done.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--shop",), "it isn't said what the shop decides"),
        (("--shop", "--disposition", "scrap", "--letter", "A"), "a letter is the customer's answer"),
        (("--disposition", "scrap"), "are the shop's"),
        (("--confirms", "abcd", "--letter", "A"), "what is confirmed decides nothing new"),
        (("--limit-condition", "x"), "it isn't said which limit is agreed"),
    ],
)
def test_what_the_shop_and_what_the_customer_decides_are_not_mixed(
    folder: Path, words: tuple[str, ...], said: str
) -> None:
    """Wrong use."""
    done = typed("record", folder, "--part", PART, "--finding", "7K3F", *words, "--by", "first-engineer")
    assert done.code == 2 and said in done.err
