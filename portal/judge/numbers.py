"""Judging by measured limits: the worst stands, each limit is shown, and each needs its characteristic."""

from portal.judge import limits
from portal.judge.case import Ruling, decided, not_judged
from portal.model.result import Held, Verdict
from portal.model.say import Chance, Say
from portal.model.terms import Edge, VerdictWord


def hold_all(ruling: Ruling) -> tuple[Held, ...]:
    """Every limit of the criterion with what was found against it."""
    soft = ruling.case.defect.edge is Edge.SOFT
    return tuple(
        limits.hold(limit, ruling.case.readings, criterion=ruling.criterion, soft=soft)
        for limit in ruling.criterion.limits
    )


def judge(ruling: Ruling, held: tuple[Held, ...]) -> Verdict:
    """What the limits come to; a characteristic that isn't measured leaves no verdict unless another limit fails."""
    if not held:
        sentence = Say.of("verdict.no-limits", criterion=ruling.criterion.id)
        return not_judged(sentence, Say.of("reason.no-limits"))
    worst = max(held, key=limits.worst_first)
    if worst.word is not VerdictWord.DOES_NOT_CONFORM:
        worst = next((each for each in held if each.word is VerdictWord.NOT_JUDGED), worst)
    return decided(worst.word, worst.sentence, reason=_reason(worst))


def fails(held: tuple[Held, ...]) -> bool:
    """Whether any limit is broken."""
    return any(each.word is VerdictWord.DOES_NOT_CONFORM for each in held)


def _reason(held: Held) -> Say | None:
    match held.word:
        case VerdictWord.UNDECIDED:
            return Say.of("reason.undecided", chance=Chance(held.probability or 0.0))
        case VerdictWord.NOT_JUDGED:
            stem = ".".join(held.sentence.key.split(".")[1:2])
            if held.sentence.key == "verdict.not-measured.refused":
                return Say.of("reason.not-measured.refused", **dict(held.sentence.values))
            return Say.of(f"reason.{stem}", characteristic=Say.of(f"characteristic.{held.limit.characteristic.value}"))
        case _:
            return None
