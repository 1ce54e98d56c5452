"""Criteria as a page tells them: what is agreed, where it stands, by whom."""

from dataclasses import dataclass

from portal.model.catalogue import Catalogue
from portal.model.result import Applied
from portal.model.say import DefectTerm, Figure, Say, Several
from portal.model.scalars import Length
from portal.model.show import other_unit
from portal.model.standard import Condition, Criterion, Limit, VisualStandard
from portal.model.terms import Rank, Rule
from portal.site.address import criterion_anchor
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
    anchor: str
    address: str | None
    """Where its standard (or its part) tells it in full."""
    samples: tuple[tuple[str, str | None], ...] = ()
    """Limit samples by id, with their pages."""


def criterion_line(desk: Desk, applied: Applied, speaker: Speaker) -> CriterionLine:
    """What a page says of a criterion."""
    own = applied.criterion
    return CriterionLine(
        name=Say.of("criterion.name", id=own.id, revision=own.revision),
        where=source_words(own, applied.rank),
        demand=demand(own, speaker),
        condition=condition_words(desk.site.catalogue, applied, own.condition),
        severity=Say.of(f"severity.{own.severity.value}"),
        agreed=agreed_words(desk.site.catalogue, own),
        is_agreed=own.agreed is not None,
        term=Say.of("card.term", term=DefectTerm(own.defect)),
        zone=Say.of("criterion.zone", zone=own.zone)
        if own.zone
        else Say.of("criterion.class", zone=own.zone_class or ""),
        anchor=criterion_anchor(own.id),
        address=_address(desk, applied),
        samples=tuple((each, desk.addresses.record("limit sample", each)) for each in own.sample_ids),
    )


def demand(own: Criterion, speaker: Speaker) -> Say:
    """What a criterion demands: its limits, or its rule."""
    demands = [
        *(limit_words(each, speaker) for each in own.limits),
        *counted(own, lambda each: length_words(each, speaker)),
    ]
    if own.rule is Rule.LIMITS and demands:
        return Say.of("criterion.several", all=Several(tuple(demands)))
    if own.rule is Rule.NO_WORSE_THAN and own.sample_ids:
        return Say.of("criterion.no_worse_than", samples=Several(own.sample_ids))
    return Say.of(f"rule.{own.rule.value}")


_LIGHTS = ("ring", "low-angle", "coaxial", "back", "dark field", "crossed polars")
_STATES = ("as moulded", "blown", "wiped")


def light_words(kind: str) -> Say | str:
    """A kind of light: the trade's words in the page's language, any other as somebody wrote it."""
    return Say.of(f"light.{kind.replace(' ', '-')}") if kind in _LIGHTS else kind


def state_words(state: str) -> Say | str:
    """The state of a piece when it is looked at; any that isn't one of ours as somebody wrote it."""
    return Say.of(f"state.{state.replace(' ', '-')}") if state in _STATES else state


def condition_text(condition: Condition, name: str) -> Say:
    """A condition in a few words: the magnification and the light."""
    if condition.magnification is None:
        return Say.of("condition.unaided", name=name, light=light_words(condition.light.kind))
    times = Figure(f"{condition.magnification:g}")
    return Say.of("condition.magnified", name=name, n=times, light=light_words(condition.light.kind))


def condition_of(catalogue: Catalogue, name: str, standard: str | None) -> Condition | None:
    """The condition of that name: of the criterion's standard, else of any that knows it."""
    slug, _, revision = (standard or "").partition("/")
    own = catalogue.standards.get(slug, {}).get(revision)
    if own and name in own.conditions:
        return own.conditions[name]
    for revisions in catalogue.standards.values():
        for known in revisions.values():
            if name in known.conditions:
                return known.conditions[name]
    return None


def condition_words(catalogue: Catalogue, applied: Applied, name: str) -> Say | None:
    """A condition by its magnification and light, where the criterion's standard or another one knows it."""
    found = condition_of(catalogue, name, applied.standard)
    return condition_text(found, name) if found else None


def source_words(own: Criterion, rank_: Rank) -> Say:
    """Where a criterion stands: document, revision, note, rank."""
    rank = Say.of(f"rank.{rank_.value}")
    source = own.source
    named = {name: text for name, text in (("revision", source.revision), ("note", source.note)) if text}
    key = "_".join(["criterion.source", *named])
    return Say.of(key, rank=rank, document=source.document, **named)


def agreed_words(catalogue: Catalogue, own: Criterion) -> Say:
    """Who agreed to a criterion and when, or that nobody did."""
    if own.agreed is None:
        return Say.of("criterion.nobody_agreed")
    customer = catalogue.customers.get(own.agreed.party)
    party = customer.name if customer else catalogue.shop.shop.name if own.agreed.party == "shop" else own.agreed.party
    return Say.of("criterion.agreed", by=own.agreed.by, party=party, day=own.agreed.date)


def rank_of(own: Criterion, standard: VisualStandard | None) -> Rank:
    """Where an agreement stands: as the criterion says, else by the owner of its standard, else with the part."""
    if own.rank or standard is None:
        return own.rank or Rank.PART
    return Rank.SHOP_STANDARD if standard.owner == "shop" else Rank.CUSTOMER_STANDARD


def _address(desk: Desk, applied: Applied) -> str | None:
    if applied.standard:
        return desk.addresses.criterion(applied.standard, applied.criterion.id)
    part = next((each for each in desk.site.catalogue.parts.values() if each.file == applied.file), None)
    return f"{desk.addresses.part(part.id)}#{criterion_anchor(applied.criterion.id)}" if part else None


def limit_words(limit: Limit, speaker: Speaker) -> Say:
    """A limit in words, as `height −0.050 mm to 0.150 mm`."""
    name = Say.of(f"characteristic.{limit.characteristic.value}")
    if limit.max and limit.min:
        return Say.of(
            "criterion.limit_both",
            characteristic=name,
            min=length_words(limit.min, speaker),
            max=length_words(limit.max, speaker),
        )
    if limit.max:
        return Say.of("criterion.limit_max", characteristic=name, max=length_words(limit.max, speaker))
    if limit.min:
        return Say.of("criterion.limit_min", characteristic=name, min=length_words(limit.min, speaker))
    return Say.of("criterion.limit_none", characteristic=name)


def length_words(length: Length, speaker: Speaker) -> Say:
    """A length as agreed, the reader's unit beside it where that is another one."""
    other = other_unit(length, speaker.unit)
    if other is None:
        return Say.of("criterion.length", length=length)
    return Say.of("criterion.length_other", length=length, other=Figure(other))
