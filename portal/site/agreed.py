"""What is agreed in which revision: the one in force on the day of the page, earlier ones, those to come."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from portal.model.part import Part
from portal.model.result import Applied
from portal.model.say import Say
from portal.model.slug import natural
from portal.model.standard import Criterion, VisualStandard
from portal.site.clauses import clauses
from portal.site.criteria import CriterionLine, criterion_line, rank_of
from portal.site.desk import Desk
from portal.site.words import Speaker

Where = VisualStandard | Part
"""In what a criterion stands: a revision of a standard, or a part as its own."""


class Force(StrEnum):
    """Whether a revision holds on the day of the page."""

    NOW = "now"
    EARLIER = "earlier"
    TO_COME = "to-come"


@dataclass(frozen=True, slots=True)
class Agreed:
    """One criterion where it stands."""

    line: CriterionLine
    clauses: tuple[Say, ...]
    name: Say
    """The standard with its revision, or the part whose own it is."""
    address: str | None
    force: Force


def revisions(desk: Desk, standard: str) -> tuple[VisualStandard, ...]:
    """All revisions of a standard, from old to new."""
    known = desk.site.catalogue.standards.get(standard, {}).values()
    return tuple(sorted(known, key=lambda each: (each.effective, natural(each.revision))))


def force_of(desk: Desk, standard: VisualStandard) -> Force:
    """Whether that revision holds on the day of the page."""
    if standard.effective > desk.site.as_of:
        return Force.TO_COME
    begun = [each for each in revisions(desk, standard.id) if each.effective <= desk.site.as_of]
    return Force.NOW if begun[-1].revision == standard.revision else Force.EARLIER


def standard_name(standard: VisualStandard) -> Say:
    """A standard's revision by its name."""
    return Say.of("part.standard", name=standard.name, revision=standard.revision)


def speaker_for(desk: Desk, standard: VisualStandard) -> Speaker:
    """Speaks in the unit of the standard's owner."""
    return desk.speaker(None if standard.owner == "shop" else standard.owner)


def line_of(desk: Desk, own: Criterion, standard: VisualStandard, speaker: Speaker) -> CriterionLine:
    """A criterion of a standard as a page tells it."""
    where = f"{standard.id}/{standard.revision}"
    return criterion_line(desk, Applied(own, rank_of(own, standard), where, standard.file), speaker)


def agreed_about(desk: Desk, defect: str) -> tuple[Agreed, ...]:
    """Every criterion about a class: what is in force first, parts' own before standards."""
    found = [agreed(desk, own, where) for own, where in _all(desk) if own.defect == defect]
    return tuple(sorted(found, key=lambda each: list(Force).index(each.force)))


def criteria_in_force(desk: Desk) -> tuple[tuple[Criterion, Where], ...]:
    """Every criterion that holds on the day of the page, with the standard or the part in which it stands."""
    return tuple(
        (own, where) for own, where in _all(desk) if isinstance(where, Part) or force_of(desk, where) is Force.NOW
    )


def agreed(desk: Desk, own: Criterion, where: Where) -> Agreed:
    """A criterion with the standard or the part in which it stands."""
    if isinstance(where, VisualStandard):
        speaker = speaker_for(desk, where)
        return Agreed(
            line=line_of(desk, own, where, speaker),
            clauses=clauses(own, speaker),
            name=standard_name(where),
            address=desk.addresses.record("standard", f"{where.id}/{where.revision}"),
            force=force_of(desk, where),
        )
    speaker = desk.speaker(where.customer)
    return Agreed(
        line=criterion_line(desk, Applied(own, rank_of(own, None), None, where.file), speaker),
        clauses=clauses(own, speaker),
        name=Say.of("agreed.part", part=where.name, number=where.numbers.shop),
        address=desk.addresses.part(where.id),
        force=Force.NOW,
    )


def _all(desk: Desk) -> Iterator[tuple[Criterion, Where]]:
    for part in desk.site.catalogue.parts.values():
        yield from ((own, part) for own in part.criteria)
    for name in desk.site.catalogue.standards:
        for standard in reversed(revisions(desk, name)):
            yield from ((own, standard) for own in standard.criteria)
