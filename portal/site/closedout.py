"""The closed-out record of a matter, to print: what was asked, shown, answered, decided and closed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.concerns import settlings_of
from portal.model.event import Logged
from portal.model.logstate import AskState, LogState
from portal.model.say import Say
from portal.model.says import MatterClosed
from portal.site.came import AskCame, answers_of, closings, replies_to, status_of
from portal.site.desk import Desk
from portal.site.duties import settled_lines
from portal.site.inputs import Page, Stored
from portal.site.paper import Paper
from portal.site.redrawn import Redrawn, RedrawnAsk, redrawn, speaker_of
from portal.site.sentframe import addresses_of, frame, part_name, speaker_for
from portal.site.sentlines import number_of, sent_address
from portal.site.steps import Step, step_of
from portal.site.typeset import typeset
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class RecordLine:
    """A closed matter with the page of its record."""

    name: Say
    address: str


@dataclass(frozen=True, slots=True)
class Entry:
    """An event that a record rests on."""

    day: date
    who: str
    kind: str
    hash: str


@dataclass(frozen=True, slots=True)
class ClosedOut:
    """All that a record says."""

    title: Say
    name: Say
    closed: tuple[tuple[Say, str], ...]
    """Who closed it on which day, and why; nothing where the answers settled it."""
    came: AskCame
    steps: tuple[tuple[str, tuple[Step, ...]], ...]
    """The thread of each of its findings."""
    entries: tuple[Entry, ...]
    review: str
    """The page of the review in which it was asked last."""


def record_lines(desk: Desk, part: str, trial: str | None = None) -> tuple[RecordLine, ...]:
    """The records of a part, or of one of its trials."""
    state = desk.log(part)
    return tuple(
        RecordLine(_name(state, ask), desk.addresses.closed(part, ask.hash))
        for ask in _closed(desk, state)
        if trial is None or ask.trial == trial
    )


def record_address(desk: Desk, part: str, ask: str) -> str | None:
    """The page of a matter's record; None while it isn't closed."""
    return desk.addresses.closed(part, ask) if ask in desk.site.closed.get(part, ()) else None


def record_pages(desk: Desk) -> Iterator[Page]:
    """A page for every matter that is closed and went out."""
    for part, many in desk.site.stored.items():
        state = desk.log(part)
        stored = {each.state.digest: each for each in many}
        drawn: dict[str, Redrawn | None] = {}
        for ask in _closed(desk, state):
            review = ask.sent[-1].review
            if review not in drawn:
                drawn[review] = _drawn(desk, stored[review])
            yield _page(desk, part, ask, stored[review], drawn[review])


def _drawn(desk: Desk, stored: Stored) -> Redrawn | None:
    if stored.shown is None:
        return None
    return redrawn(stored.shown, stored.sent, speaker_of(stored.shown), addresses_of(desk, stored))


def _closed(desk: Desk, state: LogState) -> Iterator[AskState]:
    wanted = desk.site.closed.get(state.part, frozenset())
    known = {each.state.digest for each in desk.site.stored.get(state.part, ())}
    return (each for each in state.asks.values() if each.hash in wanted and each.sent and each.sent[-1].review in known)


def _name(state: LogState, ask: AskState) -> Say:
    last = ask.sent[-1]
    return Say.of("log.question_of", number=last.number, review=number_of(state, state.reviews[last.review]))


def _page(desk: Desk, part: str, ask: AskState, stored: Stored, drawn: Redrawn | None) -> Page:
    speaker = speaker_of(drawn.shown) if drawn else speaker_for(desk, part)
    path = desk.addresses.closed(part, ask.hash)
    body = typeset(
        "record",
        speaker,
        here=path,
        page=_record(desk, part, ask, speaker),
        review=drawn,
        ask=_asked(drawn, ask),
        **frame(desk, part, stored),
    )
    return Page(path, Paper(body))


def _asked(drawn: Redrawn | None, ask: AskState) -> RedrawnAsk | None:
    """The ask as it was put."""
    return next((each for each in (drawn.asks if drawn else ()) if each.shown.ask == ask.hash), None)


def _record(desk: Desk, part: str, ask: AskState, speaker: Speaker) -> ClosedOut:
    state = desk.log(part)
    last = ask.sent[-1]
    answers = answers_of(desk, state, ask, speaker)
    return ClosedOut(
        title=Say.of("log.record_title", part=part_name(desk, part), what=_name(state, ask)),
        name=_name(state, ask),
        closed=tuple(closings(desk, state, ask)),
        came=AskCame(
            last.number,
            ask.question,
            status_of(ask),
            answers,
            replies_to(desk, ask),
            settled=tuple(settled_lines(desk, state, ask)),
        ),
        steps=tuple(
            (finding, tuple(step for each in desk.threads(part).get(finding, ())
                            for step in step_of(desk, part, finding, each, speaker)))
            for finding in ask.findings
        ),
        entries=tuple(_entry(desk, each) for each in _events(desk, state, ask)),
        review=f"{sent_address(desk, part, state.reviews[last.review])}#ask-{last.number}",
    )  # fmt: skip


def _events(desk: Desk, state: LogState, ask: AskState) -> tuple[Logged, ...]:
    """Every event about its findings, and those that asked, sent and answered it."""
    own = {ask.hash, *(each.hash for each in ask.answered)}
    own.update(each.event for each in ask.sent)
    own.update(each.event for each in ask.replies)
    own.update(each.event for each in ask.decided)
    of_findings = {each.hash for finding in ask.findings for each in desk.threads(state.part).get(finding, ())}
    own.update(each.logged.hash for each in settlings_of(state, ask.hash))
    wanted = own | of_findings
    return tuple(each for each in state.events if each.hash in wanted or _closes(each, ask))


def _closes(logged: Logged, ask: AskState) -> bool:
    return isinstance(logged.event.says, MatterClosed) and ask.hash in logged.event.says.closes


def _entry(desk: Desk, logged: Logged) -> Entry:
    return Entry(desk.day(logged.event.at), logged.event.by.name, logged.event.kind, logged.hash)
