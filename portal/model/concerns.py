"""Which findings each event of a log is about, those included that it names only by way of another event."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from portal.model.answer import Given
from portal.model.duty import Duty, DutyKind
from portal.model.event import Logged
from portal.model.logstate import LogState
from portal.model.says import (
    AnswersReceived,
    DecisionRecorded,
    EventCorrected,
    MatterClosed,
    QuestionAnswered,
    ReviewWithdrawn,
)
from portal.model.terms import Answer

ASKING = frozenset({Answer.QUESTION_BACK, Answer.MORE_EVIDENCE})
"""Letters that ask the shop for something."""
_BY_WAY = (MatterClosed, EventCorrected, DecisionRecorded)


def threads(state: LogState) -> dict[str, tuple[Logged, ...]]:
    """Every event about each finding, in the log's order."""
    concerned: dict[str, frozenset[str]] = {}
    found: dict[str, list[Logged]] = defaultdict(list)
    for each in state.events:
        concerned[each.hash] = _concerned(state, each, concerned)
        for finding in sorted(concerned[each.hash]):
            found[finding].append(each)
    return {finding: tuple(many) for finding, many in found.items()}


def given_about(state: LogState, says: AnswersReceived, review: str | None, finding: str) -> tuple[Given, ...]:
    """The answers within what came that concern a finding, those included that leave it out."""
    return tuple(each for each in says.answers if finding in _of_given(state, each, review))


def asks_of(state: LogState, duty: Duty) -> frozenset[str]:
    """The asks to which a thing that is owed belongs; none, where it was said beside them."""
    logged = state.get(duty.event)
    if logged is None:
        return frozenset()
    given = _given_of(logged, duty)
    return frozenset(ask for ask in (_ask_of(state, each, logged.event.about.review) for each in given) if ask)


@dataclass(frozen=True, slots=True)
class Settling:
    """A closing with those of the things it ended that are looked for."""

    logged: Logged
    says: MatterClosed
    duties: tuple[Duty, ...]


def settlings(state: LogState, wanted: Callable[[Duty], bool]) -> Iterator[Settling]:
    """What closings that count ended, each thing by itself, of those that are wanted."""
    for each in state.events:
        says = each.event.says
        if isinstance(says, MatterClosed) and each.hash not in state.corrected:
            own = tuple(filter(wanted, says.only))
            if own:
                yield Settling(each, says, own)


def settlings_of(state: LogState, ask: str) -> Iterator[Settling]:
    """The same of all that the answers to an ask left owed."""
    return settlings(state, lambda duty: ask in asks_of(state, duty))


def findings_of(state: LogState, duty: Duty) -> frozenset[str]:
    """The findings that a thing that is owed is about."""
    if duty.finding is not None:
        return frozenset({duty.finding})
    logged = state.get(duty.event)
    if logged is None:
        return frozenset()
    says = logged.event.says
    if duty.what is DutyKind.QUESTION and isinstance(says, AnswersReceived) and duty.number is not None:
        own = says.questions[duty.number - 1 : duty.number]
        return frozenset(each.finding for each in own if each.finding)
    given = _given_of(logged, duty)
    return frozenset().union(*(_of_given(state, each, logged.event.about.review) for each in given))


def _given_of(logged: Logged, duty: Duty) -> tuple[Given, ...]:
    """The answers within an event from which such a thing arose."""
    says = logged.event.says
    if isinstance(says, DecisionRecorded):
        return (says.decision,) if says.decision else ()
    if not isinstance(says, AnswersReceived) or duty.what in {DutyKind.LINE, DutyKind.QUESTION}:
        return ()
    if duty.what is DutyKind.PIECE:
        wanted = (duty.finding, duty.side)
        return tuple(each for each in says.answers if wanted in [(keep.finding, keep.side) for keep in each.keep])
    return tuple(each for each in says.answers if each.number == duty.number)


def _concerned(state: LogState, logged: Logged, before: Mapping[str, frozenset[str]]) -> frozenset[str]:
    event, says = logged.event, logged.event.says
    own = frozenset(event.findings())
    named = tuple(hash_ for hash_ in (event.about.event, *says.named()) if hash_)
    if isinstance(says, AnswersReceived):
        return own.union(*(_of_given(state, each, event.about.review) for each in says.answers))
    if isinstance(says, QuestionAnswered):
        singly = (findings_of(state, each) for each in says.only)
        return own.union(*singly) if says.only else own | _of_reply(state, logged, says.number)
    if isinstance(says, ReviewWithdrawn):
        sent = state.reviews.get(event.about.review or "")
        return own | before.get(sent.event if sent else "", frozenset())
    if isinstance(says, MatterClosed) and says.only:
        apart = {each.event for each in says.only}
        of_each = (findings_of(state, each) for each in says.only)
        return own.union(*of_each, *(before.get(hash_, frozenset()) for hash_ in named if hash_ not in apart))
    if isinstance(says, _BY_WAY):
        return own.union(*(before.get(hash_, frozenset()) for hash_ in named))
    return own


def _of_given(state: LogState, given: Given, review: str | None) -> frozenset[str]:
    ask = state.asks.get(_ask_of(state, given, review) or "")
    return frozenset((*(each.finding for each in given.findings), *given.left_out, *(ask.findings if ask else ())))


def _ask_of(state: LogState, given: Given, review: str | None) -> str | None:
    sent = state.reviews.get(review or "")
    return given.ask or (sent.ask_of(given.number) if sent and given.number else None)


def _of_reply(state: LogState, logged: Logged, number: int | None) -> frozenset[str]:
    """A reply is about the findings of its ask; one to an answer as a whole, about all that this one asked back."""
    about = state.get(logged.event.about.event or "")
    if about is None:
        return frozenset()
    if about.hash in state.asks:
        return frozenset(state.asks[about.hash].findings)
    says, review = about.event.says, about.event.about.review
    if isinstance(says, AnswersReceived):
        meant = (each.letter in ASKING if number is None else each.number == number for each in says.answers)
        asking = (each for each, is_meant in zip(says.answers, meant, strict=True) if is_meant)
        return frozenset().union(*(_of_given(state, each, review) for each in asking))
    return frozenset(about.event.findings())
