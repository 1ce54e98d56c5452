"""A revision of a visual standard: the document that both sides keep."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.say import DefectTerm, Say
from portal.model.slug import natural
from portal.model.standard import Criterion, VisualStandard
from portal.site.agreed import Force, force_of, line_of, revisions, speaker_for, standard_name
from portal.site.changes import Changes, changes
from portal.site.clauses import Told, clauses, condition_anchor, condition_facts
from portal.site.contents import owner_name
from portal.site.criteria import CriterionLine
from portal.site.desk import Desk
from portal.site.review import CAUTIONS
from portal.site.review import marking as marking_of
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class CriterionEntry:
    """A criterion in full."""

    line: CriterionLine
    clauses: tuple[Say, ...]
    condition: str
    condition_anchor: str
    concern: Say | None


@dataclass(frozen=True, slots=True)
class ClassEntry:
    """The criteria about one class."""

    term: Say
    address: str | None
    criteria: tuple[CriterionEntry, ...]


@dataclass(frozen=True, slots=True)
class MatrixCell:
    """What is demanded of a class in a zone class: criteria by anchor, with their demand and condition."""

    demands: tuple[tuple[str, str, Say, bool], ...]
    """Anchor, id, demand, whether it is agreed."""


@dataclass(frozen=True, slots=True)
class MatrixRow:
    """One class over the zone classes."""

    term: Say
    address: str | None
    cells: tuple[MatrixCell, ...]


@dataclass(frozen=True, slots=True)
class ConditionEntry:
    """A condition field by field."""

    name: str
    anchor: str
    facts: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class Signature:
    """One side's lines: who agreed as recorded, and room to sign."""

    party: str
    agreed: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class StandardPage:
    """All that a standard's page says."""

    title: Say
    marking: Say | str
    running: Say
    name: str
    revision: str
    owner: str
    effective: date
    force: Say
    replaced: Say | None
    used_by: tuple[tuple[str, str, str], ...]
    """Part, its number, its address."""
    zone_classes: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    """Zone classes of the matrix, then single zones that criteria name."""
    matrix: tuple[MatrixRow, ...]
    conditions: tuple[ConditionEntry, ...]
    classes: tuple[ClassEntry, ...]
    open: int
    """Criteria that nobody agreed to."""
    count: int
    changes: tuple[Changes, ...]
    """Since the revision before, then since earlier ones."""
    others: tuple[tuple[str, str | None, Say], ...]
    """Other revisions: name, address, whether in force."""
    signatures: tuple[Signature, ...]
    cautions: tuple[Say | str, ...]


def standard_page(desk: Desk, standard: VisualStandard, marking: Say | str) -> StandardPage:
    """The page of one revision."""
    speaker, line = speaker_for(desk, standard), revisions(desk, standard.id)
    at = [each.revision for each in line].index(standard.revision)
    columns = _columns(standard)
    return StandardPage(
        title=standard_name(standard),
        marking=marking,
        running=Say.of("standard.running", name=standard_name(standard), day=standard.effective),
        name=standard.name,
        revision=standard.revision,
        owner=owner_name(desk, standard.owner),
        effective=standard.effective,
        force=Say.of(f"force.{force_of(desk, standard).value}"),
        replaced=_replaced(desk, standard, line[at + 1 :]),
        used_by=tuple(
            (part.name, part.numbers.shop, desk.addresses.part(part.id))
            for part in desk.site.catalogue.parts.values()
            if standard.id in part.standards
        ),
        zone_classes=tuple(standard.zone_classes.items()),
        columns=columns,
        matrix=tuple(_matrix(desk, standard, speaker, columns)),
        conditions=tuple(
            ConditionEntry(name, condition_anchor(name), condition_facts(each, speaker))
            for name, each in standard.conditions.items()
        ),
        classes=tuple(_classes(desk, standard, speaker)),
        open=sum(1 for own in standard.criteria if own.agreed is None),
        count=len(standard.criteria),
        changes=tuple(changes(desk, each, standard, speaker) for each in reversed(line[:at])),
        others=tuple(
            (
                each.revision,
                desk.addresses.record("standard", f"{each.id}/{each.revision}"),
                Say.of(f"force.{force_of(desk, each).value}"),
            )
            for each in reversed(line)
            if each.revision != standard.revision
        ),
        signatures=tuple(_signatures(desk, standard)),
        cautions=(*(Say.of(f"caution.{key}") for key in CAUTIONS), *desk.site.catalogue.shop.cautions),
    )


def standard_marking(desk: Desk, owner: str) -> Say | str:
    """The line on top of a standard: the shop's own, else for whom it is."""
    if desk.site.catalogue.shop.marking or owner in desk.site.catalogue.customers:
        return marking_of(desk, owner)
    return Say.of("standard.marking", shop=desk.site.catalogue.shop.shop.name)


def _replaced(desk: Desk, standard: VisualStandard, later: tuple[VisualStandard, ...]) -> Say | None:
    if not later or force_of(desk, standard) is Force.TO_COME:
        return None
    return Say.of("standard.replaced", revision=later[0].revision, day=later[0].effective)


def _by_class(desk: Desk, standard: VisualStandard, speaker: Speaker) -> list[tuple[str, list[Criterion]]]:
    """Criteria by class, in the order of the classes' terms, each class's in the order of its zones."""
    found: dict[str, list[Criterion]] = {}
    for own in standard.criteria:
        found.setdefault(own.defect, []).append(own)
    for many in found.values():
        many.sort(key=lambda own: natural(own.zone_class or own.zone or ""))
    return sorted(found.items(), key=lambda pair: natural(speaker.value(DefectTerm(pair[0]))))


def _columns(standard: VisualStandard) -> tuple[str, ...]:
    zones = sorted({own.zone for own in standard.criteria if own.zone}, key=natural)
    return (*standard.zone_classes, *(zone for zone in zones if zone not in standard.zone_classes))


def _matrix(desk: Desk, standard: VisualStandard, speaker: Speaker, columns: tuple[str, ...]) -> Iterator[MatrixRow]:
    for defect, criteria in _by_class(desk, standard, speaker):
        cells = []
        for column in columns:
            here = [own for own in criteria if column in (own.zone_class, own.zone)]
            lines = [line_of(desk, own, standard, speaker) for own in here]
            demands = tuple(
                (line.anchor, own.id, line.demand, line.is_agreed) for own, line in zip(here, lines, strict=True)
            )
            cells.append(MatrixCell(demands))
        yield MatrixRow(
            Say.of("card.term", term=DefectTerm(defect)), desk.addresses.record("defect", defect), tuple(cells)
        )


def _classes(desk: Desk, standard: VisualStandard, speaker: Speaker) -> Iterator[ClassEntry]:
    for defect, criteria in _by_class(desk, standard, speaker):
        yield ClassEntry(
            term=Say.of("card.term", term=DefectTerm(defect)),
            address=desk.addresses.record("defect", defect),
            criteria=tuple(
                CriterionEntry(
                    line=line_of(desk, own, standard, speaker),
                    clauses=clauses(own, speaker),
                    condition=own.condition,
                    condition_anchor=condition_anchor(own.condition),
                    concern=Say.of(f"concern.{own.concern.value}") if own.concern else None,
                )
                for own in criteria
            ),
        )


def _signatures(desk: Desk, standard: VisualStandard) -> Iterator[Signature]:
    """The shop, the owner, whoever agreed, and the customers whose parts go by it, each once."""
    customers = [part.customer for part in desk.site.catalogue.parts.values() if standard.id in part.standards]
    agreed_by = [own.agreed.party for own in standard.criteria if own.agreed is not None]
    parties = dict.fromkeys(["shop", standard.owner, *agreed_by, *customers])
    for party in parties:
        agreed: dict[tuple[str, date], int] = {}
        for own in standard.criteria:
            if own.agreed is not None and own.agreed.party == party:
                agreed[own.agreed.by, own.agreed.date] = agreed.get((own.agreed.by, own.agreed.date), 0) + 1
        lines = tuple(Say.of("standard.agreed_by", by=by, day=day, n=n) for (by, day), n in agreed.items())
        yield Signature(owner_name(desk, party), lines)
