"""Each sent review with what came back, and how long that took."""

from collections import defaultdict
from collections.abc import Mapping

from portal.log.walk import Walk
from portal.model.event import Logged
from portal.model.logstate import AskState, AskStatus, Received, ReviewState
from portal.model.says import AnswersReceived, ReviewSent

_DONE = frozenset({AskStatus.ANSWERED, AskStatus.CLOSED})


def review_states(walk: Walk, asks: Mapping[str, AskState]) -> dict[str, ReviewState]:
    """By digest, in order; the same review recorded as sent twice is one."""
    came: dict[str, list[Received]] = defaultdict(list)
    counting = {each.hash for each, _ in walk.received}
    for each, says in walk.of(AnswersReceived):
        if each.event.about.review is not None:
            came[each.event.about.review].append(_received(each, says, counts=each.hash in counting))
    found: dict[str, ReviewState] = {}
    for each, sent in walk.counting(ReviewSent):
        if sent.digest not in found:
            found[sent.digest] = _review(walk, each, sent, tuple(came.get(sent.digest, ())), asks)
    return found


def _received(logged: Logged, says: AnswersReceived, *, counts: bool) -> Received:
    return Received(
        event=logged.hash,
        at=logged.event.at,
        review=logged.event.about.review,
        answered_by=says.answered_by,
        accepted_as=says.accepted_as,
        raw=says.raw,
        answers=says.answers,
        questions=says.questions,
        unclear=says.unclear,
        counts=counts,
    )


def _review(
    walk: Walk, logged: Logged, sent: ReviewSent, received: tuple[Received, ...], asks: Mapping[str, AskState]
) -> ReviewState:
    in_order = sorted(sent.asks, key=lambda each: each.number)
    hashes = tuple(each.ask for each in in_order)
    counting = [each.at for each in received if each.counts]
    return ReviewState(
        digest=sent.digest,
        number=sent.number,
        trial=logged.event.about.trial,
        event=logged.hash,
        sent_at=logged.event.at,
        sent_by=logged.event.by,
        to=sent.to,
        asks=hashes,
        numbers=tuple(each.number for each in in_order),
        received=received,
        withdrawn=walk.withdrawn_reviews.get(sent.digest),
        first_answer_at=min(counting, default=None),
        complete_at=_complete_at(walk, [asks[hash_] for hash_ in hashes if hash_ in asks]),
    )


def _complete_at(walk: Walk, asks: list[AskState]) -> str | None:
    """When the last of the asks was answered or closed; None while one isn't."""
    if not asks or any(each.status not in _DONE for each in asks):
        return None
    return max(_done_at(walk, each) for each in asks)


def _done_at(walk: Walk, ask: AskState) -> str:
    if ask.hash in walk.closed:
        return walk.closed[ask.hash][0].event.at
    times = [each.at for each in ask.decided if each.counts] or [each.at for each in ask.replies]
    return max(times, default=ask.asked.event.at)
