"""Criteria as a page tells them: what is agreed, where it stands, by whom."""

from dataclasses import dataclass

from portal.model.result import Applied
from portal.model.say import DefectTerm, Say, Several
from portal.model.scalars import Length
from portal.model.show import other_unit
from portal.model.standard import Condition, Criterion, Limit
from portal.model.terms import Rule
from portal.site.countdemand import counted
from portal.site.desk import Desk
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class CriterionLine:
    """One criterion in a few lines."""

    name: Say
    """Its id and revision."""
    where: Say
    """Rank and document."""
    demand: Say
    condition: Say | None
    severity: Say
    agreed: Say
    is_agreed: bool
    term: Say
    zone: Say
    samples: tuple[str, ...] = ()


def criterion_line(desk: Desk, applied: Applied, speaker: Speaker) -> CriterionLine:
    """What a page says of a criterion."""
    own = applied.criterion
    return CriterionLine(
        name=Say.of("criterion.name", id=own.id, revision=own.revision),
        where=_where(own, applied),
        demand=demand(own, speaker),
        condition=_condition(desk, own, applied.standard),
        severity=Say.of(f"severity.{own.severity.value}"),
        agreed=_agreed(desk, own),
        is_agreed=own.agreed is not None,
        term=Say.of("card.term", term=DefectTerm(own.defect)),
        zone=Say.of("criterion.zone", zone=own.zone)
        if own.zone
        else Say.of("criterion.class", zone=own.zone_class or ""),
        samples=tuple(each for each in _samples(own) if each),
    )


def demand(own: Criterion, speaker: Speaker) -> Say:
    """What a criterion demands: its limits, or its rule."""
    demands = [*(_limit(each, speaker) for each in own.limits), *counted(own, lambda each: _length(each, speaker))]
    if own.rule is Rule.LIMITS and demands:
        return Say.of("criterion.several", all=Several(tuple(demands)))
    if own.rule is Rule.NO_WORSE_THAN and any(_samples(own)):
        return Say.of("criterion.no_worse_than", samples=Several(tuple(each for each in _samples(own) if each)))
    return Say.of(f"rule.{own.rule.value}")


def condition_text(condition: Condition, name: str) -> Say:
    """A condition in a few words: the magnification and the light."""
    if condition.magnification is None:
        return Say.of("condition.unaided", name=name, light=condition.light.kind)
    return Say.of("condition.magnified", name=name, n=f"{condition.magnification:g}", light=condition.light.kind)


def condition_of(desk: Desk, name: str, standard: str | None) -> Condition | None:
    """The condition of that name: of the criterion's standard, else of any that knows it."""
    own = desk.standard(standard)
    if own and name in own.conditions:
        return own.conditions[name]
    for revisions in desk.site.catalogue.standards.values():
        for known in revisions.values():
            if name in known.conditions:
                return known.conditions[name]
    return None


def _condition(desk: Desk, own: Criterion, standard: str | None) -> Say | None:
    found = condition_of(desk, own.condition, standard)
    return condition_text(found, own.condition) if found else None


def _where(own: Criterion, applied: Applied) -> Say:
    rank = Say.of(f"rank.{applied.rank.value}")
    source = own.source
    if source.note and source.revision:
        return Say.of(
            "criterion.source_note", rank=rank, document=source.document, revision=source.revision, note=source.note
        )
    if source.revision:
        return Say.of("criterion.source_revision", rank=rank, document=source.document, revision=source.revision)
    return Say.of("criterion.source", rank=rank, document=source.document)


def _agreed(desk: Desk, own: Criterion) -> Say:
    if own.agreed is None:
        return Say.of("criterion.nobody_agreed")
    customer = desk.site.catalogue.customers.get(own.agreed.party)
    party = (
        customer.name
        if customer
        else desk.site.catalogue.shop.shop.name
        if own.agreed.party == "shop"
        else own.agreed.party
    )
    return Say.of("criterion.agreed", by=own.agreed.by, party=party, day=own.agreed.date)


def _samples(own: Criterion) -> tuple[str | None, str | None]:
    return (own.limit_samples.last_good, own.limit_samples.first_bad) if own.limit_samples else (None, None)


def _limit(limit: Limit, speaker: Speaker) -> Say:
    name = Say.of(f"characteristic.{limit.characteristic.value}")
    if limit.max and limit.min:
        return Say.of(
            "criterion.limit_both",
            characteristic=name,
            min=_length(limit.min, speaker),
            max=_length(limit.max, speaker),
        )
    if limit.max:
        return Say.of("criterion.limit_max", characteristic=name, max=_length(limit.max, speaker))
    if limit.min:
        return Say.of("criterion.limit_min", characteristic=name, min=_length(limit.min, speaker))
    return Say.of("criterion.limit_none", characteristic=name)


def _length(length: Length, speaker: Speaker) -> Say:
    """A length as agreed, the reader's unit beside it where that is another one."""
    other = other_unit(length, speaker.unit)
    if other is None:
        return Say.of("criterion.length", length=length)
    return Say.of("criterion.length_other", length=length, other=other)
