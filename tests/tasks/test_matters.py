"""`portal note`, `portal close`, `portal withdraw`: what they write and what they refuse."""

import re
from pathlib import Path

import pytest

from portal.model.answer import Given, OwnQuestion
from portal.model.event import About, Logged
from portal.model.logstate import AskStatus, Owing
from portal.model.says import AnswersReceived, CommentMade, KeptFile, MatterClosed, Party, TrialReleased
from portal.problem import PortalError
from portal.tasks.ask import Wanted, ask
from portal.tasks.close import close
from portal.tasks.note import Subject, To, note, reply
from portal.tasks.record import Came, Decision, record
from portal.tasks.withdraw import withdraw
from tests.log.story import Story, answer
from tests.tasks.judged import INSPECTOR, MAY_ALL, MAY_LITTLE, PART, TRIAL_NAME, judged_catalogue, opened
from tests.tasks.small import TRIAL
from tests.tasks.two import change
from tests.tasks.typed import typed


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A catalogue with a finding of every verdict."""
    return judged_catalogue(tmp_path / "c")


def asked(folder: Path, *findings: str) -> Logged:
    """An ask about findings."""
    return ask(opened(folder), Wanted(question="Inside or outside?", findings=findings))


def decided(folder: Path, ask: Logged, letter: str, by: str, **more: object) -> Logged:
    """A reviewer's answer to it."""
    decision = Decision(ask=ask.hash, letter=letter, **more)  # type: ignore[arg-type]  # any field
    return record(opened(folder), decision, Came(by, "meeting", "2026-03-05")).logged


def sent(folder: Path, *asks: Logged) -> str:
    """They go out in a review; its digest."""
    return Story(folder, part=PART, trial=TRIAL_NAME).send(*asks)


def received(folder: Path, digest: str, *answers: Given) -> Logged:
    """An answer comes in."""
    by = Party(name=MAY_ALL, role="supplier quality", organisation="Vellorin Devices")
    return Story(folder, part=PART, trial=TRIAL_NAME).receive(digest, *answers, by=by)


def test_an_inspector_may_note_and_what_is_noted_stays_with_the_shop(folder: Path) -> None:
    """Unless it is shared; a note decides nothing."""
    done = typed("note", folder, "--part", PART, "--finding", "7K3G", "--comment", "On three more", "--by", INSPECTOR)
    assert done.code == 0 and "F. Inspector noted for the shop only on 7K3G: On three more" in done.out
    note(opened(folder), "Sent by post", Subject(trial="T1"), shared=True)
    state = opened(folder).state
    assert [(each.audience, each.by.role) for _, each in state.comments] == [
        ("shop", "inspector"), ("shared", "engineer"),
    ]  # fmt: skip
    assert state.finding("7K3G").comments[0].text == "On three more" and not state.decided


def test_a_note_is_about_one_thing(folder: Path) -> None:
    """A finding, a trial, a review or an event; none or two is wrong use."""
    logged = asked(folder, "7K3G")
    digest = sent(folder, logged)
    for subject in (Subject(finding="7K3G"), Subject(trial=TRIAL_NAME), Subject(review=digest[:8]),
                    Subject(event=logged.hash[:8])):  # fmt: skip
        assert note(opened(folder), "seen", subject).event.about.trial == TRIAL_NAME
    for subject in (Subject(), Subject(finding="7K3G", trial="T1")):
        with pytest.raises(PortalError, match="it isn't said what this is about") as refused:
            note(opened(folder), "seen", subject)
        assert refused.value.code == 2
    with pytest.raises(PortalError, match="P-0001 has no review `ffffffff`") as refused:
        note(opened(folder), "seen", Subject(review="ffffffff"))
    assert f"{digest[:8]} (review 1)" in str(refused.value.hint)
    with pytest.raises(PortalError, match="nothing is said"):
        note(opened(folder), "  ", Subject(trial="T1"))


def test_a_reply_puts_a_question_back_to_the_customer_again(folder: Path, tmp_path: Path) -> None:
    """An engineer's words, with evidence; the customer owes the answer since then."""
    logged = asked(folder, "7K3G")
    back = received(folder, sent(folder, logged), answer(1, "?", "7K3G", question="Which side?"))
    assert opened(folder).state.asks[logged.hash].status is AskStatus.QUESTION_BACK
    (tmp_path / "side.txt").write_bytes(b"the gate side")
    words = ("note", folder, "--part", PART, "--answers", back.hash[:8], "--comment", "The gate side")
    assert typed(*words, "--by", INSPECTOR).code == 3
    done = typed(*words, "--number", "1", "--evidence", tmp_path / "side.txt", "--by", "first-engineer")
    assert done.code == 0, done.err
    state = opened(folder).state
    assert state.asks[logged.hash].status is AskStatus.WAITING
    assert (state.owed[0].what, state.owed[0].since) == (Owing.ANSWER, state.events[-1].event.at)
    with pytest.raises(PortalError, match="has no answer to ask 2"):
        reply(opened(folder), "words", to=To(back.hash, 2))
    noted = note(opened(folder), "seen", Subject(trial="T1"))
    with pytest.raises(PortalError, match="asks nothing that could be replied to"):
        reply(opened(folder), "words", to=To(noted.hash))


def test_a_reply_is_about_what_it_answers(folder: Path) -> None:
    """And evidence goes with a reply."""
    words = ("note", folder, "--part", PART, "--comment", "x", "--by", "first-engineer")
    assert typed(*words, "--answers", "abcd", "--trial", "T1").code == 2
    assert typed(*words, "--trial", "T1", "--number", "1").code == 2


def test_an_open_ask_is_closed_with_why_and_its_finding_stays_undecided(folder: Path) -> None:
    """Closing decides nothing."""
    logged = asked(folder, "7K3G")
    done = typed("close", folder, "--part", PART, "--closes", logged.hash[:8], "--why", "new insert", "--by",
                 "first-engineer")  # fmt: skip
    assert done.code == 0 and f"closed {logged.hash[:8]}: new insert" in done.out
    state = opened(folder).state
    assert state.asks[logged.hash].status is AskStatus.CLOSED and not state.owed
    assert not state.finding("7K3G").is_settled()
    with pytest.raises(PortalError, match="is closed") as refused:
        close(opened(folder), (logged.hash,), why="again")
    assert refused.value.code == 3


def test_where_answers_disagree_one_of_the_customers_people_settles_which_holds(folder: Path) -> None:
    """The shop can't choose; who settles it must be allowed to give that answer; the other no longer counts."""
    logged = asked(folder, "7K3F")
    outside = decided(folder, logged, "B", MAY_LITTLE)
    full = {"justification": "hidden", "quantity": "5", "reference": "D-1"}
    granted = decided(folder, logged, "C", MAY_ALL, concession=Given.model_validate({"concession": full}).concession)
    assert opened(folder).state.asks[logged.hash].status is AskStatus.DISAGREEMENT
    for more, said, code in (
        ({}, f"answers disagree: {outside.hash[:8]} {MAY_LITTLE}: not accepted, {granted.hash[:8]} {MAY_ALL}", 3),
        ({"holds": granted.hash}, "the shop can't choose between two answers of the customer", 3),
        ({"holds": logged.hash, "settled_by": MAY_ALL}, "is none of the answers that disagree", 2),
        ({"holds": granted.hash, "settled_by": MAY_LITTLE}, f"{MAY_LITTLE} may not answer C", 3),
    ):
        with pytest.raises(PortalError, match=re.escape(said)) as refused:
            close(opened(folder), (logged.hash,), why="they spoke", **more)  # type: ignore[arg-type]  # any field
        assert refused.value.code == code
    close(opened(folder), (logged.hash,), why="they spoke", holds=granted.hash[:8], settled_by=MAY_ALL)
    state = opened(folder).state
    assert state.asks[logged.hash].status is AskStatus.CLOSED
    assert [(each.event, each.counts) for each in state.decided] == [(outside.hash, False), (granted.hash, True)]
    assert state.finding("7K3F").is_settled(opened(folder).bases["7K3F"])


def test_those_who_agree_with_the_answer_that_holds_still_count(folder: Path) -> None:
    """Two names stay two names."""
    logged = asked(folder, "7K3G")
    first, second = decided(folder, logged, "A", MAY_ALL), decided(folder, logged, "A", MAY_LITTLE)
    third = decided(folder, logged, "B", MAY_LITTLE)
    close(opened(folder), (logged.hash,), why="a slip", holds=first.hash, settled_by=MAY_LITTLE)
    counts = {each.event: each.counts for each in opened(folder).state.decided}
    assert counts == {first.hash: True, second.hash: True, third.hash: False}


def test_a_decision_that_would_go_with_the_other_answer_stops_the_closing(folder: Path) -> None:
    """The one that holds leaves out a finding that the other had decided."""
    change(folder, f"{TRIAL}/tags/c1_top.jpg.yaml", "defect: splay", "defect: black-speck")
    logged = asked(folder, "7K3F", "7K3J")
    decided(folder, logged, "B", MAY_LITTLE)
    holds = decided(folder, logged, "D", MAY_ALL, left_out=("7K3J",))
    settled = {"why": "they spoke", "holds": holds.hash, "settled_by": MAY_ALL}
    with pytest.raises(PortalError, match=re.escape(f"doesn't cover 7K3J (decided by {MAY_LITTLE})")):
        close(opened(folder), (logged.hash,), **settled)  # type: ignore[arg-type]  # any field
    record(opened(folder), Decision(findings=("7K3J",), letter="B"), Came(MAY_LITTLE, "meeting", "2026-03-05"))
    close(opened(folder), (logged.hash,), **settled)  # type: ignore[arg-type]  # any field
    state = opened(folder).state
    assert [(str(each.disposition), each.counts) for each in state.decided] == [
        ("not accepted", False), ("rework", True), ("not accepted", True),
    ]  # fmt: skip


def test_decisions_that_answer_no_ask_can_disagree_too(folder: Path) -> None:
    """One mail says inside, another outside."""
    record(opened(folder), Decision(findings=("7K3G",), letter="B"), Came(MAY_LITTLE, "mail", "2026-03-05"))
    inside = Decision(findings=("7K3G",), letter="A")
    holds = record(opened(folder), inside, Came(MAY_ALL, "mail", "2026-03-05")).logged
    close(opened(folder), (holds.hash,), why="they spoke", holds=holds.hash, settled_by=MAY_ALL)
    assert [each.counts for each in opened(folder).state.decided] == [False, True]


def test_what_is_owed_for_another_event_can_be_closed(folder: Path) -> None:
    """A confirmation that won't come, a question of the reviewer's own; what a no leads to can't."""
    logged = asked(folder, "7K3G")
    call = decided(folder, logged, "B", MAY_ALL)
    assert {each.what for each in opened(folder).state.owed} == {Owing.CONFIRMATION, Owing.DISPOSITION}
    close(opened(folder), (call.hash,), why="the trial is over")
    assert [each.what for each in opened(folder).state.owed] == [Owing.DISPOSITION]
    with pytest.raises(PortalError, match="what becomes of it has to be said, not closed"):
        close(opened(folder), (call.hash,), why="the trial is over")
    raw = folder / "answer.txt"
    raw.write_bytes(b"?")
    own = AnswersReceived(
        answered_by=Party(name=MAY_ALL),
        raw=KeptFile(file="answer.txt", sha256="8a8de823d5ed3e12746a62ef169bcf372be0ca44f0a1236abc35df05d96928e1"),
        questions=(OwnQuestion(question="When?"),),
    )
    came = opened(folder).write(own, About(trial=TRIAL_NAME))
    close(opened(folder), (came.hash,), why="told on the telephone")
    assert Owing.REPLY not in {each.what for each in opened(folder).state.owed}


def test_nothing_is_closed_that_nobody_owes(folder: Path) -> None:
    """And `--holds` belongs to answers that disagree; an unknown event is wrong use."""
    noted = note(opened(folder), "seen", Subject(trial="T1"))
    logged = asked(folder, "7K3G")
    for hashes, more, said in (
        ((noted.hash,), {}, "nothing is owed for"),
        ((logged.hash,), {"holds": logged.hash}, "no answers disagree in what is closed"),
        (("dead",), {}, "has no event `dead`"),
        (("d",), {}, "has no event `d`"),
        ((logged.hash,), {"why": " "}, "it isn't said what is closed and why"),
    ):
        with pytest.raises(PortalError, match=said):
            close(opened(folder), hashes, **{"why": "done", **more})  # type: ignore[arg-type]  # any field
    assert not any(isinstance(each.event.says, MatterClosed) for each in opened(folder).state.events)


def test_a_finding_and_a_review_are_withdrawn_once_with_why(folder: Path) -> None:
    """Both stay in the log; answers to a withdrawn review no longer count."""
    logged = asked(folder, "7K3G")
    digest = sent(folder, logged)
    received(folder, digest, answer(1, "A", "7K3G"))
    withdraw(opened(folder), Subject(review=digest[:8]), why="wrong pictures")
    state = opened(folder).state
    assert state.reviews[digest].withdrawn and not state.decided[0].counts
    with pytest.raises(PortalError, match=r"was withdrawn by F\. Engineer"):
        withdraw(opened(folder), Subject(review=digest[:8]), why="again")
    done = typed("withdraw", folder, "--part", PART, "--finding", "7K3F", "--why", "a hair", "--by", "first-engineer")
    assert done.code == 0 and "withdrew finding 7K3F: a hair" in done.out
    assert opened(folder).state.finding("7K3F").withdrawn
    with pytest.raises(PortalError, match=r"finding 7K3F was withdrawn by F\. Engineer"):
        withdraw(opened(folder), Subject(finding="7K3F"), why="again")


def test_what_was_entered_wrongly_is_taken_back_and_stays(folder: Path) -> None:
    """By an event that names it, and the one that says it rightly."""
    logged = asked(folder, "7K3G")
    wrong = decided(folder, logged, "B", MAY_ALL)
    right = decided(folder, logged, "A", MAY_ALL)
    withdraw(opened(folder), Subject(event=wrong.hash[:8]), why="misheard", instead=right.hash)
    state = opened(folder).state
    assert [each.counts for each in state.decided] == [False, True] and len(state.events) == 4
    with pytest.raises(PortalError, match="was taken back by"):
        withdraw(opened(folder), Subject(event=wrong.hash), why="again")


def test_an_answer_is_taken_back_on_the_customers_word_alone(folder: Path) -> None:
    """The shop can't rid itself of one; once they say that it isn't theirs, its finding is undecided again."""
    logged = asked(folder, "7K3G")
    digest = sent(folder, logged)
    came = received(folder, digest, answer(1, "B", "7K3G"))
    with pytest.raises(PortalError, match="the shop can't say, only the customer") as refused:
        withdraw(opened(folder), Subject(event=came.hash), why="we don't like it")
    assert refused.value.code == 3
    with pytest.raises(PortalError, match=r"F\. Engineer is no reviewer"):
        ours = Came("F. Engineer", "telephone", "2026-02-28")
        withdraw(opened(folder), Subject(event=came.hash), why="x", came=ours)
    told = Came(MAY_ALL, "telephone", "2026-02-28")
    with pytest.raises(PortalError, match="nothing of the shop's can stand in the place"):
        withdraw(opened(folder), Subject(event=came.hash), why="x", instead=logged.hash, came=told)
    with pytest.raises(PortalError, match="goes with an answer that came in"):
        withdraw(opened(folder), Subject(event=logged.hash), why="x", came=told)
    gone = withdraw(opened(folder), Subject(event=came.hash[:8]), why="their account was used by another", came=told)
    state = opened(folder).state
    assert not any(each.counts for each in state.decided) and state.asks[logged.hash].status is AskStatus.WAITING
    assert [each.what for each in state.owed] == [Owing.ANSWER] and came in state.events
    with pytest.raises(PortalError, match="the shop can't say, only the customer"):
        withdraw(opened(folder), Subject(event=gone.hash), why="we would like it back")
    withdraw(opened(folder), Subject(event=gone.hash), why="it was theirs after all", came=told)
    assert opened(folder).state.asks[logged.hash].status is AskStatus.ANSWERED


def test_another_of_theirs_says_so_only_as_far_as_they_may_decide(folder: Path) -> None:
    """Who may not grant a concession can't take one back either."""
    digest = sent(folder, asked(folder, "7K3G"))
    came = received(folder, digest, answer(1, "C", "7K3G"))
    with pytest.raises(PortalError, match=r"L\. Lookalong may not answer C"):
        told = Came(MAY_LITTLE, "telephone", "2026-02-28")
        withdraw(opened(folder), Subject(event=came.hash), why="x", came=told)


def test_what_rests_on_an_answer_is_taken_back_first(folder: Path) -> None:
    """A closing that lets it hold, a release after it; each named with the command that takes it back."""
    logged = asked(folder, "7K3G")
    digest = sent(folder, logged)
    received(folder, digest, answer(1, "A", "7K3G"))
    second = received(folder, digest, answer(1, "B", "7K3G"))
    close(opened(folder), (logged.hash,), why="settled", holds=second.hash, settled_by=MAY_ALL)
    about, told = Subject(event=second.hash), Came(MAY_ALL, "telephone", "2026-02-28")
    granted = {"released_for": "next trial", "granted_by": Party(name=MAY_ALL), "when": "2026-03-01"}
    opened(folder).write(TrialReleased.model_validate(granted), About(trial=TRIAL_NAME))
    with pytest.raises(PortalError, match=r"on this answer rests closing .* and release") as refused:
        withdraw(opened(folder), about, why="not theirs", came=told)
    for code in re.findall(r"--event ([0-9a-f]{8})", refused.value.hint or ""):
        withdraw(opened(folder), Subject(event=code), why="what it rests on isn't theirs")
    withdraw(opened(folder), about, why="not theirs", came=told)
    state = opened(folder).state
    assert [each.letter for each in state.decided if each.counts] == ["A"]
    assert not state.released[0].counts


def test_a_sent_review_can_not_be_taken_back_as_an_error(folder: Path) -> None:
    """It is withdrawn."""
    digest = sent(folder, asked(folder, "7K3G"))
    review = opened(folder).state.reviews[digest]
    with pytest.raises(PortalError, match="is withdrawn by its check code"):
        withdraw(opened(folder), Subject(event=review.event), why="wrong")


def test_one_thing_is_withdrawn_and_why_is_said(folder: Path) -> None:
    """Else wrong use; an inspector withdraws nothing."""
    for subject, more, said in (
        (Subject(), {}, "it isn't said what is withdrawn"),
        (Subject(finding="7K3F", review="a" * 8), {}, "it isn't said what is withdrawn"),
        (Subject(finding="7K3F"), {"why": ""}, "it isn't said why"),
        (Subject(finding="7K3F"), {"instead": "abcd"}, "goes with `--event`"),
        (Subject(finding="7K3Z"), {}, "has no finding `7K3Z`"),
    ):
        with pytest.raises(PortalError, match=said) as refused:
            withdraw(opened(folder), subject, **{"why": "x", **more})  # type: ignore[arg-type]  # any field
        assert refused.value.code == 2
    done = typed("withdraw", folder, "--part", PART, "--finding", "7K3F", "--why", "a hair", "--by", INSPECTOR)
    assert done.code == 3 and not opened(folder).state.events


@pytest.mark.parametrize("command", ["ask", "note", "record", "release", "close", "withdraw", "log"])
def test_every_command_has_an_example_in_its_help(command: str) -> None:
    """One that begins with the command itself."""
    assert f"Example: portal {command}" in typed(command, "--help").out


def test_a_comment_is_kept_as_it_was_written(folder: Path) -> None:
    """A part number with zeros, line breaks within; blanks around it go."""
    logged = note(opened(folder), " 0044\nno ", Subject(trial="T1"))
    assert isinstance(logged.event.says, CommentMade) and logged.event.says.comment == "0044\nno"
