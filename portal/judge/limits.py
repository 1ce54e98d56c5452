"""Holds measured values against agreed limits; each limit comes to one `Held`."""

import math
from collections.abc import Sequence

from portal.judge import bounds, conformity
from portal.model.result import Held, Measurement, Reading, Unmeasured
from portal.model.say import Chance, Say
from portal.model.scalars import Length
from portal.model.standard import Criterion, Limit
from portal.model.terms import Characteristic, Decision, ShapeKind, VerdictWord

_OUTLINED = {ShapeKind.LINE, ShapeKind.RECTANGLE, ShapeKind.ELLIPSE, ShapeKind.OUTLINE}
"""Shapes that follow a finding's own edge, so that a soft edge leaves them without a value to judge."""
_EVENLY = "verdict.undecided.even"
_EVEN = 0.005
"""A probability that is shown as 50 % is called even."""


def hold(limit: Limit, readings: Sequence[Reading], *, criterion: Criterion, soft: bool = False) -> Held:
    """The worst of all readings of the limit's characteristic against it, or why it isn't judged.

    Unrounded values in µm are compared. `soft` says that the defect class has no definite edge: what was drawn
    along it counts only where the criterion says how the edge is drawn.
    """
    refused = _cannot_hold(limit, criterion)
    if refused is not None:
        return refused
    measured = [each for each in _of(limit.characteristic, readings) if isinstance(each, Measurement)]
    usable = [each for each in measured if not (soft and criterion.edge_drawn is None and each.shape in _OUTLINED)]
    if usable:
        return max((hold_one(limit, each, criterion.decision) for each in usable), key=worst_first)
    if measured:
        return _not_judged(limit, criterion, Say.of("verdict.soft-edge", characteristic=_name(limit)))
    return _not_measured(limit, readings, criterion)


def worst_first(held: Held) -> tuple[int, float, float]:
    """A key that is highest for the worst: by word, then by probability, then by how far outside it lies in u."""
    return (held.word.badness, -1.0 if held.probability is None else -held.probability, _excess(held))


def _excess(held: Held) -> float:
    """How many u beyond the nearest limit the value lies; negative inside."""
    measurement, limits = held.measurement, bounds.limits_of(held.limit) if held.measurement else None
    if measurement is None or limits is None:
        return -math.inf
    beyond = [] if limits.high is None else [measurement.value - limits.high]
    beyond += [] if limits.low is None else [limits.low - measurement.value]
    return max(beyond) / measurement.u if measurement.u > 0 else max(beyond)


def _of(characteristic: Characteristic, readings: Sequence[Reading]) -> list[Reading]:
    return [each for each in readings if each.characteristic is characteristic]


def _name(limit: Limit) -> Say:
    return Say.of(f"characteristic.{limit.characteristic.value}")


def _not_judged(limit: Limit, criterion: Criterion, sentence: Say, measurement: Measurement | None = None) -> Held:
    return Held(limit, VerdictWord.NOT_JUDGED, sentence, measurement, decision=criterion.decision)


def _cannot_hold(limit: Limit, criterion: Criterion) -> Held | None:
    if limit.characteristic is Characteristic.AREA:
        return _not_judged(limit, criterion, Say.of("verdict.area"))
    if limit.min is None and limit.max is None:
        return _not_judged(limit, criterion, Say.of("verdict.no-limits", criterion=criterion.id))
    return None


def _not_measured(limit: Limit, readings: Sequence[Reading], criterion: Criterion) -> Held:
    for reading in _of(limit.characteristic, readings):
        if isinstance(reading, Unmeasured):
            sentence = Say.of("verdict.not-measured.refused", characteristic=_name(limit), why=reading.reason)
            return _not_judged(limit, criterion, sentence)
    return _not_judged(limit, criterion, Say.of("verdict.not-measured", characteristic=_name(limit)))


def hold_one(limit: Limit, measurement: Measurement, decision: Decision) -> Held:
    """One measured value against a limit: its word, probability, regions and sentence."""
    limits = bounds.limits_of(limit)
    guarded = decision is Decision.GUARDED
    region = (
        conformity.guarded(measurement.u, limits=limits, dof=measurement.dof) if guarded else conformity.simple(limits)
    )
    word = conformity.call(measurement.value, region)
    if not guarded and not conformity.simple_allowed(measurement.expanded, limits=limits):
        word = VerdictWord.NOT_JUDGED
    chance = conformity.probability(measurement.value, measurement.u, limits=limits, dof=measurement.dof)
    return Held(
        limit=limit,
        word=word,
        sentence=_sentence(_key(word, chance, guarded, limit), limit, measurement, region, chance),
        measurement=measurement,
        probability=chance,
        accept_min_um=region.accept_low,
        accept_max_um=region.accept_high,
        reject_below_um=region.reject_below,
        reject_above_um=region.reject_above,
        decision=decision,
    )


def _sentence(key: str, limit: Limit, measurement: Measurement, region: conformity.Region, chance: float) -> Say:
    accept, reject = bounds.accepted(region, limit, measurement), bounds.rejected(region, limit, measurement)
    return Say.of(
        key,
        characteristic=_name(limit),
        value=bounds.shown(measurement, limit, accept, reject, on_limit=key == _EVENLY),
        bound=bounds.agreed(limit),
        chance=Chance(chance),
        outside=Chance(1.0 - chance),
        accept=accept,
        reject=reject,
    )


def _key(word: VerdictWord, chance: float, guarded: bool, limit: Limit) -> str:
    match word:
        case VerdictWord.CONFORMS:
            return "verdict.inside" if guarded else "verdict.inside.simple"
        case VerdictWord.DOES_NOT_CONFORM:
            return "verdict.outside" if guarded else "verdict.outside.simple"
        case VerdictWord.NOT_JUDGED:
            return "verdict.too-uncertain.zero" if _is_zero(limit) else "verdict.too-uncertain"
        case VerdictWord.UNDECIDED:
            lean = "even" if abs(chance - 0.5) < _EVEN else "inside" if chance > 0.5 else "outside"
            return f"verdict.undecided.{lean}"


def _is_zero(limit: Limit) -> bool:
    given = [each for each in (limit.max, limit.min) if isinstance(each, Length)]
    return len(given) == 1 and given[0].um == 0


def reason_of(held: Held) -> Say | None:
    """The short reason of `not judged` or `undecided`; None with a word that needs none."""
    if held.reason is not None:
        return held.reason
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
