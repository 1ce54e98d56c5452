"""Measures and judges findings: the only caller of `measure` and `judge`."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from portal.assess.fineness import fineness
from portal.assess.graticule import Compared, check_files, check_results, comparisons
from portal.assess.groups import Groups, Tallied, zones_of
from portal.assess.lookback import Doubt, doubts, measured_since
from portal.assess.scales import FactsByFile, facts_of, picture_scale, scales, taken_on, unreadable
from portal.assess.sight import sight_of
from portal.judge import asks, coverage, rollup
from portal.judge.case import Case, Judged
from portal.judge.criteria import Choice, choose
from portal.judge.verdict import judge, no_verdict
from portal.measure.gauge import measure_gauge
from portal.model.catalogue import Catalogue, Found
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture, PictureFacts, PictureUnreadable
from portal.model.readable import COUNTED
from portal.model.result import Ask, Assessment, CountedOn, Reading, TrialResult, Verdict
from portal.model.say import Say, Several

__all__ = [
    "Compared",
    "Doubt",
    "FactsByFile",
    "Groups",
    "asks_without",
    "assess",
    "assess_trial",
    "check_files",
    "check_results",
    "comparisons",
    "doubts",
    "facts_of",
    "fineness",
    "measured_since",
    "picture_scale",
    "scales",
    "taken_on",
]


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
    part_id = catalogue.part_of(found.mould, _cavity(found))
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
        readings=worst.readings,
        applied=worst.choice.applied,
        set_aside=worst.choice.set_aside,
        held=worst.judged.held,
        concern=worst.judged.concern,
        stricter_of=zones if len(zones) > 1 else (),
        counted_on=worst.counted_on,
    )


def assess_trial(part: Part, mould: Mould, trial: Trial, facts: FactsByFile, catalogue: Catalogue) -> TrialResult:
    """Every finding of the part in the trial, the sheet of what was looked at, each cavity, the whole, the asks."""
    own, unplaced = [], 0
    for found in _findings(mould, trial):
        placed = catalogue.part_of(mould, _cavity(found))
        unplaced += placed is None
        if placed == part.id:
            own.append(found)
    groups = Groups(facts, catalogue)
    assessments = tuple(assess(found, facts, catalogue, groups=groups) for found in own)
    pictures = tuple(each for each in trial.pictures if _may_show(each, part, mould, catalogue))
    unreadable = {each.file for each in pictures if isinstance(facts_of(each.file, facts), PictureUnreadable)}
    replaced = {each.file for each in pictures if _is_replaced(each, facts)}
    sheet = coverage.sheet(part, mould, trial, left_out=unreadable | replaced)
    gaps = rollup.Gaps(
        frames=sum(1 for frame in sheet if frame.missing),
        broken_tags=sum(1 for each in trial.pictures if each.tag_broken is not None),
        unreadable=len(unreadable),
        replaced=len(replaced),
        unplaced=unplaced,
        nothing_required=not sheet,
    )
    cases = [asks.Asked(found.finding, each) for found, each in zip(own, assessments, strict=True)]
    return TrialResult(
        part=part,
        mould=mould.id,
        trial=trial.id,
        sheet=sheet,
        cavities=rollup.cavities(sheet, assessments, order=tuple(mould.cavities)),
        whole=rollup.trial(assessments, gaps),
        assessments=assessments,
        asks=asks.propose(cases),
    )


def asks_without(result: TrialResult, catalogue: Catalogue, *, findings: Collection[str]) -> tuple[Ask, ...]:
    """The asks that follow from a trial's verdicts where some of its findings aren't asked about."""
    written = {(found.picture.file, found.finding.id): found.finding for found in catalogue.findings()}
    return asks.propose(
        [
            asks.Asked(written[each.picture, each.finding], each)
            for each in result.assessments
            if each.finding not in findings
        ]
    )


def _cavity(found: Found) -> str | None:
    return found.picture.tag.cavity if found.picture.tag else None


def _findings(mould: Mould, trial: Trial) -> Iterator[Found]:
    for picture in trial.pictures:
        for finding in picture.tag.findings if picture.tag else ():
            yield Found(finding, picture, trial, mould)


def _may_show(picture: Picture, part: Part, mould: Mould, catalogue: Catalogue) -> bool:
    """Whether the picture is of the part, or of nobody knows what."""
    cavity = picture.tag.cavity if picture.tag else None
    return catalogue.part_of(mould, cavity) in (part.id, None)


def _is_replaced(picture: Picture, facts: FactsByFile) -> bool:
    own = facts_of(picture.file, facts)
    return picture.tag is not None and isinstance(own, PictureFacts) and own.sha256 != picture.tag.picture.sha256


def _missing(found: Found, part_id: str | None, catalogue: Catalogue) -> Say | None:
    """Which record the finding can't do without is missing or can't be read."""
    cavity, defect = _cavity(found), found.finding.defect
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
        cavity=_cavity(found),
        picture=found.picture.file,
        readings=(),
        verdict=verdict,
    )


def _in_zone(zone: str, found: Found, part: Part, groups: Groups) -> _Outcome:
    catalogue = groups.catalogue
    readings = tuple(_readings(zone, found, part, groups.facts, catalogue))
    choice = choose(
        found.finding.defect,
        zone,
        part=part,
        trial=found.trial,
        standards=catalogue.standards,
        broken=catalogue.broken,
    )
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
