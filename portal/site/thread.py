"""A finding's thread: what became of it from the drawing to the decision, with verdict and disposition apart."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.logstate import Decided, FindingState, LogState
from portal.model.result import Assessment, TrialResult
from portal.model.say import Say, Several
from portal.model.terms import VerdictWord
from portal.site.answerform import key_of
from portal.site.desk import Desk
from portal.site.redrawn import day_of
from portal.site.steps import Step, step_of
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class Decision:
    """One disposition that counts."""

    said: Say
    by: str
    day: date | str
    notes: tuple[Say, ...]
    """What is still to be said of it: not confirmed in writing, given on something else, not complete."""


@dataclass(frozen=True, slots=True)
class Thread:
    """What the log knows of one finding."""

    decisions: tuple[Decision, ...]
    standing: Say | None
    """How it stands, where that isn't plain from the decisions."""
    steps: tuple[Step, ...]


def threads_of(desk: Desk, result: TrialResult, speaker: Speaker) -> dict[str, Thread]:
    """The thread of each finding of a trial of which the log knows something."""
    found = {}
    for each in result.assessments:
        events = desk.threads(result.part.id).get(each.finding, ())
        if events:
            found[each.finding] = _thread(desk, result, each, speaker)
    return found


def _thread(desk: Desk, result: TrialResult, assessment: Assessment, speaker: Speaker) -> Thread:
    part, id_ = result.part.id, assessment.finding
    log = desk.log(part)
    state = log.finding(id_)
    now = desk.site.bases.get((part, id_)) or state.basis_now
    finding = desk.found[assessment.picture, id_].finding
    drawn = Step(
        day=finding.at.day,
        who=desk.person(finding.by),
        what=Say.of("log.step.drawn"),
    )
    steps = (step_of(desk, part, id_, each, speaker) for each in desk.threads(part)[id_])
    return Thread(
        decisions=tuple(_decision(desk, log, each, id_, now) for each in state.counting),
        standing=_standing(log, state, assessment, now),
        steps=(drawn, *(step for many in steps for step in many)),
    )


def _decision(desk: Desk, log: LogState, decided: Decided, finding: str, now: str | None) -> Decision:
    logged = log.get(decided.event)
    when = getattr(logged.event.says, "when", None) if logged else None
    return Decision(
        said=Say.of(f"log.disposition.{key_of(decided.disposition)}"),
        by=decided.by.name,
        day=day_of(str(when)[:10]) if when else desk.day(decided.at),
        notes=tuple(_notes(decided, finding, now)),
    )


def _notes(decided: Decided, finding: str, now: str | None) -> Iterator[Say]:
    if decided.recorded_by and decided.how:
        key = "log.recorded" if decided.confirmed else "log.recorded_only"
        yield Say.of(key, by=decided.recorded_by.name, how=Say.of(f"log.way.{key_of(decided.how)}"))
    if not decided.complete and decided.concession:
        missing = tuple(Say.of(f"log.lacks.{each}") for each in decided.concession.missing())
        yield Say.of("log.incomplete", what=Several(missing))
    basis = decided.basis(finding)
    if basis and now and basis != now:
        yield Say.of("log.on_another_basis")


def _standing(log: LogState, state: FindingState, assessment: Assessment, now: str | None) -> Say | None:
    if state.withdrawn is not None:
        return Say.of("log.standing.withdrawn")
    if state.disagree:
        return Say.of("log.standing.disagree")
    open_ = [log.asks[each] for each in state.asks if each in log.asks and log.asks[each].status.is_open()]
    if open_:
        return Say.of("log.standing.asked" if any(each.sent for each in open_) else "log.standing.not-sent")
    if not state.counting:
        word = "not-needed" if assessment.verdict.word is VerdictWord.CONFORMS else "nobody"
        return Say.of(f"log.standing.{word}")
    return None if state.is_settled(now) else Say.of("log.standing.not-final")
