"""Judging by measured limits: the worst stands, each limit is shown, and each needs its characteristic."""

from collections.abc import Sequence

from portal.judge import counts, larger, limits, spacing
from portal.judge.case import Ruling, decided, not_judged
from portal.model.countable import Group
from portal.model.result import Held, Verdict
from portal.model.say import Say
from portal.model.standard import Criterion
from portal.model.terms import Edge, VerdictWord

_BEST_EVIDENCE = (
    VerdictWord.DOES_NOT_CONFORM,
    VerdictWord.UNDECIDED,
    VerdictWord.CONFORMS,
    VerdictWord.NOT_JUDGED,
)
"""Of several pictures, the worst of those on which there is a verdict."""


def hold_all(ruling: Ruling) -> tuple[Held, ...]:
    """Every limit of the criterion with what was found against it, counts and spacing included.

    What was measured of the finding alone is no count: a case without its counts is a mistake of the caller's, and
    would conform by what it lacks.
    """
    if counts_pieces(ruling.criterion) and not ruling.case.counted:
        raise ValueError(f"criterion {ruling.criterion.id} counts, and the case brings no counts")
    soft, demanded = ruling.case.defect.edge is Edge.SOFT, spacing.demanded(ruling.criterion)
    measured = tuple(
        limits.hold(limit, ruling.case.readings, criterion=ruling.criterion, soft=soft)
        for limit in ruling.criterion.limits
        if limit is not demanded
    )
    return (*measured, *ruling.case.counted)


def counts_pieces(criterion: Criterion) -> bool:
    """Whether it limits more than what can be measured of one finding alone."""
    return bool(criterion.count) or spacing.demanded(criterion) is not None


def hold_counts(criterion: Criterion, pictures: Sequence[Group], *, zone: str, soft: bool) -> tuple[Held, ...]:
    """Every count and the spacing of the criterion, each on the picture that tells the worst of it.

    All findings of a class on one picture are one group, so that what this comes to is the same for each of them.
    """
    beyond = (larger.hold(criterion, each, zone=zone, soft=soft) for each in pictures)
    # First: whatever else the shop still finds out, of a larger one nothing is agreed.
    held = [[each for each in beyond if each is not None]]
    held.extend(
        [counts.hold(band, each, criterion=criterion, zone=zone, soft=soft) for each in pictures]
        for band in criterion.count
    )
    demanded = spacing.demanded(criterion)
    if demanded is not None:
        held.append([spacing.hold(demanded, each, criterion=criterion, zone=zone, soft=soft) for each in pictures])
    return tuple(min(each, key=lambda one: _BEST_EVIDENCE.index(one.word)) for each in held if each)


def judge(ruling: Ruling, held: tuple[Held, ...]) -> Verdict:
    """What the limits come to; a characteristic that isn't measured leaves no verdict unless another limit fails."""
    if not held:
        sentence = Say.of("verdict.no-limits", criterion=ruling.criterion.id)
        return not_judged(sentence, Say.of("reason.no-limits"))
    worst = max(held, key=limits.worst_first)
    if worst.word is not VerdictWord.DOES_NOT_CONFORM:
        worst = next((each for each in held if each.word is VerdictWord.NOT_JUDGED), worst)
    return decided(worst.word, worst.sentence, reason=limits.reason_of(worst))
