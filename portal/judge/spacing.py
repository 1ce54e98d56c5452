"""Judging spacing: the smallest distance from edge to edge between any two countables of a class in a zone.

A smaller distance can only come with more of them: it is worked out with every doubtful one in and with every one out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from portal.judge import extent, limits, naming, sized
from portal.judge.nearest import Drawn, nearest
from portal.judge.sized import Member, Sorted
from portal.model.countable import Group
from portal.model.result import Held
from portal.model.say import Say
from portal.model.standard import Criterion, Limit
from portal.model.terms import Characteristic, Edge, VerdictWord
from portal.model.terms import Drawn as Drawing

_WORST_EDGE = (Edge.SHARP, Edge.TORN, Edge.SOFT)


def demanded(criterion: Criterion) -> Limit | None:
    """The criterion's spacing as a limit; None where it demands none."""
    if criterion.spacing is not None:
        return Limit(characteristic=Characteristic.SPACING, min=criterion.spacing)
    return next((each for each in criterion.limits if each.characteristic is Characteristic.SPACING), None)


def hold(limit: Limit, group: Group, *, criterion: Criterion, zone: str, soft: bool) -> Held:
    """The smallest distance on one picture against the smallest allowed.

    It has the uncertainty of a line between the two edges. `soft` says that the defect class has no definite edge.
    """
    items = [each for each in group.items if each.defect == criterion.defect and zone in each.zones]
    found = [
        each
        for each in sized.sort(items, criterion, sized.smallest(criterion), soft=soft, sized=False)
        if each.member is not Member.NO
    ]
    refused = group.refused or (_refused(found, group, criterion, soft=soft) if len(found) > 1 else None)
    if refused is not None:
        return _not_judged(limit, criterion, Say.of("verdict.spacing-refused", why=refused), refused)
    sure = _smallest([each for each in found if each.member is Member.YES], limit, group, criterion)
    if sure.held.word is VerdictWord.DOES_NOT_CONFORM:
        return sure.held
    needed = limit.min or limit.max
    too_wide = extent.of_length(needed, group) if needed is not None else None
    if too_wide is not None:
        return _not_judged(limit, criterion, Say.of("verdict.spacing-refused", why=too_wide), too_wide)
    return _of_both(sure, _smallest(found, limit, group, criterion), found, criterion)


@dataclass(frozen=True, slots=True)
class _Smallest:
    """The two countables that lie nearest to each other, held against the limit."""

    held: Held
    pair: tuple[Sorted, ...] = ()


def _refused(found: Sequence[Sorted], group: Group, criterion: Criterion, *, soft: bool) -> Say | None:
    if isinstance(group.ruler, Say):
        return group.ruler
    if soft and criterion.edge_drawn is None:
        return Say.of("reason.item-soft")
    return None


def _smallest(found: Sequence[Sorted], limit: Limit, group: Group, criterion: Criterion) -> _Smallest:
    placed = [(each, each.item.place) for each in found]
    there = [(each, place) for each, place in placed if place is not None]
    gap = nearest([Drawn(place.at, np.array(place.corners), place.closed) for _, place in there])
    if gap is None or isinstance(group.ruler, Say):
        alone = Say.of("verdict.spacing-alone", n=len(found))
        return _Smallest(Held(limit, VerdictWord.CONFORMS, alone, decision=criterion.decision))
    (one, first), (other, second) = there[gap.first], there[gap.second]
    edge = max(first.edge, second.edge, key=_WORST_EDGE.index)
    drawn = Drawing.BY_HAND if Drawing.BY_HAND in (first.drawn, second.drawn) else Drawing.EDGE_FOUND
    held = limits.hold_one(limit, group.ruler.between(*gap.ends, edge=edge, drawn=drawn), criterion.decision)
    key = f"verdict.spacing-{held.word.value.replace(' ', '-')}"
    sentence = Say.of(key, sentence=held.sentence, items=naming.names((one.item, other.item)))
    return _Smallest(replace(held, sentence=sentence, reason=limits.reason_of(held)), (one, other))


def _of_both(sure: _Smallest, every: _Smallest, found: Sequence[Sorted], criterion: Criterion) -> Held:
    """Where doubtful countables change the word they are named; what the shop can find out leaves no verdict."""
    lost = [each for each in found if each.item.place is None] if len(found) > 1 else []
    if every.held.word is sure.held.word and not lost:
        return every.held
    deciding = [*(each for each in every.pair if each.member is not Member.YES), *lost]
    unknown = [each for each in deciding if each.member is Member.UNKNOWN or each in lost]
    if unknown:
        why = unknown[0].why or Say.of("reason.item-undrawn")
        sentence = Say.of("verdict.spacing-unknown", items=naming.items(unknown), n=len(unknown), why=why)
        return _not_judged(every.held.limit, criterion, sentence, why)
    items, n = naming.items(deciding), len(deciding)
    return replace(
        every.held,
        word=VerdictWord.UNDECIDED,
        sentence=Say.of("verdict.spacing-undecided.size", sentence=every.held.sentence, items=items, n=n),
        reason=Say.of("reason.count-undecided", items=items, n=n),
    )


def _not_judged(limit: Limit, criterion: Criterion, sentence: Say, reason: Say) -> Held:
    return Held(limit, VerdictWord.NOT_JUDGED, sentence, decision=criterion.decision, reason=reason)
