"""A finding measured on every picture that shows it, and judged."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from portal.assess.facts import FactsByFile, facts_of
from portal.assess.groups import Groups, Tallied, zones_of
from portal.assess.placed import cavity_of
from portal.assess.scales import unreadable
from portal.assess.sight import sight_of
from portal.judge.case import Case, Judged
from portal.judge.criteria import Choice, choose
from portal.judge.verdict import judge, no_verdict
from portal.measure.gauge import measure_gauge
from portal.model.catalogue import Catalogue, Found
from portal.model.checks import check_files
from portal.model.mould import Mould, Trial
from portal.model.narrow import only_pictures
from portal.model.part import Part
from portal.model.picture import Picture, PictureUnreadable
from portal.model.readable import COUNTED
from portal.model.result import Applied, Assessment, CountedOn, Reading, Verdict, Worked
from portal.model.say import Say, Several


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What one zone makes of a finding; across a border there are two."""

    zone: str
    readings: tuple[Reading, ...]
    choice: Choice
    judged: Judged
    counted_on: tuple[CountedOn, ...] = ()


def assess(found: Found, facts: FactsByFile, catalogue: Catalogue, *, groups: Groups | None = None) -> Assessment:
    """Measure a finding on every picture that shows it, and judge it; across a border the stricter zone rules.

    `groups` keeps what was counted for findings of the same catalogue and facts.
    """
    part_id = catalogue.part_of(found.mould, cavity_of(found))
    missing = _missing(found, part_id, catalogue)
    if missing is not None or part_id is None:
        return _plain(found, part_id, no_verdict(missing or Say.of("reason.no-cavity", mould=found.mould.id)))
    part = catalogue.parts[part_id]
    zones = zones_of(part, found.finding.zone)
    groups = groups or Groups(facts, catalogue)
    outcomes = [_in_zone(zone, found, part, groups) for zone in zones]
    worst = max(outcomes, key=lambda outcome: outcome.judged.verdict.word.badness)
    verdict = _across(worst, zones) if len(zones) > 1 else worst.judged.verdict
    own = facts_of(found.picture.file, facts)
    if isinstance(own, PictureUnreadable):
        verdict = no_verdict(unreadable(found.picture.name, own))
    return replace(
        _plain(found, part_id, verdict),
        behind=Worked(worst.readings, worst.judged.held, worst.counted_on),
        applied=worst.choice.applied,
        set_aside=worst.choice.set_aside,
        concern=worst.judged.concern,
        stricter_of=zones if len(zones) > 1 else (),
    )


def assess_cluster(
    mould: Mould, trial: Trial, pictures: Iterable[Picture], facts: FactsByFile, catalogue: Catalogue
) -> tuple[Assessment, ...]:
    """Every finding that is written under pictures which hang together; nothing else of the trial is looked at."""
    pictures = tuple(pictures)
    near = only_pictures(catalogue, mould, trial, pictures)
    files = (*(each.file for each in pictures), *check_files(catalogue))
    known = {file: facts[file] for file in files if file in facts}
    groups = Groups(known, near)
    return tuple(assess(found, known, near, groups=groups) for found in near.findings())


def applied_to(found: Found, facts: FactsByFile, catalogue: Catalogue) -> Applied | None:
    """The criterion that applies to a finding; only across a border it has to be judged to know which of two does."""
    part = catalogue.parts.get(catalogue.part_of(found.mould, cavity_of(found)) or "")
    if part is None or found.finding.defect not in catalogue.defects:
        return None
    zones = zones_of(part, found.finding.zone)
    if len(zones) > 1:
        return assess(found, facts, catalogue).applied
    return _chosen(zones[0], found, part, catalogue).applied


def criterion_for(defect: str, zone: str, part: Part, trial: Trial, catalogue: Catalogue) -> Applied | None:
    """The criterion that applies to a class in a zone; None where none does, or none can be chosen."""
    return choose(defect, zone, part=part, trial=trial, standards=catalogue.standards, broken=catalogue.broken).applied


def _missing(found: Found, part_id: str | None, catalogue: Catalogue) -> Say | None:
    """Which record the finding can't do without is missing or can't be read."""
    cavity, defect = cavity_of(found), found.finding.defect
    if part_id is None:
        if cavity is None:
            return Say.of("reason.no-cavity", mould=found.mould.id)
        return Say.of("reason.cavity-unknown", cavity=cavity, mould=found.mould.id)
    for kind, name, known in (("part", part_id, catalogue.parts), ("defect", defect, catalogue.defects)):
        if (kind, name) in catalogue.broken:
            return Say.of(f"reason.{kind}-broken", name=name, where=catalogue.broken[kind, name])
        if name not in known:
            return Say.of(f"reason.{kind}-unknown", name=name)
    return None


def _plain(found: Found, part: str | None, verdict: Verdict) -> Assessment:
    return Assessment(
        finding=found.finding.id,
        part=part,
        mould=found.mould.id,
        trial=found.trial.id,
        cavity=cavity_of(found),
        picture=found.picture.file,
        verdict=verdict,
    )


def _in_zone(zone: str, found: Found, part: Part, groups: Groups) -> _Outcome:
    catalogue = groups.catalogue
    readings = tuple(_readings(zone, found, part, groups.facts, catalogue))
    choice = _chosen(zone, found, part, catalogue)
    tallied = groups.tallied(found, zone, part, choice.applied) if choice.applied else Tallied()
    case = Case(
        finding=found.finding,
        defect=catalogue.defects[found.finding.defect],
        zone_name=zone,
        zone=part.zones.get(zone),
        choice=choice,
        readings=readings,
        customer=part.customer,
        day=found.trial.date,
        samples=catalogue.limit_samples,
        broken=catalogue.broken,
        counted=tallied.held,
    )
    return _Outcome(zone, readings, choice, judge(case), tallied.on)


def _chosen(zone: str, found: Found, part: Part, catalogue: Catalogue) -> Choice:
    return choose(
        found.finding.defect,
        zone,
        part=part,
        trial=found.trial,
        standards=catalogue.standards,
        broken=catalogue.broken,
    )


def _across(worst: _Outcome, zones: tuple[str, ...]) -> Verdict:
    verdict = worst.judged.verdict
    sentence = Say.of("verdict.border", sentence=verdict.sentence, zone=worst.zone, zones=Several(zones))
    return replace(verdict, sentence=sentence)


def _readings(zone: str, found: Found, part: Part, facts: FactsByFile, catalogue: Catalogue) -> Iterator[Reading]:
    """What was drawn to be counted is no reading of its own: counts are made over a whole group."""
    for picture in {each.file: each for each in found.pictures()}.values():
        sight = sight_of(picture, zone, part, found.trial, facts, catalogue)
        for index, shape in enumerate(found.shapes_on(picture)):
            if shape.characteristic not in COUNTED:
                yield sight.read(shape, index)
    for index, gauge in enumerate(found.finding.gauge):
        yield measure_gauge(gauge, index=index)
