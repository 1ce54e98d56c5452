"""Pieces that the customer wants kept as limit samples, and which of them are kept already."""

from collections.abc import Iterator

from portal.log.walk import Walk
from portal.model.answer import Bound, Given
from portal.model.event import Logged
from portal.model.logstate import Ticked
from portal.model.says import DecisionRecorded, LimitSampleApproved, Party


def ticks(walk: Walk) -> tuple[Ticked, ...]:
    """Every tick that counts, in order."""
    place = walk.reach.place
    return tuple(sorted(_ticked(walk), key=lambda each: place(each.event)))


def _ticked(walk: Walk) -> Iterator[Ticked]:
    kept = {
        (says.rests_on, bound.finding, says.side): says.sample
        for _, says in walk.counting(LimitSampleApproved)
        for bound in says.findings
    }
    for logged, by, given in _given(walk):
        bases = {each.finding: each for each in given.findings}
        for keep in given.keep:
            yield Ticked(
                event=logged.hash,
                at=logged.event.at,
                finding=bases.get(keep.finding) or Bound(finding=keep.finding),
                side=keep.side,
                by=by,
                given=given,
                trial=logged.event.about.trial,
                kept_as=kept.get((logged.hash, keep.finding, keep.side)),
            )


def _given(walk: Walk) -> Iterator[tuple[Logged, Party, Given]]:
    for logged, came in walk.received:
        if logged.event.about.review not in walk.withdrawn_reviews:
            yield from ((logged, came.decider, given) for given in came.answers)
    for logged, recorded in walk.counting(DecisionRecorded):
        if recorded.decision is not None and logged.event.about.review not in walk.withdrawn_reviews:
            yield logged, recorded.decided_by, recorded.decision
