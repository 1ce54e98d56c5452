"""A part from trial to trial: the verdict, what went out, what was decided, what it was released for."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.event import About
from portal.model.logstate import LogState
from portal.model.result import TrialResult
from portal.model.say import Figure, Say, Several
from portal.model.says import Audience
from portal.model.slug import natural
from portal.model.terms import VerdictWord
from portal.site.answerform import key_of
from portal.site.closedout import RecordLine, record_lines
from portal.site.desk import Desk
from portal.site.front import TrialLine, trial_line


@dataclass(frozen=True, slots=True)
class Remark:
    """A comment about the trial as a whole."""

    text: str
    said: Say
    is_shops: bool


@dataclass(frozen=True, slots=True)
class TrialHistory:
    """One trial with what the log says of it."""

    line: TrialLine
    decisions: tuple[Say, ...]
    records: tuple[RecordLine, ...]
    remarks: tuple[Remark, ...]


def trial_history(desk: Desk, result: TrialResult) -> TrialHistory:
    """What became of a trial."""
    state, trial = desk.log(result.part.id), f"{result.mould}/{result.trial}"
    return TrialHistory(
        line=trial_line(desk, result),
        decisions=tuple(_decisions(desk, state, result)) if state.events else (),
        records=record_lines(desk, result.part.id, trial),
        remarks=tuple(_remarks(desk, state, trial)),
    )


def _decisions(desk: Desk, state: LogState, result: TrialResult) -> Iterator[Say]:
    """Each disposition with its findings; then those that still lack one."""
    found: dict[str, list[str]] = {}
    lacking: list[str] = []
    for each in sorted(result.assessments, key=lambda one: natural(one.finding)):
        finding = state.finding(each.finding)
        now = desk.site.bases.get((result.part.id, each.finding))
        for decided in dict.fromkeys(one.disposition for one in finding.counting):
            found.setdefault(key_of(decided), []).append(each.finding)
        if each.verdict.word is not VerdictWord.CONFORMS and not finding.is_settled(now):
            lacking.append(each.finding)
    for key, findings in found.items():
        yield Say.of("log.decided_for", what=Say.of(f"log.disposition.{key}"), findings=Several(tuple(findings)))
    if lacking:
        yield Say.of("log.lacking", n=len(lacking), findings=Several(tuple(lacking)))


def _remarks(desk: Desk, state: LogState, trial: str) -> Iterator[Remark]:
    of_findings = {comment.event for each in state.findings.values() for comment in each.comments}
    abouts = {each.hash: each.event.about for each in state.events}
    for about, comment in state.comments:
        if about == trial and comment.event not in of_findings:
            said = _by(abouts[comment.event], comment.by.name, desk.day(comment.at))
            yield Remark(comment.text, said, comment.audience is Audience.SHOP)


def _by(about: About, name: str, day: date) -> Say:
    """Who said it when, and on which picture and where, if it was about one."""
    if not about.picture:
        return Say.of("log.by_on", name=name, day=day)
    picture = about.picture.rpartition("/")[2]
    if not about.spot:
        return Say.of("log.by_on_picture", name=name, day=day, picture=picture)
    return Say.of("log.by_at_spot", name=name, day=day, picture=picture, spot=Figure(about.spot.replace(",", ", ")))
