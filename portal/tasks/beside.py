"""What an answer that came in stands beside: a review that asked once more since, an answer that says otherwise."""

from collections.abc import Iterator

from portal.log.decisions import disagree
from portal.model.event import Logged, check_code
from portal.model.logstate import LogState, ReviewState
from portal.model.says import AnswersReceived
from portal.tasks.telling import listed


def beside(state: LogState, review: ReviewState, logged: Logged) -> Iterator[str]:
    """Sentences about it, once it is on record."""
    says = logged.event.says
    if isinstance(says, AnswersReceived):
        yield from _asked_again(state, review, says)
        yield from _otherwise(state, logged)


def _asked_again(state: LogState, review: ReviewState, says: AnswersReceived) -> Iterator[str]:
    """An answer to an older review counts as given; what was asked since has to be known."""
    for given in says.answers:
        ask = state.asks.get(review.ask_of(given.number or 0) or "")
        later = [state.reviews[each.review] for each in (ask.sent if ask else ()) if each.at > review.sent_at]
        if later:
            told = listed(f"review {each.number} ({each.code})" for each in later)
            yield f"question {given.number} was asked once more since, in {told}: the answer counts as given"


def _otherwise(state: LogState, logged: Logged) -> Iterator[str]:
    here = [each for each in state.decided if each.event == logged.hash and each.counts]
    others = [each for each in state.decided if each.event != logged.hash and each.counts]
    for one in here:
        for bound in one.findings:
            of_it = (each for each in others if each.covers(bound.finding))
            against = [each for each in of_it if disagree((one, each), bound.finding)]
            if against:
                told = listed(
                    f"{each.by.name} ({each.disposition}, event {check_code(each.event)})" for each in against
                )
                yield f"{bound.finding}: {one.disposition} disagrees with {told}: both stand until one is closed"
