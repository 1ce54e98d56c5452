"""Which criterion applies to a defect in a zone, and which were set aside."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from portal.model.mould import Trial
from portal.model.part import Part
from portal.model.result import Applied
from portal.model.say import Say
from portal.model.standard import Criterion, VisualStandard
from portal.model.terms import Rank

Standards = Mapping[str, Mapping[str, VisualStandard]]
Broken = Mapping[tuple[str, str], str]


@dataclass(frozen=True, slots=True)
class Choice:
    """The criterion that applies (None where nothing is agreed), those set aside, or why none can be chosen."""

    applied: Applied | None = None
    set_aside: tuple[Applied, ...] = ()
    refused: Say | None = None


@dataclass(frozen=True, slots=True)
class _Candidate:
    applied: Applied
    place: int | None
    """Where its standard stands among the part's standards; None for the part's own."""


def choose(defect: str, zone: str, *, part: Part, trial: Trial, standards: Standards, broken: Broken) -> Choice:
    """The criterion of highest precedence for that defect in that zone of the part, in the trial's revisions.

    Rank decides by the part's `precedence` (ranks it leaves out come last), then the order of the part's
    standards. Two of equal rank that both match, in one standard or with one of them the part's own, are refused,
    both named; so is a standard that the part lists and that can't be read, since it might rule.
    """
    if zone not in part.zones:
        return Choice(refused=Say.of("reason.zone-unknown", zone=zone, part=part.id))
    found = [_Candidate(_own(criterion, part), None) for criterion in part.criteria]
    for place, slug in enumerate(part.standards):
        standard = _in_force(slug, trial, standards, broken)
        if isinstance(standard, Say):
            return Choice(refused=standard)
        found += [_Candidate(applied, place) for applied in (_all_of(standard) if standard else ())]
    ours = [each for each in found if each.applied.criterion.concerns(part.customer)]
    matching = [each for each in ours if _matches(each.applied.criterion, defect, zone, part.zones[zone].class_)]
    return _highest(matching, part)


def _own(criterion: Criterion, part: Part) -> Applied:
    return Applied(criterion, criterion.rank or Rank.PART, None, part.file)


def _all_of(standard: VisualStandard) -> Iterator[Applied]:
    default = Rank.SHOP_STANDARD if standard.owner == "shop" else Rank.CUSTOMER_STANDARD
    for criterion in standard.criteria:
        name = f"{standard.id}/{standard.revision}"
        yield Applied(criterion, criterion.rank or default, name, standard.file)


def _in_force(slug: str, trial: Trial, standards: Standards, broken: Broken) -> VisualStandard | Say | None:
    """The revision in force for the trial; None where the standard came into effect only after it."""
    revisions = standards.get(slug, {})
    revision = trial.standards.get(slug)
    if revision is None:
        return _unnamed(slug, trial, revisions, broken)
    if ("standard", f"{slug}/{revision}") in broken:
        where = broken["standard", f"{slug}/{revision}"]
        return Say.of("reason.standard-broken", standard=slug, revision=revision, where=where)
    if revision not in revisions:
        return Say.of("reason.standard-unknown", standard=slug, revision=revision)
    return revisions[revision]


def _unnamed(slug: str, trial: Trial, revisions: Mapping[str, VisualStandard], broken: Broken) -> Say | None:
    unreadable = any(kind == "standard" and name.startswith(f"{slug}/") for kind, name in broken)
    if revisions and not unreadable and all(each.effective > trial.date for each in revisions.values()):
        return None
    return Say.of("reason.standard-unnamed", standard=slug, trial=f"{trial.mould}/{trial.id}")


def _matches(criterion: Criterion, defect: str, zone: str, zone_class: str) -> bool:
    if criterion.defect != defect:
        return False
    return criterion.zone == zone if criterion.zone is not None else criterion.zone_class == zone_class


def _highest(matching: list[_Candidate], part: Part) -> Choice:
    if not matching:
        return Choice()
    order = (*part.precedence, *(rank for rank in Rank if rank not in part.precedence))
    ranked = sorted(
        matching, key=lambda each: (order.index(each.applied.rank), -1 if each.place is None else each.place)
    )
    first, others = ranked[0], ranked[1:]
    for other in others:
        if other.applied.rank is first.applied.rank and first.place in (None, other.place):
            return Choice(refused=_equal_rank(first.applied, other.applied))
    return Choice(first.applied, tuple(each.applied for each in others))


def _equal_rank(first: Applied, other: Applied) -> Say:
    return Say.of(
        "reason.equal-rank",
        rank=first.rank.value,
        first=first.criterion.id,
        first_file=first.file,
        second=other.criterion.id,
        second_file=other.file,
    )
