"""A part in a trial: its findings, as they were judged, put together with what was looked at."""

from collections.abc import Callable, Collection

from portal.assess.facts import FactsByFile
from portal.assess.placed import placed
from portal.judge import asks, coverage, rollup
from portal.model.catalogue import Catalogue
from portal.model.mould import Mould, Trial
from portal.model.narrow import clusters
from portal.model.part import Part
from portal.model.picture import Picture
from portal.model.result import Ask, Assessment, SheetFrame, TrialResult
from portal.model.say import Say

JudgeCluster = Callable[[Mould, Trial, tuple[Picture, ...]], tuple[Assessment, ...]]
"""Gives what was worked out of all findings under pictures that hang together."""


def assess_trial(
    part: Part,
    mould: Mould,
    trial: Trial,
    facts: FactsByFile,
    catalogue: Catalogue,
    *,
    judge_cluster: JudgeCluster,
) -> TrialResult:
    """Every finding of the part in the trial, the sheet of what was looked at, each cavity, the whole, the asks.

    `judge_cluster` gives what `finding.assess_cluster` comes to, or came to before.
    """
    here = placed(part, mould, trial, facts, catalogue)
    made = (
        judge_cluster(mould, trial, each)
        for each in clusters(trial.pictures)
        if any(picture.tag and picture.tag.findings for picture in each)
    )
    known: dict[str, dict[str, list[Assessment]]] = {}  # an id that is written twice there has two
    for each in (each for many in made for each in many):
        known.setdefault(each.picture, {}).setdefault(each.finding, []).append(each)
    assessments = tuple(known[found.picture.file][found.finding.id].pop(0) for found in here.found)
    cases = [asks.Asked(found.finding, each) for found, each in zip(here.found, assessments, strict=True)]
    return TrialResult(
        part=part,
        mould=mould.id,
        trial=trial.id,
        sheet=here.sheet,
        cavities=rollup.cavities(here.sheet, assessments, order=tuple(mould.cavities)),
        whole=rollup.trial(assessments, here.gaps),
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


def coverage_of(
    part: Part, mould: Mould, trial: Trial, *, left_out: Collection[str] = (), movies: Collection[str] = ()
) -> dict[SheetFrame, Say | None]:
    """The sheet of what was looked at, each frame with what it still lacks in words."""
    sheet = coverage.sheet(part, mould, trial, left_out=left_out, movies=movies)
    return {frame: coverage.missing(frame) for frame in sheet}
