"""What is agreed in which revision: the one in force on the day of the page, earlier ones, those to come."""

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
    """Every criterion about a class: parts' own, then by standard, what is in force first."""
    return (*_of_parts(desk, defect), *_of_standards(desk, defect))


def criteria_in_force(desk: Desk) -> tuple[tuple[Criterion, VisualStandard | Part], ...]:
    """Every criterion that holds on the day of the page, with the standard or the part in which it stands."""
    of_parts = [(own, part) for part in desk.site.catalogue.parts.values() for own in part.criteria]
    of_standards = [
        (own, standard)
        for name in desk.site.catalogue.standards
        for standard in revisions(desk, name)
        if force_of(desk, standard) is Force.NOW
        for own in standard.criteria
    ]
    return (*of_parts, *of_standards)


def _of_parts(desk: Desk, defect: str) -> tuple[Agreed, ...]:
    return tuple(
        Agreed(
            line=criterion_line(
                desk, Applied(own, rank_of(own, None), None, part.file), desk.speaker(part.customer)
            ),
            clauses=clauses(own, desk.speaker(part.customer)),
            name=Say.of("agreed.part", part=part.name, number=part.numbers.shop),
            address=desk.addresses.part(part.id),
            force=Force.NOW,
        )
        for part in desk.site.catalogue.parts.values()
        for own in part.criteria
        if own.defect == defect
    )


def _of_standards(desk: Desk, defect: str) -> tuple[Agreed, ...]:
    found = [
        _of_standard(desk, own, standard)
        for name in desk.site.catalogue.standards
        for standard in reversed(revisions(desk, name))
        for own in standard.criteria
        if own.defect == defect
    ]
    return tuple(sorted(found, key=lambda each: list(Force).index(each.force)))


def _of_standard(desk: Desk, own: Criterion, standard: VisualStandard) -> Agreed:
    speaker = speaker_for(desk, standard)
    return Agreed(
        line=line_of(desk, own, standard, speaker),
        clauses=clauses(own, speaker),
        name=standard_name(standard),
        address=desk.addresses.record("standard", f"{standard.id}/{standard.revision}"),
        force=force_of(desk, standard),
    )
