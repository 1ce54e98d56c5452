"""Asks that the verdicts propose to the customer, gathered over cavities; nothing is asked twice."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from portal.judge import concern
from portal.model.result import Ask, Assessment
from portal.model.say import DefectTerm, Say, Several
from portal.model.tag import Finding
from portal.model.terms import Answer, VerdictWord

_ANSWERS = {
    "does-not-conform": (Answer.CONCESSION, Answer.REWORK, Answer.OUTSIDE, Answer.MORE_EVIDENCE),
    "undecided": (Answer.INSIDE, Answer.OUTSIDE, Answer.CONCESSION, Answer.MORE_EVIDENCE),
    "not-agreed": (Answer.INSIDE, Answer.OUTSIDE, Answer.MORE_EVIDENCE),
    "question": (Answer.MORE_EVIDENCE,),
}
"""What each kind of ask can be answered with, worst first; a question back is always among them."""

_BESIDE_SAMPLE = ("verdict.compared-cannot-tell", "verdict.compared-first-bad")


@dataclass(frozen=True, slots=True)
class Asked:
    """A finding with what was worked out about it."""

    finding: Finding
    assessment: Assessment


def propose(cases: Sequence[Asked]) -> tuple[Ask, ...]:
    """The asks that follow from the verdicts, worst first.

    Findings of one class, zone, criterion and verdict share an ask; one with a question of its own stands alone.
    What the shop can settle itself (not measured, not compared, not checked) isn't asked.
    """
    groups: dict[tuple[str, ...], list[Asked]] = {}
    for case in cases:
        kind = _kind(case)
        if kind is not None:
            groups.setdefault(_group(kind, case), []).append(case)
    order = list(_ANSWERS)
    return tuple(_ask(key[0], groups[key]) for key in sorted(groups, key=lambda key: order.index(key[0])))


def _kind(case: Asked) -> str | None:
    verdict = case.assessment.verdict
    if verdict.word is VerdictWord.DOES_NOT_CONFORM:
        return "does-not-conform"
    if verdict.word is VerdictWord.UNDECIDED:
        return "undecided"
    if verdict.key == "verdict.not-agreed":
        return "not-agreed"
    return "question" if case.finding.question else None


def _group(kind: str, case: Asked) -> tuple[str, ...]:
    if case.finding.question:
        return (kind, case.finding.id)
    applied = case.assessment.applied
    criterion = applied.criterion.id if applied else ""
    return (kind, "", case.finding.defect, case.finding.zone, criterion, case.assessment.verdict.key)


def _ask(kind: str, cases: list[Asked]) -> Ask:
    marks = {each.assessment.cavity for each in cases if each.assessment.cavity is not None}
    cavities = tuple(sorted(marks, key=_natural))
    return Ask(
        key=kind,
        question=_question(kind, cases, cavities),
        answers=(*_ANSWERS[kind], Answer.QUESTION_BACK),
        findings=tuple(each.finding.id for each in cases),
        cavities=cavities,
    )


def _question(kind: str, cases: list[Asked], cavities: tuple[str, ...]) -> Say:
    first = cases[0]
    if first.finding.question:
        question = Say.of("ask.own", text=first.finding.question)
    else:
        question = Say.of(_key(kind, first), defect=DefectTerm(first.finding.defect), where=_where(first, cavities))
    touched = sorted({each.assessment.concern for each in cases if each.assessment.concern is not None})
    applied = first.assessment.applied
    for each in touched:
        decided = concern.sentence(each, applied.criterion if applied else None)
        question = Say.of("ask.with-concern", question=question, concern=decided)
    return question


def _key(kind: str, case: Asked) -> str:
    if kind == "undecided" and case.assessment.verdict.key in _BESIDE_SAMPLE:
        return "ask.undecided.sample"
    return f"ask.{kind}"


def _where(case: Asked, cavities: tuple[str, ...]) -> Say:
    if not cavities:
        return Say.of("ask.where.zone", zone=case.finding.zone)
    return Say.of("ask.where", n=len(cavities), cavities=Several(cavities), zone=case.finding.zone)


def _natural(mark: str) -> tuple[tuple[int, str], ...]:
    """Cavity marks in the order people count: 2 before 10."""
    return tuple((int(piece), "") if piece.isdecimal() else (-1, piece) for piece in re.findall(r"\d+|\D+", mark))
