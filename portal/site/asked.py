"""What was asked about a trial, as the log says, and how it stands."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from portal.model.logstate import AskState, AskStatus, LogState
from portal.model.result import TrialResult
from portal.model.say import Say
from portal.site.asks import AskLine, letters
from portal.site.came import ReplyLine, answers_of, closings, replies_to, status_of
from portal.site.card import anchor_of
from portal.site.closedout import record_address
from portal.site.desk import Desk
from portal.site.duties import settled_lines
from portal.site.given import AnswerLine
from portal.site.marks import word_key
from portal.site.sentlines import number_of, sent_address
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class AskedLine:
    """An ask that went out, with what came back."""

    number: int
    question: str
    name: Say
    """Which question of which review it was last."""
    address: str
    findings: tuple[tuple[str, str, str], ...]
    """Finding, anchor, verdict word."""
    status: Say | None
    answers: tuple[AnswerLine, ...]
    replies: tuple[ReplyLine, ...]
    closed: tuple[tuple[Say, str], ...]
    settled: tuple[tuple[Say, str], ...]
    record: str | None
    """The page of its record, once nobody owes anything for it."""


def asked_lines(desk: Desk, result: TrialResult, speaker: Speaker) -> tuple[AskedLine, ...]:
    """Every ask about a trial that went out and wasn't taken back."""
    return tuple(_asked(desk, result, speaker))


def to_ask(desk: Desk, result: TrialResult, proposed: Iterable[AskLine], speaker: Speaker) -> tuple[AskLine, ...]:
    """What the next review will ask: what the log holds and didn't send, then what the verdicts propose beyond it."""
    part, bases = result.part.id, desk.site.bases
    state = desk.log(part)
    new = (
        line
        for line in proposed
        if any(state.why_not_again(finding, bases.get((part, finding))) is None for finding, _, _ in line.findings)
    )
    lines = (*_unsent(desk, result, speaker), *new)
    return tuple(replace(line, number=number) for number, line in enumerate(lines, start=1))


def _unsent(desk: Desk, result: TrialResult, speaker: Speaker) -> Iterator[AskLine]:
    for ask in desk.log(result.part.id).open_asks(f"{result.mould}/{result.trial}"):
        if not ask.sent:
            yield AskLine(
                number=0,
                question=ask.question,
                letters=letters(ask.kind.value, ask.offers, speaker),
                findings=_findings(result, ask),
                is_recorded=True,
            )


def _findings(result: TrialResult, ask: AskState) -> tuple[tuple[str, str, str], ...]:
    words = {each.finding: word_key(each.verdict.word) for each in result.assessments}
    return tuple((each, anchor_of(each), words[each]) for each in ask.findings if each in words)


def _asked(desk: Desk, result: TrialResult, speaker: Speaker) -> Iterator[AskedLine]:
    state = desk.log(result.part.id)
    for ask in state.asks.values():
        if ask.trial == f"{result.mould}/{result.trial}" and ask.sent and ask.status is not AskStatus.WITHDRAWN:
            yield _line(desk, result, state, ask, speaker)


def _line(desk: Desk, result: TrialResult, state: LogState, ask: AskState, speaker: Speaker) -> AskedLine:
    last = ask.sent[-1]
    review = state.reviews[last.review]
    return AskedLine(
        number=last.number,
        question=ask.question,
        name=Say.of("log.question_of", number=last.number, review=number_of(state, review)),
        address=f"{sent_address(desk, state.part, review)}#ask-{last.number}",
        findings=_findings(result, ask),
        status=status_of(ask),
        answers=answers_of(desk, state, ask, speaker),
        replies=replies_to(desk, ask),
        closed=tuple(closings(desk, state, ask)),
        settled=tuple(settled_lines(desk, state, ask)),
        record=record_address(desk, state.part, ask.hash),
    )
