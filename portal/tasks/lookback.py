"""What `portal check` lists once a check or a calibration disagrees: what was measured since, and who was shown it."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from portal.assess.lookback import Doubt, doubts, measured_since
from portal.assess.placed import cavity_of
from portal.model.catalogue import Catalogue
from portal.model.logstate import ReviewState
from portal.model.mould import Trial
from portal.model.picture import Facts
from portal.model.result import Assessment
from portal.model.scalars import Moment
from portal.model.scope import LookedAgain
from portal.model.shown import ShownFinding
from portal.model.tag import Finding
from portal.problem import Problem
from portal.tasks.gather import Surveyed
from portal.tasks.judging import Memory, assess_all
from portal.tasks.packing.shelf import SHOWN, Lost, find_store
from portal.tasks.recorded import Recorded


@dataclass(frozen=True)
class Seen:
    """A finding that was measured meanwhile."""

    finding: str
    part: str
    picture: str
    file: str
    line: int
    again: LookedAgain | None
    """What somebody said who looked at it again."""
    is_left: bool
    """Whether it has still to be looked at, or to be measured anew or withdrawn."""


@dataclass(frozen=True)
class Shown:
    """A sent review that showed such findings."""

    part: str
    review: ReviewState
    findings: tuple[str, ...]


@dataclass(frozen=True)
class LookBack:
    """A disagreement with all that rests on what was measured since the setting was last known to be right."""

    doubt: Doubt
    findings: tuple[Seen, ...]
    reviews: tuple[Shown, ...]

    @property
    def left(self) -> tuple[Seen, ...]:
        """The findings with which nobody is done yet."""
        return tuple(each for each in self.findings if each.is_left)


def look_back(gathered: Surveyed, record: Recorded) -> Iterator[Problem]:
    """For every disagreement that nobody has gone through yet: each finding that is left, and each review."""
    for each in look_backs(gathered, record):
        yield from _problems(gathered, each)


def look_backs(gathered: Surveyed, record: Recorded) -> Iterator[LookBack]:
    """Every disagreement that nobody has gone through yet."""
    open_ones = open_doubts(gathered.catalogue, gathered.facts)
    if open_ones:
        near = replace(gathered, catalogue=in_doubt(gathered.catalogue, open_ones))
        written = written_in(gathered.catalogue)
        yield from told_of(near, record, open_ones, written=written, memory=Memory())


def open_doubts(catalogue: Catalogue, facts: Mapping[str, Facts]) -> tuple[Doubt, ...]:
    """Every disagreement that nobody has gone through yet, without what rests on it."""
    return tuple(each for each in doubts(catalogue, facts) if each.looked_back is None)


def doubts_of(trial: Trial, open_ones: Iterable[Doubt]) -> tuple[Doubt, ...]:
    """Those disagreements that may concern a trial: a picture of it was taken with the setting."""
    return tuple(each for each in open_ones if _is_with(trial, {(each.scope.id, each.setting)}))


def in_doubt(catalogue: Catalogue, open_ones: Iterable[Doubt]) -> Catalogue:
    """The catalogue with those trials only of which a picture was taken with a setting that is in doubt."""
    settings = {(each.scope.id, each.setting) for each in open_ones}
    near = {
        mould.id: {id_: trial for id_, trial in mould.trials.items() if _is_with(trial, settings)}
        for mould in catalogue.moulds.values()
    }
    return replace(catalogue, moulds={id_: each.but(trials=near[id_]) for id_, each in catalogue.moulds.items()})


def _is_with(trial: Trial, settings: Collection[tuple[str, str]]) -> bool:
    return any((each.tag.scope, each.tag.setting) in settings for each in trial.pictures if each.tag)


def written_in(catalogue: Catalogue) -> frozenset[tuple[str, str]]:
    """Every finding that is written, by its part and its id."""
    found = ((catalogue.part_of(each.mould, cavity_of(each)), each.finding.id) for each in catalogue.findings())
    return frozenset((part, id_) for part, id_ in found if part in catalogue.parts)


def told_of(
    near: Surveyed,
    record: Recorded,
    open_ones: Iterable[Doubt],
    *,
    written: Collection[tuple[str, str]],
    memory: Memory,
) -> Iterator[LookBack]:
    """What rests on each disagreement: of the trials that are `in_doubt`, and of the reviews that are recorded."""
    results = assess_all(near.catalogue, near.facts, memory=memory)
    assessments = tuple(each for result in results for each in result.assessments)
    for doubt in open_ones:
        yield _of_doubt(near, doubt, record, assessments, written)


def _problems(gathered: Surveyed, back: LookBack) -> Iterator[Problem]:
    doubt = back.doubt
    line = gathered.reading.places.line(doubt.scope.file, ("settings", doubt.setting, *doubt.field))
    where = f"{doubt.scope.file}:{line}"
    what = "check" if doubt.field[0] == "checks" else "calibration"
    why = f"by {doubt.scope.id}, {doubt.setting}, which was last known to be right on {doubt.since}"
    hint = f"the {what} of {doubt.until} in {where} disagrees; once all is looked at, write `looked_back` there"
    if back.findings and not back.left:
        said = f"{', '.join(each.finding for each in back.findings)}: looked at again, each that was measured {why}"
        yield Problem(doubt.scope.file, line, "", said, hint, warning=True)
    for each in back.left:
        yield Problem(each.file, each.line, "", f"{each.finding} was measured {why}", hint, warning=True)
    for shown in back.reviews:
        review = shown.review
        said = f"review {review.number} ({review.code}) showed {', '.join(shown.findings)}, measured {why}"
        yield Problem(_kept(gathered, shown.part, review), 0, "", said, hint, warning=True)


def _of_doubt(
    gathered: Surveyed,
    doubt: Doubt,
    record: Recorded,
    assessments: tuple[Assessment, ...],
    written: Collection[tuple[str, str]],
) -> LookBack:
    mine: dict[str, set[str]] = {}
    findings = []
    for each in measured_since(doubt, assessments, gathered.catalogue, gathered.facts):
        mine.setdefault(each.part or "", set()).add(each.finding)
        findings.append(_seen(gathered, doubt, record, each))
    reviews = []
    for part, review in ((part, each) for part, many in record.stored.items() for each in many):
        shown = review.shown.findings if review.shown else ()
        gone = {each.id for each in shown if (part, each.id) not in written}
        ids = tuple(each.id for each in shown if _rests_on(each, doubt, mine.get(part, set()), gone))
        if ids:
            reviews.append(Shown(part, review.state, ids))
    return LookBack(doubt, tuple(findings), tuple(reviews))


def _kept(gathered: Surveyed, part: str, review: ReviewState) -> str:
    """Where what a review showed is kept, within the catalogue."""
    place = find_store(gathered.folder, part, review)
    return place.file if isinstance(place, Lost) else f"{place.relative_to(gathered.folder).as_posix()}/{SHOWN}"


def _rests_on(finding: ShownFinding, doubt: Doubt, doubtful: Collection[str], gone: Collection[str]) -> bool:
    """Whether a review showed a finding by that calibration; one that is gone counts by the day it was written."""
    if not any(each.get("id") == doubt.calibration for each in finding.rests_on.get("calibrations", [])):
        return False
    return finding.id in doubtful or (finding.id in gone and doubt.since <= _day(finding) <= doubt.until)


def _day(finding: ShownFinding) -> date:
    return Moment(finding.rests_on["finding"]["at"]).day


def _seen(gathered: Surveyed, doubt: Doubt, record: Recorded, each: Assessment) -> Seen:
    part, picture = each.part or "", each.picture
    again = doubt.again(part, each.finding)
    tag = next(one.picture.tag for one in gathered.catalogue.findings() if one.picture.file == picture)
    if tag is None:
        return Seen(each.finding, part, picture, picture, 0, again, is_left=True)
    number = next(number for number, one in enumerate(tag.findings) if one.id == each.finding)
    line = gathered.reading.places.line(tag.file, ("findings", str(number), "id"))
    is_left = not _is_done(again, tag.findings[number], _withdrawn(record, part))
    return Seen(each.finding, part, picture, tag.file, line, again, is_left)


def _is_done(again: LookedAgain | None, finding: Finding, withdrawn: Collection[str]) -> bool:
    """Whether it was found the same, or was written anew or withdrawn after somebody found it changed."""
    if again is None:
        return False
    return again.result == "same" or finding.at.order > again.at.order or finding.id in withdrawn


def _withdrawn(record: Recorded, part: str) -> set[str]:
    state = record.logs.get(part)
    return {id_ for id_, each in state.findings.items() if each.withdrawn} if state else set()
