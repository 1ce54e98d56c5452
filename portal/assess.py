"""Measures and judges findings: the only caller of `measure` and `judge`."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from portal.judge import asks, coverage, rollup
from portal.judge.case import Case, Judged
from portal.judge.criteria import Choice, choose
from portal.judge.verdict import judge, no_verdict
from portal.measure.gauge import measure_gauge
from portal.measure.scale import find_scale
from portal.measure.shapes import measure_shape
from portal.model.catalogue import Catalogue, Found
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Facts, Picture, PictureFacts, PictureUnreadable
from portal.model.result import Ask, Assessment, NoScale, Reading, Scale, TrialResult, Unmeasured, Verdict
from portal.model.sample import LimitSample, SamplePicture
from portal.model.say import Say, Several
from portal.model.tag import Shape, TaggedPicture
from portal.model.terms import ShapeKind

FactsByFile = Mapping[str, Facts]


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What one zone makes of a finding; across a border there are two."""

    zone: str
    readings: tuple[Reading, ...]
    choice: Choice
    judged: Judged


def assess(found: Found, facts: FactsByFile, catalogue: Catalogue) -> Assessment:
    """Measure a finding on every picture that shows it, and judge it; across a border the stricter zone rules."""
    part_id = catalogue.part_of(found.mould, _cavity(found))
    missing = _missing(found, part_id, catalogue)
    if missing is not None or part_id is None:
        return _plain(found, part_id, no_verdict(missing or Say.of("reason.no-cavity", mould=found.mould.id)))
    part = catalogue.parts[part_id]
    zones = _zones(part, found.finding.zone)
    outcomes = [_in_zone(zone, found, part, facts, catalogue) for zone in zones]
    worst = max(outcomes, key=lambda outcome: outcome.judged.verdict.word.badness)
    verdict = _across(worst, zones) if len(zones) > 1 else worst.judged.verdict
    own = facts_of(found.picture.file, facts)
    if isinstance(own, PictureUnreadable):
        verdict = no_verdict(_unreadable(found.picture.name, own))
    return replace(
        _plain(found, part_id, verdict),
        readings=worst.readings,
        applied=worst.choice.applied,
        set_aside=worst.choice.set_aside,
        held=worst.judged.held,
        concern=worst.judged.concern,
        stricter_of=zones if len(zones) > 1 else (),
    )


def assess_trial(part: Part, mould: Mould, trial: Trial, facts: FactsByFile, catalogue: Catalogue) -> TrialResult:
    """Every finding of the part in the trial, the sheet of what was looked at, each cavity, the whole, the asks."""
    own, unplaced = [], 0
    for found in _findings(mould, trial):
        placed = catalogue.part_of(mould, _cavity(found))
        unplaced += placed is None
        if placed == part.id:
            own.append(found)
    assessments = tuple(assess(found, facts, catalogue) for found in own)
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


def scales(catalogue: Catalogue, facts: FactsByFile) -> dict[str, Scale | NoScale]:
    """The scale of every picture of a trial and of a limit sample, or why it has none, by the picture's file."""
    found = {
        picture.file: picture_scale(picture, trial, facts, catalogue)
        for _, trial in catalogue.trials()
        for picture in trial.pictures
    }
    for sample in catalogue.limit_samples.values():
        for each in sample.pictures:
            found[f"{sample.folder}/{each.file}"] = _sample_scale(sample, each, facts, catalogue)
    return found


def picture_scale(picture: Picture, trial: Trial, facts: FactsByFile, catalogue: Catalogue) -> Scale | NoScale:
    """The scale of a picture of a trial on the day it was taken, or why it has none."""
    own, tag = facts_of(picture.file, facts), picture.tag
    if isinstance(own, PictureUnreadable):
        return NoScale(_unreadable(picture.name, own))
    if picture.tag_broken is not None:
        return NoScale(Say.of("reason.tag-broken", where=picture.tag_broken))
    return find_scale(
        tag.scope if tag else None,
        tag.setting if tag else None,
        own,
        catalogue.scopes,
        day=taken_on(picture, own, trial),
        broken=catalogue.broken,
        tag_picture=tag.picture if tag else None,
    )


def taken_on(picture: Picture, facts: Facts, trial: Trial) -> date:
    """The day of a picture: its tag's, else its file's, else the trial's."""
    if picture.tag and picture.tag.taken:
        return picture.tag.taken.day
    if isinstance(facts, PictureFacts) and facts.taken:
        try:
            return date.fromisoformat(facts.taken[:10])
        except ValueError:
            return trial.date
    return trial.date


def facts_of(file: str, facts: FactsByFile) -> Facts:
    """What is known of a picture; one that nobody looked at counts as unreadable."""
    return facts.get(file, PictureUnreadable("its file is not there"))


def _sample_scale(
    sample: LimitSample, picture: SamplePicture, facts: FactsByFile, catalogue: Catalogue
) -> Scale | NoScale:
    own = facts_of(f"{sample.folder}/{picture.file}", facts)
    if isinstance(own, PictureUnreadable):
        return NoScale(_unreadable(picture.file, own))
    return find_scale(
        picture.scope,
        picture.setting,
        own,
        catalogue.scopes,
        day=sample.agreed.shop.date,
        broken=catalogue.broken,
        tag_picture=TaggedPicture(sha256=picture.sha256, stored=picture.stored),
    )


def _unreadable(name: str, facts: PictureUnreadable) -> Say:
    return Say.of("reason.picture-unreadable", picture=name, why=facts.reason)


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


def _zones(part: Part, written: str) -> tuple[str, ...]:
    """The zone, or the two of a border written as `A/B`."""
    if written in part.zones:
        return (written,)
    both = tuple(dict.fromkeys(zone.strip() for zone in written.split("/")))
    return both if len(both) > 1 and all(zone in part.zones for zone in both) else (written,)


def _in_zone(zone: str, found: Found, part: Part, facts: FactsByFile, catalogue: Catalogue) -> _Outcome:
    readings = tuple(_readings(zone, found, part, facts, catalogue))
    choice = choose(
        found.finding.defect,
        zone,
        part=part,
        trial=found.trial,
        standards=catalogue.standards,
        broken=catalogue.broken,
    )
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
    )
    return _Outcome(zone, readings, choice, judge(case))


def _across(worst: _Outcome, zones: tuple[str, ...]) -> Verdict:
    verdict = worst.judged.verdict
    sentence = Say.of("verdict.border", sentence=verdict.sentence, zone=worst.zone, zones=Several(zones))
    return replace(verdict, sentence=sentence)


def _readings(zone: str, found: Found, part: Part, facts: FactsByFile, catalogue: Catalogue) -> Iterator[Reading]:
    for picture in {each.file: each for each in found.pictures()}.values():
        yield from _on_picture(picture, zone, found, part, facts, catalogue)
    for index, gauge in enumerate(found.finding.gauge):
        yield measure_gauge(gauge, index=index)


def _shapes(picture: Picture, found: Found) -> Iterator[Shape]:
    if picture.file == found.picture.file:
        yield from found.finding.shapes
    for more in picture.tag.also if picture.tag else ():
        if more.finding == found.finding.id:
            yield from more.shapes


def _on_picture(
    picture: Picture, zone: str, found: Found, part: Part, facts: FactsByFile, catalogue: Catalogue
) -> Iterator[Reading]:
    own, tag = facts_of(picture.file, facts), picture.tag
    scale = picture_scale(picture, found.trial, facts, catalogue)
    view = part.views.get(tag.view) if tag and tag.view else None
    depth = part.zones[zone].depth if zone in part.zones else None
    for index, shape in enumerate(_shapes(picture, found)):
        if tag is None or isinstance(own, PictureUnreadable):
            reason = scale.reason if isinstance(scale, NoScale) else Say.of("reason.picture-untagged")
            kind = ShapeKind(shape.shape)
            yield Unmeasured(shape.characteristic, reason, picture=picture.file, shape=kind, index=index)
            continue
        yield measure_shape(
            shape,
            scale=scale,
            seen_as=view.sees[zone].as_ if view and zone in view.sees else None,
            zone=zone,
            zone_depth_um=depth.um if depth else None,
            view=tag.view,
            picture=picture.file,
            index=index,
            frame=own.upright,
            made=tag.made,
        )
