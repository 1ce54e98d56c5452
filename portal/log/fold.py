"""A log's events to what they come to."""

from collections import defaultdict
from collections.abc import Iterable

from portal.log.asks import ask_states
from portal.log.decisions import decisions
from portal.log.findings import finding_states
from portal.log.order import in_order
from portal.log.owed import owed
from portal.log.reviews import review_states
from portal.log.ticks import ticks
from portal.log.walk import Walk
from portal.model.event import Logged
from portal.model.logstate import Comment, LogState, Released, SampleState
from portal.model.says import CommentMade, LimitSampleApproved, LimitSampleEnded, TrialReleased, Unknown


def fold(part: str, events: Iterable[Logged]) -> LogState:
    """What all events of a part's log come to; nothing in it depends on a clock, other than the order of lists."""
    walk = Walk.over(in_order(events))
    decided = decisions(walk)
    asks = ask_states(walk, decided)
    findings = finding_states(walk, decided)
    reviews = review_states(walk, asks)
    return LogState(
        part=part,
        events=walk.ordered,
        asks=asks,
        reviews=reviews,
        findings=findings,
        decided=decided,
        released=_released(walk),
        samples=_samples(walk),
        ticks=ticks(walk),
        owed=owed(walk, asks, findings, decided),
        comments=_comments(walk),
        corrected=walk.corrected,
        unknown=tuple(each for each in walk.ordered if isinstance(each.event.says, Unknown)),
    )


def _released(walk: Walk) -> tuple[Released, ...]:
    return tuple(
        Released(
            event=each.hash,
            at=each.event.at,
            trial=each.event.about.trial or "",
            released_for=says.released_for,
            granted_by=says.granted_by,
            recorded_by=each.event.by,
            how=says.how,
            conditions=says.conditions,
            evidence=says.evidence,
            counts=each.hash not in walk.corrected,
        )
        for each, says in walk.of(TrialReleased)
    )


def _samples(walk: Walk) -> dict[str, SampleState]:
    found: dict[str, dict[str, Logged]] = defaultdict(dict)
    sides = {}
    for each, says in walk.counting(LimitSampleApproved):
        found[says.sample]["approved"] = each
        sides[says.sample] = says.side
    for each, ended in walk.counting(LimitSampleEnded):
        found[ended.sample]["ended"] = each
    return {
        id_: SampleState(id_, sides.get(id_), events.get("approved"), events.get("ended"))
        for id_, events in found.items()
    }


def _comments(walk: Walk) -> tuple[tuple[str | None, Comment], ...]:
    return tuple(
        (each.event.about.trial, Comment(each.hash, each.event.at, each.event.by, says.audience, says.comment))
        for each, says in walk.counting(CommentMade)
    )
