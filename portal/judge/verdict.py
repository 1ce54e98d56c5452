"""The verdict on one finding under the criterion that applies to it.

Every way out carries a sentence that a customer understands. A verdict is never changed by what somebody decides
about the piece, and a decision never by a verdict.
"""

from collections.abc import Callable

from portal.judge import compared, concern, numbers
from portal.judge.case import Case, Judged, Ruling, decided, not_judged
from portal.model.result import Measurement, Verdict
from portal.model.say import DefectTerm, Quantity, Say, Several
from portal.model.standard import Criterion
from portal.model.terms import Prevails, Rule, Seen, VerdictWord


def judge(case: Case) -> Judged:
    """The verdict on a finding, with each limit it was held against.

    In order: no criterion can be chosen; loose flash; nothing agreed; not checked or not seen at the set condition;
    then the criterion's rule.
    """
    criterion = case.choice.applied.criterion if case.choice.applied else None
    touched = concern.concern_of(case.finding, defect=case.defect, zone=case.zone, criterion=criterion)
    before = _without_criterion(case)
    if before is not None or criterion is None:
        return _finished(Judged(before or _not_agreed(case)), touched, criterion)
    ruling = Ruling(case, criterion, touched)
    by_condition = _by_condition(ruling)
    judged = Judged(by_condition) if by_condition else _agreed_with_customer(_by_rule(ruling), ruling)
    return _finished(judged, touched, criterion)


def no_verdict(reason: Say) -> Verdict:
    """No verdict, because something that it depends on is missing or can't be read."""
    return not_judged(Say.of("verdict.not-judged", reason=reason), reason)


def _without_criterion(case: Case) -> Verdict | None:
    if case.choice.refused is not None:
        return no_verdict(case.choice.refused)
    applied = case.choice.applied
    agreed = applied is not None and applied.criterion.agreed is not None
    forbidden = agreed and applied is not None and applied.criterion.rule is Rule.NONE
    if concern.is_loose(case.finding) and not forbidden:
        return not_judged(Say.of("verdict.loose", defect=_defect(case)), Say.of("reason.loose"))
    return None if agreed else _not_agreed(case)


def _defect(case: Case) -> DefectTerm:
    return DefectTerm(case.finding.defect)


def _not_agreed(case: Case) -> Verdict:
    reason = Say.of("reason.not-agreed", defect=_defect(case), zone=case.zone_name)
    values = _measured(case)
    applied = case.choice.applied
    if applied is None:
        sentence = Say.of("verdict.not-agreed", defect=_defect(case), zone=case.zone_name)
    else:
        sentence = Say.of(
            "verdict.not-agreed.yet", defect=_defect(case), zone=case.zone_name, criterion=applied.criterion.id
        )
    if values.items:
        sentence = Say.of("verdict.not-agreed.value", sentence=sentence, values=values)
    return not_judged(sentence, reason)


def _measured(case: Case) -> Several:
    return Several(
        tuple(
            Say.of(
                "verdict.value",
                characteristic=Say.of(f"characteristic.{each.characteristic.value}"),
                value=Quantity(each.value, each.expanded, power=each.power),
            )
            for each in case.readings
            if isinstance(each, Measurement)
        )
    )


def _by_condition(ruling: Ruling) -> Verdict | None:
    """What was seen at the set condition decides before anything is measured."""
    condition = ruling.criterion.condition
    if ruling.case.finding.seen is Seen.NOT_CHECKED:
        return not_judged(Say.of("verdict.not-checked", condition=condition), Say.of("reason.not-checked"))
    if ruling.case.finding.seen is Seen.NO and ruling.concern is None:
        return decided(VerdictWord.CONFORMS, Say.of("verdict.not-seen", condition=condition))
    return None


def _by_rule(ruling: Ruling) -> Judged:
    criterion = ruling.criterion
    rules: dict[Rule, Callable[[Ruling], Judged]] = {
        Rule.NONE: _not_allowed,
        Rule.ALLOWED: _allowed,
        Rule.LIMITS: _by_limits,
        Rule.NO_WORSE_THAN: _beside_sample,
    }
    numbered = bool(criterion.limits) or numbers.counts_pieces(criterion)
    if criterion.rule not in (Rule.NONE, Rule.ALLOWED) and numbered and criterion.sample_ids:
        return _by_both(ruling)
    return rules[criterion.rule](ruling)


def _by_both(ruling: Ruling) -> Judged:
    """A number and a limit sample: the number prevails unless the criterion says otherwise; the other is told of."""
    number, sample = _by_limits(ruling), _beside_sample(ruling)
    if ruling.criterion.prevails is Prevails.SAMPLE:
        return _told(sample, number.verdict, "verdict.prevails.sample")
    return _told(number, sample.verdict, "verdict.prevails.number")


def _told(judged: Judged, other: Verdict, key: str) -> Judged:
    """The verdict that prevails; where the other came to another one, that is said beside it."""
    verdict = judged.verdict
    if other.word in (VerdictWord.NOT_JUDGED, verdict.word):
        return judged
    sentence = Say.of(key, sentence=verdict.sentence, other=other.sentence)
    return Judged(Verdict(verdict.word, verdict.key, sentence, verdict.reason), judged.held)


def _not_allowed(ruling: Ruling) -> Judged:
    unseen = ruling.case.finding.seen is Seen.NO
    sentence = Say.of(
        "verdict.not-allowed.unseen" if unseen else "verdict.not-allowed",
        defect=_defect(ruling.case),
        zone=ruling.case.zone_name,
        condition=ruling.criterion.condition,
    )
    return Judged(decided(VerdictWord.DOES_NOT_CONFORM, sentence))


def _allowed(ruling: Ruling) -> Judged:
    sentence = Say.of("verdict.allowed", defect=_defect(ruling.case), zone=ruling.case.zone_name)
    return Judged(decided(VerdictWord.CONFORMS, sentence))


def _by_limits(ruling: Ruling) -> Judged:
    held = numbers.hold_all(ruling)
    return Judged(numbers.judge(ruling, held), held)


def _beside_sample(ruling: Ruling) -> Judged:
    return Judged(compared.judge(ruling))


def _agreed_with_customer(judged: Judged, ruling: Ruling) -> Judged:
    """A class that touches more than the look, as a short shot does, never conforms by the shop's own word."""
    agreed = ruling.criterion.agreed
    by_customer = agreed is not None and agreed.party == ruling.case.customer
    if ruling.case.defect.concern is None or by_customer or judged.verdict.word is not VerdictWord.CONFORMS:
        return judged
    sentence = Say.of("verdict.not-agreed.customer", sentence=judged.verdict.sentence, criterion=ruling.criterion.id)
    reason = Say.of("reason.not-agreed", defect=_defect(ruling.case), zone=ruling.case.zone_name)
    return Judged(not_judged(sentence, reason), judged.held)


def _finished(judged: Judged, touched: str | None, criterion: Criterion | None) -> Judged:
    if touched is None:
        return judged
    verdict = judged.verdict
    sentence = Say.of("verdict.with-concern", sentence=verdict.sentence, concern=concern.sentence(touched, criterion))
    return Judged(Verdict(verdict.word, verdict.key, sentence, verdict.reason), judged.held, touched)
