"""A part's page: its trials side by side, its zones, what is agreed for it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.part import Part
from portal.model.result import Applied, TrialResult
from portal.model.say import Say
from portal.model.slug import natural
from portal.model.standard import Criterion, VisualStandard
from portal.site.card import anchor_of
from portal.site.criteria import CriterionLine, criterion_line, rank_of
from portal.site.desk import Desk
from portal.site.front import TrialLine, results_of, trial_line, unread_trials
from portal.site.history import TrialHistory, trial_history
from portal.site.marks import word_key, worst_of
from portal.site.movie import MovieFigure, movies_of
from portal.site.titleblock import TitleBlock, part_block
from portal.site.zonemap import ZoneMap, zone_map


@dataclass(frozen=True, slots=True)
class HistoryCell:
    """What a cavity came to in one trial: one mark for each finding."""

    word: str | None
    findings: tuple[tuple[str, str, str], ...]
    """Finding, address of its card, word."""
    missing: int


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One cavity (of one view, where it isn't the cavity as a whole) over the trials."""

    cavity: str
    cells: tuple[HistoryCell | None, ...]


@dataclass(frozen=True, slots=True)
class ZoneLine:
    """One zone of the part."""

    name: str
    class_: str
    described: str | None
    kind: Say
    concern: Say | None


@dataclass(frozen=True, slots=True)
class StandardBlock:
    """A standard in its newest revision in force, with the criteria that hold for the part."""

    name: Say
    effective: Say
    criteria: tuple[CriterionLine, ...]
    address: str | None
    """Its own page; the part's own criteria have none."""


@dataclass(frozen=True, slots=True)
class TrialMovies:
    """The movies of one trial."""

    stage: str
    day: date
    movies: tuple[MovieFigure, ...]


@dataclass(frozen=True, slots=True)
class PartPage:
    """All that a part's page says."""

    title: Say
    block: TitleBlock
    trials: tuple[TrialLine, ...]
    """From old to new."""
    history: tuple[TrialHistory, ...]
    """The same trials with what the log says of them; none before anything was asked."""
    rows: tuple[HistoryRow, ...]
    movies: tuple[TrialMovies, ...]
    """From new to old; trials without one are left out."""
    zones: tuple[ZoneLine, ...]
    maps: tuple[ZoneMap, ...]
    standards: tuple[StandardBlock, ...]
    precedence: tuple[Say, ...]
    unread: tuple[tuple[str, str, str], ...]


def part_page(desk: Desk, part: Part) -> PartPage:
    """The page of a part."""
    results = results_of(desk, part.id)
    moulds = tuple({each.mould: desk.mould(each) for each in results}.values())
    return PartPage(
        title=Say.of("part.title", part=part.name, number=part.numbers.shop),
        block=part_block(desk, part, moulds=moulds),
        trials=tuple(trial_line(desk, each) for each in results),
        history=tuple(trial_history(desk, each) for each in results) if desk.log(part.id).events else (),
        rows=tuple(_rows(desk, results)),
        movies=tuple(_movies(desk, results)),
        zones=tuple(_zones(desk, part)),
        maps=tuple(found for found in (zone_map(desk, part, view) for view in part.views) if found),
        standards=tuple(_standards(desk, part, results)),
        precedence=tuple(Say.of(f"rank.{rank.value}") for rank in part.precedence),
        unread=tuple(
            (f"{mould}/{trial}", where, desk.addresses.review(part.id, mould, trial))
            for mould, trial, where in unread_trials(desk, part.id)
        ),
    )


def _movies(desk: Desk, results: tuple[TrialResult, ...]) -> Iterator[TrialMovies]:
    for each in reversed(results):
        trial = desk.trial(each)
        movies = tuple(movies_of(desk, each))
        if movies:
            yield TrialMovies(trial.stage, trial.date, movies)


def _rows(desk: Desk, results: tuple[TrialResult, ...]) -> Iterator[HistoryRow]:
    for mark in sorted({mark for each in results for mark in each.cavities}, key=natural):
        yield HistoryRow(mark, tuple(_cell(desk, each, mark) for each in results))


def _cell(desk: Desk, result: TrialResult, mark: str) -> HistoryCell | None:
    if mark not in result.cavities:
        return None
    own = [each for each in result.assessments if each.cavity == mark]
    page = desk.addresses.review(result.part.id, result.mould, result.trial)
    worst = worst_of([result.cavities[mark].word])
    return HistoryCell(
        word=word_key(worst) if worst else None,
        findings=tuple(
            (each.finding, f"{page}#{anchor_of(each.finding)}", word_key(each.verdict.word)) for each in own
        ),
        missing=sum(1 for frame in result.sheet if frame.cavity == mark and frame.missing),
    )


def _zones(desk: Desk, part: Part) -> Iterator[ZoneLine]:
    described: dict[str, str] = {}
    for name in reversed(part.standards):
        for revision in desk.site.catalogue.standards.get(name, {}).values():
            described.update(revision.zone_classes)
    for name, zone in part.zones.items():
        concern = Say.of(f"concern.{zone.concern.value}") if zone.concern else None
        yield ZoneLine(name, zone.class_, described.get(zone.class_), Say.of(f"zone.{zone.kind.value}"), concern)


def _standards(desk: Desk, part: Part, results: tuple[TrialResult, ...]) -> Iterator[StandardBlock]:
    speaker = desk.speaker(part.customer)

    def line(own: Criterion, standard: VisualStandard | None) -> CriterionLine:
        name, file = (f"{standard.id}/{standard.revision}", standard.file) if standard else (None, part.file)
        return criterion_line(desk, Applied(own, rank_of(own, standard), name, file), speaker)

    if part.criteria:
        yield StandardBlock(
            Say.of("part.own_criteria"),
            Say.of("part.in_its_file"),
            tuple(line(own, None) for own in part.criteria),
            None,
        )
    newest = desk.trial(results[-1]).standards if results else {}
    for name in part.standards:
        revisions = desk.site.catalogue.standards.get(name, {})
        revision = newest.get(name) or (max(revisions, key=lambda each: revisions[each].effective) if revisions else "")
        known = revisions.get(revision)
        if known is None:
            continue
        yield StandardBlock(
            Say.of("part.standard", name=known.name, revision=known.revision),
            Say.of("part.effective", day=known.effective),
            tuple(line(own, known) for own in known.criteria if _holds(own, part)),
            desk.addresses.record("standard", f"{name}/{revision}"),
        )


def _holds(own: Criterion, part: Part) -> bool:
    classes = {zone.class_ for zone in part.zones.values()}
    return own.zone in part.zones if own.zone else own.zone_class in classes
