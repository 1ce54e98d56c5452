"""A criterion and a condition field by field, in words: what a document lists and what revisions are compared by."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.say import DefectTerm, Figure, Say, Several
from portal.model.slug import slug
from portal.model.standard import Condition, Criterion, VisualStandard
from portal.model.terms import Rule
from portal.site.countdemand import band_words
from portal.site.criteria import (
    agreed_words,
    length_words,
    light_words,
    limit_words,
    rank_of,
    source_words,
    state_words,
)
from portal.site.desk import Desk
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class Told:
    """One field in words; fields of one key in two revisions are the same field."""

    key: str
    name: Say
    value: Say | str


def clauses(own: Criterion, speaker: Speaker) -> tuple[Say, ...]:
    """What a criterion says beyond what it demands: how an edge is drawn, which of number and sample rules."""
    return tuple(_clauses(own, speaker))


def criterion_facts(desk: Desk, own: Criterion, standard: VisualStandard | None, speaker: Speaker) -> tuple[Told, ...]:
    """Every field of a criterion in words."""
    return tuple(_criterion_facts(desk, own, standard, speaker))


def condition_facts(condition: Condition, speaker: Speaker) -> tuple[Told, ...]:
    """Every field of a condition in words."""
    return tuple(_condition_facts(condition, speaker))


def _told(key: str, value: Say | str, **named: Say) -> Told:
    field = key.partition(":")[0]
    return Told(key, Say.of(f"told.{field}", **named), value)


def _clauses(own: Criterion, speaker: Speaker) -> Iterator[Say]:
    if own.edge_drawn:
        yield Say.of("clause.edge", edge=own.edge_drawn)
    if own.prevails:
        yield Say.of(f"clause.prevails.{own.prevails.value}")
    if own.rule is Rule.LIMITS:
        yield Say.of(f"clause.decision.{own.decision.value}")
    if own.concern:
        yield Say.of(f"concern.{own.concern.value}")
    if own.decided_by:
        yield Say.of("clause.decided_by", role=own.decided_by)


def _criterion_facts(desk: Desk, own: Criterion, standard: VisualStandard | None, speaker: Speaker) -> Iterator[Told]:
    yield _told("revision", own.revision)
    yield _told("defect", Say.of("card.term", term=DefectTerm(own.defect)))
    if own.zone:
        yield _told("zone", own.zone)
    if own.zone_class:
        yield _told("zone_class", own.zone_class)
    yield _told("rule", Say.of(f"rule.{own.rule.value}"))
    for limit in own.limits:
        name = Say.of(f"characteristic.{limit.characteristic.value}")
        yield _told(f"limit:{limit.characteristic.value}", limit_words(limit, speaker), characteristic=name)
    if own.count:
        yield _told("count", Say.of("told.list", all=Several(_bands(own, speaker))))
    for key, length in (("spacing", own.spacing), ("smallest", own.smallest_counted)):
        if length:
            yield _told(key, length_words(length, speaker))
    if own.line_if_longer_than_twice_width is not None:
        yield _told("line", _yes_no(own.line_if_longer_than_twice_width))
    if own.edge_drawn:
        yield _told("edge", own.edge_drawn)
    yield from _rest(desk, own, standard)


def _bands(own: Criterion, speaker: Speaker) -> tuple[Say, ...]:
    return tuple(band_words(band, lambda length: length_words(length, speaker)) for band in own.count)


def _rest(desk: Desk, own: Criterion, standard: VisualStandard | None) -> Iterator[Told]:
    samples = own.limit_samples
    for key, sample in (
        ("last_good", samples.last_good if samples else None),
        ("first_bad", samples.first_bad if samples else None),
    ):
        if sample:
            yield _told(key, sample)
    if own.prevails:
        yield _told("prevails", Say.of(f"clause.prevails.{own.prevails.value}"))
    if own.rule is Rule.LIMITS:
        yield _told("decision", Say.of(f"clause.decision.{own.decision.value}"))
    yield _told("condition", own.condition)
    yield _told("severity", Say.of(f"severity.{own.severity.value}"))
    if own.concern:
        yield _told("concern", Say.of(f"concern.{own.concern.value}"))
    if own.decided_by:
        yield _told("decided_by", own.decided_by)
    rank = rank_of(own, standard)
    yield _told("source", source_words(own, rank))
    yield _told("agreed", agreed_words(desk.site.catalogue, own))


def _condition_facts(condition: Condition, speaker: Speaker) -> Iterator[Told]:
    light = condition.light
    yield _told("instrument", condition.instrument)
    if condition.magnification is None:
        yield _told("magnification", Say.of("told.unaided"))
    else:
        yield _told("magnification", Say.of("told.times", n=Figure(f"{condition.magnification:g}")))
    yield _told("light", light_words(light.kind))
    for key, text in (
        ("angle", light.angle.text.replace("deg", "°").replace(" °", "°") if light.angle else None),
        ("illuminance", light.illuminance),
        ("distance", length_words(condition.distance, speaker) if condition.distance else None),
        ("time", condition.time),
        ("background", condition.background),
        ("turn", None if condition.turn is None else _yes_no(condition.turn)),
        ("state", state_words(condition.state) if condition.state else None),
    ):
        if text is not None:
            yield _told(key, text)


def _yes_no(answer: bool) -> Say:
    return Say.of("check.yes" if answer else "check.no")


def condition_anchor(name: str) -> str:
    """The anchor of a condition on the page of its standard."""
    return f"c-{slug(name)}"
