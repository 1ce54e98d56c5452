"""Answers of a file against what the review asked and showed, and any answer against what its giver may decide."""

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from portal.log.keywords import CONDITIONAL, UNDECIDED
from portal.log.takenback import WHY, decides, doubts_of
from portal.model.answer import AskKind, Given, Unclear
from portal.model.reach import covers_nothing
from portal.model.reply import Asked
from portal.model.shop import Customer, May, Reviewer
from portal.model.terms import Answer
from portal.problem import PortalError
from portal.tasks.acting import refuse_without, refuse_without_authority
from portal.tasks.telling import given_text


@dataclass(frozen=True, slots=True)
class Screened:
    """What can be taken, and what can't with the reason."""

    answers: tuple[Given, ...]
    unclear: tuple[Unclear, ...]


class _Doubt(ValueError):
    """Why an answer isn't taken."""


def from_file(answers: Iterable[Given], asked: Mapping[int, Asked], *, beside: Iterable[str] = ()) -> Screened:
    """Answers of an answer file that fit what was asked and shown, each with its ask's number and hash.

    `beside` are the free words of the mail that it came with.
    """
    doubts = doubts_of(beside)
    taken: list[tuple[Asked, Given]] = []
    unclear: list[Unclear] = []
    for given in answers:
        try:
            ask = _ask(given, asked)
            _refuse_misfit(given, ask)
            if doubts.concern(given):
                raise _Doubt(WHY)
            taken.append((ask, given.model_copy(update={"number": ask.number, "ask": ask.ask})))
        except _Doubt as doubt:
            unclear.append(_unclear(given, str(doubt)))
    twice = _twice(taken)
    unclear.extend(_unclear(given, "two answers about the same") for ask, given in taken if ask.number in twice)
    return Screened(tuple(given for ask, given in taken if ask.number not in twice), tuple(unclear))


def within_authority(answers: Iterable[Given], kinds: Mapping[str, AskKind], who: Reviewer, of: Customer) -> Screened:
    """What the customer lets this reviewer decide; a piece to keep is refused by itself."""
    taken, unclear = [], []
    for given in answers:
        kind = kinds.get(given.ask or "", AskKind.QUESTION)
        try:
            refuse_without_authority(who, of, letter=given.letter, kind=kind)
        except PortalError as error:
            unclear.append(_told(given, given_text(given), error))
            continue
        if given.keep:
            try:
                refuse_without(who, of, may=May.LIMIT_SAMPLE, what="say that a piece is kept as a limit sample")
            except PortalError as error:
                pieces = ", ".join(f"{each.finding} {each.side}" for each in given.keep)
                unclear.append(_told(given, f"keep {pieces}", error))
                given = given.model_copy(update={"keep": ()})
        taken.append(given)
    return Screened(tuple(taken), tuple(unclear))


def within_reach(answers: Iterable[Given], *, on: date) -> Screened:
    """Without concessions that cover nothing: no piece, or only days before `on`, when they were asked for."""
    taken, unclear = [], []
    for given in answers:
        doubt = covers_nothing(given.concession, on=on) if given.concession else None
        if doubt is None:
            taken.append(given)
        else:
            unclear.append(_told(given, given_text(given), PortalError(doubt, hint="ask what was meant")))
    return Screened(tuple(taken), tuple(unclear))


def _ask(given: Given, asked: Mapping[int, Asked]) -> Asked:
    by_hash = {each.ask: each for each in asked.values()}
    ask = asked.get(given.number) if given.number is not None else by_hash.get(given.ask or "")
    if ask is None:
        raise _Doubt("there is no such question in this review")
    if given.ask is not None and given.ask != ask.ask:
        raise _Doubt(f"its number {ask.number} and its question don't belong together")
    return ask


def _refuse_misfit(given: Given, ask: Asked) -> None:
    if given.letter is None and not given.words:
        raise _Doubt("neither a letter nor words")
    if given.letter is not None and given.letter not in ask.offers:
        raise _Doubt(f"question {ask.number} doesn't offer {given.letter}; offered: {', '.join(ask.offers)}")
    if given.words and not ask.takes_words:
        raise _Doubt(f"question {ask.number} takes a letter, no words")
    _refuse_strange_findings(given, ask)
    _refuse_condition(given)
    for name, is_there, fits in _belongings(given, ask):
        if is_there and not fits:
            raise _Doubt(f"`{name}` doesn't belong to such an answer")


def _refuse_condition(given: Given) -> None:
    """As in a plain reply: words beside a decision that seem to take back a part of it are for a person."""
    if not decides(given):
        return
    reason = given.concession.justification if given.concession else None
    for each in (given.comment or "", reason or ""):
        if CONDITIONAL.search(each):
            raise _Doubt("it seems to hold under a condition only")
        if UNDECIDED.search(each):
            raise _Doubt("its words say that it isn't decided")


def _refuse_strange_findings(given: Given, ask: Asked) -> None:
    shown = {each.finding: each.basis for each in ask.findings}
    named = [each.finding for each in given.findings]
    for finding in (*named, *given.left_out, *(each.finding for each in given.keep)):
        if finding not in shown:
            raise _Doubt(f"{finding} is no finding of question {ask.number}")
    if len(set(named)) != len(named) or set(named) & set(given.left_out):
        raise _Doubt("a finding stands in it twice")
    for each in given.findings:
        if each.basis != shown[each.finding]:
            raise _Doubt(f"{each.finding} isn't bound to what the review showed of it")
    if len({each.finding for each in given.keep}) < len(given.keep):
        raise _Doubt("`keep` names a finding twice")
    if decides(given) and shown and not named:
        raise _Doubt("it covers no finding")


def _belongings(given: Given, ask: Asked) -> Iterator[tuple[str, bool, bool]]:
    """What goes only with some letters: its name, whether it is there, whether it may be."""
    letter = given.letter
    agrees_limit = letter is Answer.INSIDE and ask.kind is AskKind.NOT_AGREED
    yield "concession", given.concession is not None, letter is Answer.CONCESSION
    yield "limit", given.limit is not None, agrees_limit
    yield "evidence", bool(given.evidence), letter is Answer.MORE_EVIDENCE
    yield "question", given.question is not None, letter is Answer.QUESTION_BACK
    yield "keep", bool(given.keep), letter in {Answer.INSIDE, Answer.OUTSIDE}


def _twice(taken: list[tuple[Asked, Given]]) -> set[int]:
    """Questions with two answers about one finding, or two about the question as a whole."""
    seen = Counter(
        (ask.number, finding) for ask, given in taken for finding in ([each.finding for each in given.findings] or [""])
    )
    return {number for (number, _), count in seen.items() if count > 1}


def _unclear(given: Given, reason: str) -> Unclear:
    text = json.dumps(given.given(), ensure_ascii=False)[:20_000]
    return Unclear(text=text, reason=reason, **({} if given.number is None else {"number": given.number}))


def _told(given: Given, text: str, error: PortalError) -> Unclear:
    number = {} if given.number is None else {"number": given.number}
    reason = f"{error}; {error.hint}" if error.hint else str(error)
    return Unclear(text=f"{given.number or ''} {text}".strip()[:20_000], reason=reason, **number)
