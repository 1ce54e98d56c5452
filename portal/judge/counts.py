"""Judging counts: how many countables of a size lie in a zone, on the part, or in the worst circle of a diameter.

Counts are made within one picture. Each is worked out twice, with every doubtful one out and with every one in; where
the two disagree about the limit it is undecided, or not judged where the shop can still find out.
"""

from collections.abc import Sequence

from portal.judge import extent, naming, sized, tally
from portal.judge.sized import Member, Sorted
from portal.judge.tally import Range
from portal.model.countable import Group
from portal.model.result import Held
from portal.model.say import Say
from portal.model.standard import CountBand, Criterion, Limit
from portal.model.terms import Characteristic, VerdictWord

LIMIT = Limit(characteristic=Characteristic.COUNT)
"""What stands for a count among the limits that are held; the criterion's `count` has the numbers."""


def hold(band: CountBand, group: Group, *, criterion: Criterion, zone: str, soft: bool) -> Held:
    """One count on one picture against how many are allowed.

    `soft` says that the defect class has no definite edge: what was drawn along it is no size to judge by, unless the
    criterion says how the edge is drawn.
    """
    what = naming.counted_as(band, criterion, zone)
    if group.refused is not None:
        sentence = Say.of("verdict.count-refused", what=what, why=group.refused)
        return _held(VerdictWord.NOT_JUDGED, sentence, criterion, group.refused)
    found = _sorted(band, group, criterion, zone, soft=soft)
    number = _number(found, band, group, criterion)
    word, counts = number.word(band.max), _counts(number, found, band, what)
    if word is VerdictWord.DOES_NOT_CONFORM:
        return _held(word, Say.of("verdict.count-outside", counts=counts), criterion)
    too_wide = extent.of_count(band, group, zone)
    if too_wide is not None:
        return _held(
            VerdictWord.NOT_JUDGED,
            Say.of("verdict.count-too-wide", counts=counts, why=too_wide),
            criterion,
            too_wide,
        )
    if word is VerdictWord.CONFORMS:
        return _held(word, Say.of("verdict.count-inside", counts=counts), criterion)
    return _open(number, counts, group, criterion)


def _held(word: VerdictWord, sentence: Say, criterion: Criterion, reason: Say | None = None) -> Held:
    return Held(LIMIT, word, sentence, decision=criterion.decision, reason=reason)


def _sorted(band: CountBand, group: Group, criterion: Criterion, zone: str, *, soft: bool) -> tuple[Sorted, ...]:
    classes = {criterion.defect, *band.together_with}
    everywhere = band.per == "part"
    items = [each for each in group.items if each.defect in classes and (everywhere or zone in each.zones)]
    within = (*sized.smallest(criterion), *sized.borders(band))
    found = tuple(sized.sort(items, criterion, within, soft=soft, sized=band.is_sized))
    if not band.is_sized or any(each.item.is_sizable for each in found):
        return found
    # Only points were drawn: which of them are of that size, nobody has looked.
    why = Say.of("reason.item-points")
    return tuple(Sorted(each.item, Member.UNKNOWN, why=each.why or why) for each in found)


def _number(found: Sequence[Sorted], band: CountBand, group: Group, criterion: Criterion) -> Range:
    if band.circle is None:
        return tally.of(found)
    return tally.in_circle(found, band.circle.um, group.ruler, criterion.decision)


def _counts(number: Range, found: Sequence[Sorted], band: CountBand, what: Say) -> Say:
    """What was counted against what is allowed, with the points that have no size and are left out."""
    key = {
        VerdictWord.DOES_NOT_CONFORM: "verdict.number.at-least",
        VerdictWord.CONFORMS: "verdict.number.at-most",
        VerdictWord.UNDECIDED: "verdict.number.between",
    }[number.word(band.max)]
    exact = number.least == number.most
    count = Say.of("verdict.number" if exact else key, least=number.least, most=number.most)
    said = Say.of("verdict.counts", what=what, number=count, allowed=band.max)
    points = sum(each.member is Member.NO and not each.item.is_sizable for each in found)
    return Say.of("verdict.counts.points", counts=said, n=points) if points else said


def _open(number: Range, counts: Say, group: Group, criterion: Criterion) -> Held:
    """Undecided, naming what decides; not judged where that is something the shop can find out."""
    unknown = [each for each in number.deciding if each.member is Member.UNKNOWN or not each.item.is_drawn]
    if unknown:
        why = unknown[0].why or Say.of("reason.item-undrawn")
        alike = [each for each in unknown if each.why == unknown[0].why]
        sentence = Say.of("verdict.count-unknown", counts=counts, n=len(alike), items=naming.items(alike), why=why)
        return _held(VerdictWord.NOT_JUDGED, sentence, criterion, why)
    if isinstance(group.ruler, Say) and not number.deciding:
        sentence = Say.of("verdict.count-no-scale", counts=counts, why=group.ruler)
        return _held(VerdictWord.NOT_JUDGED, sentence, criterion, group.ruler)
    kind = "place" if number.by_place else "size"
    items, n = naming.items(number.deciding), len(number.deciding)
    sentence = Say.of(f"verdict.count-undecided.{kind}", counts=counts, n=n, items=items)
    return _held(VerdictWord.UNDECIDED, sentence, criterion, Say.of("reason.count-undecided", n=n, items=items))
