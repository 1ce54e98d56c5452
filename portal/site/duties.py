"""What an answer left owed and was settled by itself: which thing, by whom, on which day, why."""

from collections.abc import Iterator

from portal.model.concerns import Settling, settlings_of
from portal.model.duty import Duty, DutyKind
from portal.model.logstate import AskState, LogState, Owing
from portal.model.say import Say, Several
from portal.site.answerform import key_of
from portal.site.desk import Desk

_OWING = {
    DutyKind.CONFIRMATION: Owing.CONFIRMATION,
    DutyKind.CRITERION: Owing.CRITERION,
    DutyKind.CONCESSION: Owing.CONCESSION,
    DutyKind.PIECE: Owing.KEEPING,
    DutyKind.LINE: Owing.READING,
    DutyKind.QUESTION: Owing.REPLY,
    DutyKind.ASKED_BACK: Owing.REPLY,
    DutyKind.EVIDENCE: Owing.EVIDENCE,
}


def owing_key(what: Owing) -> str:
    """The key of the words for what is owed."""
    return f"log.owed.{what.name.lower().replace('_', '-')}"


def duty_said(duty: Duty) -> Say:
    """Which thing it is, in words."""
    what = Say.of(owing_key(_OWING[duty.what]))
    if duty.finding is not None and duty.side is not None:
        return Say.of("log.duty_of", what=what, of=duty.finding, more=Say.of(f"keep.{key_of(duty.side)}"))
    if duty.evidence is not None:
        return Say.of("log.duty", what=what, more=Say.of(f"evidence.{key_of(duty.evidence)}"))
    return what


def settled_lines(desk: Desk, state: LogState, ask: AskState) -> Iterator[tuple[Say, str]]:
    """What was settled of all that the answers to an ask left owed."""
    yield from (settled_line(desk, each) for each in settlings_of(state, ask.hash))


def settled_line(desk: Desk, settling: Settling) -> tuple[Say, str]:
    """Who settled which things on which day, and why."""
    event, what = settling.logged.event, Several(tuple(duty_said(each) for each in settling.duties))
    return Say.of("log.settled", by=event.by.name, day=desk.day(event.at), what=what), settling.says.why
