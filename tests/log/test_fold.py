"""What a log comes to: what stands, what is open, who owes what."""

from datetime import timedelta
from pathlib import Path

from portal.log import fold, read
from portal.model.answer import AskKind, Disposition
from portal.model.event import About
from portal.model.logstate import AskStatus, Owing
from portal.model.says import (
    DecisionRecorded,
    DispositionGiven,
    EventCorrected,
    FindingChanged,
    FindingWithdrawn,
    How,
    KeptFile,
    MatterClosed,
    QuestionAnswered,
    ReviewWithdrawn,
)
from tests.log.story import (
    AMMERLUND,
    CONCESSION,
    ENGINEER,
    OOSTERVALD,
    PART,
    START,
    TRIAL,
    Story,
    answer,
    bound,
    ticking,
    write_raw,
)


def owing(story: Story) -> list[Owing]:
    """What is owed now, in order."""
    return [each.what for each in story.state().owed]


def test_an_ask_waits_first_for_its_sending_then_for_the_customer(tmp_path: Path) -> None:
    """Who owes what changes with each event, and since when is that event's time."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.NOT_SENT
    assert [(each.what, each.since) for each in state.owed] == [(Owing.SENDING, asked.event.at)]
    digest = story.send(asked)
    state = story.state()
    waiting = state.owed[0]
    assert (waiting.what, waiting.who, waiting.due) == (Owing.ANSWER, ("K. Ammerlund",), "2026-03-10")
    assert waiting.since == state.reviews[digest].sent_at > asked.event.at


def test_an_answer_settles_the_finding_and_the_review(tmp_path: Path) -> None:
    """Judged inside is a disposition; the review is complete when its last ask is answered."""
    story = Story(tmp_path)
    asked = story.ask("7K3F", "7K3G")
    digest = story.send(asked)
    received = story.receive(digest, answer(1, "A", "7K3F", "7K3G"))
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.ANSWERED
    assert state.owed == ()
    assert state.finding("7K3F").is_settled() and state.finding("7K3G").is_settled()
    assert state.finding("7K3F").dispositions()[0].disposition is Disposition.JUDGED_INSIDE
    review = state.reviews[digest]
    assert review.first_answer_at == review.complete_at == received.event.at
    assert not state.finding("0000").is_settled()


def test_findings_that_were_taken_out_stay_open(tmp_path: Path) -> None:
    """An answer covers what it names and nothing else."""
    story = Story(tmp_path)
    asked = story.ask("7K3F", "7K3G")
    story.receive(story.send(asked), answer(1, "A", "7K3F", left_out=["7K3G"]))
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.PARTLY
    assert [(each.what, each.findings) for each in state.owed] == [(Owing.ANSWER, ("7K3G",))]
    assert not state.finding("7K3G").is_settled()


def test_two_answers_that_disagree_both_stand_until_closed(tmp_path: Path) -> None:
    """No clock decides which of them holds; closing says so, and by whom it was settled."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    digest = story.send(asked)
    yes = story.receive(digest, answer(1, "A", "7K3F"))
    no = story.receive(digest, answer(1, "B", "7K3F"), by=OOSTERVALD)
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.DISAGREEMENT
    assert [each.counts for each in state.finding("7K3F").decided] == [True, True]
    assert not state.finding("7K3F").is_settled()
    assert owing(story) == [Owing.CLOSING]
    closes = (asked.hash, yes.hash, no.hash)
    story.tell(MatterClosed(closes=closes, holds=yes.hash, why="told on the telephone", settled_by=OOSTERVALD))
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.CLOSED
    assert [(each.disposition, each.counts) for each in state.finding("7K3F").decided] == [
        (Disposition.JUDGED_INSIDE, True),
        (Disposition.JUDGED_OUTSIDE, False),
    ]
    assert state.finding("7K3F").is_settled()


def test_a_closing_holds_only_for_the_asks_it_names(tmp_path: Path) -> None:
    """An answer to two asks that is set aside for one of them counts for the other."""
    story = Story(tmp_path)
    one, two = story.ask("7K3F"), story.ask("7K3G")
    digest = story.send(one, two)
    both = story.receive(digest, answer(1, "B", "7K3F"), answer(2, "A", "7K3G"))
    other = story.receive(digest, answer(1, "A", "7K3F"), by=OOSTERVALD)
    closes = (one.hash, both.hash, other.hash)
    story.tell(MatterClosed(closes=closes, holds=other.hash, why="seen again", settled_by=AMMERLUND))
    state = story.state()
    assert state.finding("7K3F").dispositions()[0].disposition is Disposition.JUDGED_INSIDE
    assert state.finding("7K3G").is_settled()


def test_the_same_answer_twice_changes_nothing(tmp_path: Path) -> None:
    """Two machines took the same file; it counts once."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    digest = story.send(asked)
    other = story.elsewhere()
    story.receive(digest, answer(1, "A", "7K3F"), raw="the file")
    before = story.state()
    other.receive(digest, answer(1, "A", "7K3F"), raw="the file")
    after = story.state()
    assert len(after.events) == len(before.events) + 1
    assert after.decided == before.decided
    assert [each.counts for each in after.reviews[digest].received] == [True, False]


def test_the_same_words_from_two_people_are_two_answers(tmp_path: Path) -> None:
    """`1 A` pasted from either reviewer has the same bytes."""
    story = Story(tmp_path)
    asked = story.ask("7K3F", names=2)
    digest = story.send(asked)
    story.receive(digest, answer(1, "A", "7K3F"), raw="1 A")
    assert [(each.what, each.who) for each in story.state().owed] == [(Owing.SECOND_NAME, ("J. Oostervald",))]
    story.receive(digest, answer(1, "A", "7K3F"), raw="1 A", by=OOSTERVALD)
    assert story.state().asks[asked.hash].status is AskStatus.ANSWERED
    assert owing(story) == []


def test_a_question_back_is_the_shops_to_answer_and_then_the_customers_again(tmp_path: Path) -> None:
    """Each turn is owed since the event that made it."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    back = story.receive(story.send(asked), answer(1, "?", "7K3F", question="Which side?"))
    owed = story.state().owed
    assert [(each.what, each.text, each.since) for each in owed] == [(Owing.REPLY, "Which side?", back.event.at)]
    told = story.tell(QuestionAnswered(words="The gate's side"), about=About(trial=TRIAL, event=back.hash))
    owed = story.state().owed
    assert [(each.what, each.since) for each in owed] == [(Owing.ANSWER, told.event.at)]


def test_words_to_one_ask_of_an_answer_leave_its_other_questions_open(tmp_path: Path) -> None:
    """A number says which of them was answered."""
    story = Story(tmp_path)
    one, two = story.ask("7K3F"), story.ask("7K3G")
    back = story.receive(story.send(one, two), answer(1, "?", "7K3F"), answer(2, "?", "7K3G"))
    story.tell(QuestionAnswered(words="The gate's", number=2), about=About(event=back.hash))
    state = story.state()
    assert state.asks[one.hash].status is AskStatus.QUESTION_BACK
    assert state.asks[two.hash].status is AskStatus.WAITING


def test_more_evidence_is_the_shops_until_the_ask_goes_out_again(tmp_path: Path) -> None:
    """By someone who had read the wish; a review packed at the same time elsewhere doesn't do."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    digest = story.send(asked)
    other = story.elsewhere()
    story.receive(digest, answer(1, "E", "7K3F", evidence=["side view"]))
    assert [(each.what, each.text) for each in story.state().owed] == [(Owing.EVIDENCE, "side view")]
    other.send(asked, number=2)
    assert owing(story) == [Owing.EVIDENCE]
    Story(tmp_path, story.clock).send(asked, number=3)
    assert owing(story) == [Owing.ANSWER]


def test_an_ask_that_is_taken_up_again_by_another_is_closed(tmp_path: Path) -> None:
    """The follower is what waits."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    story.receive(story.send(asked), answer(1, "E", "7K3F"))
    again = story.ask("7K3F", follows=asked.hash)
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.CLOSED
    assert [(each.what, each.ask) for each in state.owed] == [(Owing.SENDING, again.hash)]


def test_a_concession_that_lacks_something_settles_nothing(tmp_path: Path) -> None:
    """Justification, scope and reference: what is missing is told, and owed by who granted it."""
    story = Story(tmp_path)
    asked = story.ask("7K3F", kind=AskKind.DOES_NOT_CONFORM)
    digest = story.send(asked)
    story.receive(digest, answer(1, "C", "7K3F", concession={"quantity": "500", "reference": "DEV-118"}))
    state = story.state()
    assert [(each.what, each.who, each.text) for each in state.owed] == [
        (Owing.CONCESSION, ("K. Ammerlund",), "justification")
    ]
    assert not state.finding("7K3F").is_settled()
    story.receive(digest, answer(1, "C", "7K3F", concession=CONCESSION))
    assert story.state().finding("7K3F").is_settled()


def test_two_concessions_of_different_reach_disagree(tmp_path: Path) -> None:
    """500 pieces and 200 pieces are not the same decision."""
    story = Story(tmp_path)
    asked = story.ask("7K3F", kind=AskKind.DOES_NOT_CONFORM)
    digest = story.send(asked)
    story.receive(digest, answer(1, "C", "7K3F", concession=CONCESSION))
    story.receive(digest, answer(1, "C", "7K3F", concession=CONCESSION.model_copy(update={"quantity": "200"})))
    assert story.state().asks[asked.hash].status is AskStatus.DISAGREEMENT


def test_after_a_no_the_shop_owes_what_becomes_of_the_piece(tmp_path: Path) -> None:
    """Not accepted isn't a disposition yet; scrapping it is, and doesn't disagree."""
    story = Story(tmp_path)
    asked = story.ask("7K3F", kind=AskKind.DOES_NOT_CONFORM)
    story.receive(story.send(asked), answer(1, "B", "7K3F"))
    assert owing(story) == [Owing.DISPOSITION]
    assert not story.state().finding("7K3F").is_settled()
    story.tell(DispositionGiven(disposition=Disposition.SCRAP, findings=bound("7K3F"), why="bag 3"))
    assert owing(story) == []
    assert story.state().finding("7K3F").is_settled()


def test_a_decision_by_telephone_stays_unconfirmed_until_evidence_comes(tmp_path: Path) -> None:
    """Evidence is brought by a second event; nothing is changed."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    given = answer(1, "A", "7K3F", ask=asked.hash)
    recorded = story.tell(DecisionRecorded(decided_by=AMMERLUND, how=How.TELEPHONE, when="2026-03-05", decision=given))
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.ANSWERED
    assert not state.decided[0].confirmed and state.decided[0].recorded_by == ENGINEER
    assert owing(story) == [Owing.CONFIRMATION]
    letter = KeptFile(file="parts/LC-0440/evidence/letter.pdf", sha256="e" * 64)
    story.tell(
        DecisionRecorded(
            decided_by=AMMERLUND, how=How.DOCUMENT, when="2026-03-06", evidence=(letter,), confirms=recorded.hash
        )
    )
    state = story.state()
    assert len(state.decided) == 1 and state.decided[0].confirmed
    assert state.owed == ()


def test_an_agreed_limit_is_owed_as_a_criterion(tmp_path: Path) -> None:
    """Until the engineer closes that: it is no criterion by itself."""
    story = Story(tmp_path)
    asked = story.ask("7K3F", kind=AskKind.NOT_AGREED)
    limit = {"limit": "height up to 0.12 mm", "holds": "from now"}
    came = story.receive(story.send(asked), answer(1, "A", "7K3F", limit=limit))
    (owed,) = story.state().owed
    assert (owed.what, owed.text) == (Owing.CRITERION, "height up to 0.12 mm, from now")
    story.tell(MatterClosed(closes=(came.hash,), why="entered as GV-B revision 5"))
    assert owing(story) == []
    assert story.state().finding("7K3F").is_settled()


def test_an_answer_to_what_was_shown_before_a_change_is_kept_and_asked_again(tmp_path: Path) -> None:
    """The decision stands as given; on the new basis there is none."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    story.receive(story.send(asked), answer(1, "A", "7K3F"))
    change = FindingChanged(old="b" * 64, new="c" * 64, what="shape drawn anew", why="edge was missed")
    story.tell(change, about=About(trial=TRIAL, finding="7K3F"))
    state = story.state()
    assert not state.finding("7K3F").is_settled()
    assert state.finding("7K3F").decided[0].counts
    assert owing(story) == [Owing.ASKING]
    again = story.ask("7K3F", follows=asked.hash)
    story.receive(story.send(again, number=2, basis="c"), answer(1, "B", "7K3F", basis="c"))
    state = story.state()
    assert not state.finding("7K3F").disagree
    assert owing(story) == [Owing.DISPOSITION]


def test_what_was_answered_to_a_withdrawn_review_no_longer_counts(tmp_path: Path) -> None:
    """Nothing disappears: the answer is listed, the ask has to be sent again."""
    story = Story(tmp_path)
    asked = story.ask("7K3F")
    digest = story.send(asked)
    story.receive(digest, answer(1, "A", "7K3F"))
    story.tell(ReviewWithdrawn(why="wrong picture"), about=About(trial=TRIAL, review=digest))
    state = story.state()
    assert state.asks[asked.hash].status is AskStatus.NOT_SENT
    assert [each.counts for each in state.decided] == [False]
    assert state.reviews[digest].withdrawn is not None
    assert len(state.reviews[digest].received) == 1


def test_a_correction_takes_back_and_can_itself_be_taken_back(tmp_path: Path) -> None:
    """It names what it corrects; the corrected event stays in the log."""
    story = Story(tmp_path)
    scrap = story.tell(DispositionGiven(disposition=Disposition.SCRAP, findings=bound("7K3F")))
    slip = story.tell(EventCorrected(why="wrong finding"), about=About(event=scrap.hash))
    assert story.state().corrected == {scrap.hash: slip.hash}
    assert not story.state().finding("7K3F").is_settled()
    story.tell(EventCorrected(why="it was right"), about=About(event=slip.hash))
    assert story.state().finding("7K3F").is_settled()


def test_a_withdrawn_finding_needs_no_answer(tmp_path: Path) -> None:
    """Its ask closes with it, unless other findings are left."""
    story = Story(tmp_path)
    one, both = story.ask("7K3F"), story.ask("7K3F", "7K3G")
    story.send(one, both)
    story.tell(FindingWithdrawn(why="dust, blown off"), about=About(finding="7K3F"))
    state = story.state()
    assert state.asks[one.hash].status is AskStatus.CLOSED
    assert state.asks[both.hash].status is AskStatus.WAITING
    assert state.finding("7K3F").is_settled()


def test_no_clock_decides_what_holds(tmp_path: Path) -> None:
    """The same events written with clocks that run backwards come to the same decisions and debts."""
    states = []
    for name, step in (("forwards", timedelta(minutes=1)), ("backwards", timedelta(minutes=-1))):
        story = Story(tmp_path / name, ticking(START, step))
        asked = story.ask("7K3F")
        back = story.receive(story.send(asked), answer(1, "?", "7K3F"))
        story.tell(QuestionAnswered(words="Here"), about=About(event=back.hash))
        states.append(story.state())
    assert [each.event.kind for each in states[0].events] == [
        "question-asked",
        "review-sent",
        "answers-received",
        "question-answered",
    ]
    forwards, backwards = states
    assert [each.event.kind for each in forwards.events] == [each.event.kind for each in backwards.events]
    assert [each.what for each in forwards.owed] == [each.what for each in backwards.owed] == [Owing.ANSWER]


def test_events_of_an_unknown_kind_are_in_the_state(tmp_path: Path) -> None:
    """They are shown as such."""
    write_raw(tmp_path, kind="sample-borrowed", says={"who": "J. Oostervald"})
    log = read(tmp_path, PART)
    state = fold(PART, log.events)
    assert [each.event.kind for each in state.unknown] == ["sample-borrowed"]
    assert not log.problems
