"""What came back to a sent review: each answer as it was given, by whom, on which day, and what could not be taken."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.answer import Given
from portal.model.concerns import ASKING, asks_of, settlings
from portal.model.event import Logged
from portal.model.logstate import AskState, AskStatus, LogState, Received, Replied, ReviewState
from portal.model.say import Say
from portal.model.says import (
    DecisionRecorded,
    EventCorrected,
    FindingWithdrawn,
    MatterClosed,
    QuestionAnswered,
    QuestionAsked,
    ReviewWithdrawn,
)
from portal.site.answerform import key_of
from portal.site.desk import Desk
from portal.site.duties import settled_line, settled_lines
from portal.site.given import AnswerLine, meaning_of, said_with
from portal.site.redrawn import day_of
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class ReplyLine:
    """Words of the shop to what was asked back or wanted."""

    words: str
    by: str
    day: date
    files: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AskCame:
    """An ask of the review with what came back to it."""

    number: int
    question: str
    status: Say | None
    answers: tuple[AnswerLine, ...]
    replies: tuple[ReplyLine, ...]
    closed: tuple[tuple[Say, str], ...] = ()
    """Who closed it on which day, and why; nothing where it is open, or the answers settled it."""
    settled: tuple[tuple[Say, str], ...] = ()
    """What was settled by itself of all that the answers left owed."""


@dataclass(frozen=True, slots=True)
class CameIn:
    """One answer as a whole, and what of it could not be taken as an answer."""

    said: Say
    counts: bool
    file: str | None
    """Where it is kept as it came; told to the shop only."""
    unclear: tuple[tuple[str, str | None], ...]
    """What somebody wrote, and why it is no answer; the log keeps that in English, so only English pages tell it."""
    questions: tuple[str, ...]
    replies: tuple[ReplyLine, ...]
    """To it as a whole, not to one of its asks."""
    settled: tuple[tuple[Say, str], ...]
    """What the shop settled of its unclear lines and own questions without words to them."""
    taken_back: tuple[tuple[Say, str], ...]
    """Who of theirs said that it isn't theirs, and why it counts no more."""


@dataclass(frozen=True, slots=True)
class Came:
    """All that came back to a review."""

    whole: Say
    """How far it is answered."""
    withdrawn: tuple[Say, str] | None
    asks: tuple[AskCame, ...]
    files: tuple[CameIn, ...]

    def of(self, number: int) -> AskCame | None:
        """What came back to the ask of that number."""
        return next((each for each in self.asks if each.number == number), None)


def came(desk: Desk, state: LogState, review: ReviewState, speaker: Speaker) -> Came:
    """What came back to a review, in the speaker's words."""
    asks = [(number, state.asks[hash_]) for number, hash_ in zip(review.numbers, review.asks, strict=True)
            if hash_ in state.asks]  # fmt: skip
    return Came(
        whole=how_far(state, review),
        withdrawn=_withdrawn(desk, review.withdrawn),
        asks=tuple(
            AskCame(
                number=number,
                question=ask.question,
                status=None if review.withdrawn else status_of(ask),
                answers=tuple(_answers(desk, state, review, number, ask, speaker)),
                replies=replies_to(desk, ask),
                closed=tuple(closings(desk, state, ask)),
                settled=tuple(settled_lines(desk, state, ask)),
            )
            for number, ask in asks
        ),
        files=tuple(_file(desk, state, each) for each in review.received),
    )


def answers_of(desk: Desk, state: LogState, ask: AskState, speaker: Speaker) -> tuple[AnswerLine, ...]:
    """Every answer to an ask, in whichever review it was put."""
    return tuple(
        _line(
            desk,
            each.given,
            ask,
            speaker,
            by=each.by.name,
            at=_when(state, each),
            counts=_counts(ask, each.event),
            way=way_of(state, state.get(each.event)),
        )
        for each in ask.replies
    )


def how_far(state: LogState, review: ReviewState) -> Say:
    """How many of its questions are answered; one that was taken back needs no answer."""
    asks = [state.asks[each] for each in review.asks if each in state.asks]
    asks = [each for each in asks if each.status is not AskStatus.WITHDRAWN]
    if not asks:
        return Say.of("log.nothing_asked")
    done = sum(1 for each in asks if _is_answered(each))
    return Say.of("log.how_far", done=done, n=len(asks))


def status_of(ask: AskState) -> Say | None:
    """How it stands with an ask; nothing where it is plainly answered."""
    return None if ask.status is AskStatus.ANSWERED else Say.of(f"log.status.{key_of(ask.status)}")


def closings(desk: Desk, state: LogState, ask: AskState) -> Iterator[tuple[Say, str]]:
    """What closed an ask: somebody, an ask that takes it up again, that its findings were withdrawn."""
    if ask.status is not AskStatus.CLOSED:
        return
    for each in state.events:
        says, by, day = each.event.says, each.event.by.name, desk.day(each.event.at)
        if each.hash in state.corrected:
            continue
        if isinstance(says, MatterClosed) and ask.hash in says.closes:
            key, settled = ("log.closed_settled", says.settled_by.name) if says.settled_by else ("log.closed_by", "")
            yield Say.of(key, by=by, day=day, **({"settled": settled} if settled else {})), says.why
        elif isinstance(says, QuestionAsked) and says.follows == ask.hash:
            yield Say.of("log.asked_anew", by=by, day=day), says.question
        elif isinstance(says, FindingWithdrawn) and each.event.about.finding in ask.findings:
            yield Say.of("log.finding_withdrawn", by=by, day=day, finding=each.event.about.finding or ""), says.why


def in_writing(state: LogState, event: str) -> bool:
    """Whether there is something in writing for a decision that the shop recorded."""
    return any(
        isinstance(each.event.says, DecisionRecorded)
        and event in (each.hash, each.event.says.confirms)
        and bool(each.event.says.evidence)
        and each.hash not in state.corrected
        for each in state.events
    )


def way_of(state: LogState, logged: Logged | None) -> Say | None:
    """That a decision was recorded on somebody's behalf, and whether it is confirmed in writing."""
    says = logged.event.says if logged else None
    if logged is None or not isinstance(says, DecisionRecorded):
        return None
    key = "log.recorded" if in_writing(state, logged.hash) else "log.recorded_only"
    return Say.of(key, by=logged.event.by.name, how=Say.of(f"log.way.{key_of(says.how)}"))


def _when(state: LogState, reply: Replied) -> str:
    """When it was said, where the shop entered it later."""
    logged = state.get(reply.event)
    return logged.event.says.when if logged and isinstance(logged.event.says, DecisionRecorded) else reply.at


def _is_answered(ask: AskState) -> bool:
    return ask.status is AskStatus.ANSWERED or (ask.status is AskStatus.CLOSED and bool(ask.replies or ask.decided))


def _answers(
    desk: Desk, state: LogState, review: ReviewState, number: int, ask: AskState, speaker: Speaker
) -> Iterator[AnswerLine]:
    """In answers that came in to this review, then as the shop recorded it."""
    for each in review.received:
        for given in each.answers:
            if given.ask == ask.hash or (given.ask is None and given.number == number):
                name = each.accepted_as or each.answered_by.name
                counts = each.counts and _counts(ask, each.event)
                yield _line(desk, given, ask, speaker, by=name, at=each.at, counts=counts)
    for logged in state.events:
        says = logged.event.says
        if isinstance(says, DecisionRecorded) and says.decision is not None and says.decision.ask == ask.hash:
            counts = logged.hash not in state.corrected and _counts(ask, logged.hash)
            way = way_of(state, logged)
            yield _line(desk, says.decision, ask, speaker, by=says.decided_by.name, at=says.when,
                        counts=counts, way=way)  # fmt: skip


def _counts(ask: AskState, event: str) -> bool:
    """Whether what an event decided about an ask still counts: it doesn't once another answer was said to hold."""
    return all(one.counts for one in ask.decided if one.event == event)


def _line(
    desk: Desk,
    given: Given,
    ask: AskState,
    speaker: Speaker,
    *,
    by: str,
    at: str,
    counts: bool,
    way: Say | None = None,
) -> AnswerLine:
    return AnswerLine(
        letter=given.letter.value if given.letter else None,
        meaning=meaning_of(given, ask.kind, speaker),
        more=said_with(given, of=ask.findings),
        by=by,
        day=desk.day(at) if at.endswith("Z") else day_of(at[:10]),
        way=way,
        counts=counts,
    )


def replies_to(desk: Desk, ask: AskState) -> tuple[ReplyLine, ...]:
    """What the shop said to an ask after it was put; words to an answer as a whole are for what it asked back."""
    asked_back = {each.event for each in ask.replies if each.given.letter in ASKING}
    return tuple(
        _reply(desk, each)
        for each in ask.answered
        if each.event.about.event in (ask.hash, *asked_back) or getattr(each.event.says, "number", None) is not None
    )


def _reply(desk: Desk, logged: Logged) -> ReplyLine:
    says = logged.event.says
    words, evidence = (says.words, says.evidence) if isinstance(says, QuestionAnswered) else ("", ())
    files = tuple(each.name or each.file.rpartition("/")[2] for each in evidence)
    return ReplyLine(words, logged.event.by.name, desk.day(logged.event.at), files)


def _file(desk: Desk, state: LogState, received: Received) -> CameIn:
    name, day = received.answered_by.name, desk.day(received.at)
    taken, speaks_english = received.accepted_as, desk.speaker().language == "en"
    said = Say.of("log.came_as", name=name, day=day, taken=taken) if taken else Say.of("log.came", name=name, day=day)
    return CameIn(
        said=said,
        counts=received.counts,
        file=received.raw.file if desk.for_shop else None,
        unclear=tuple((each.text, each.reason if speaks_english else None) for each in received.unclear),
        questions=tuple(each.question for each in received.questions),
        replies=tuple(_reply(desk, each) for each in state.events if _is_reply_to(each, state, received))
        if received.questions
        else (),
        settled=tuple(_settled(desk, state, received)),
        taken_back=tuple(_taken_back(desk, state, received.event)),
    )


def _settled(desk: Desk, state: LogState, received: Received) -> Iterator[tuple[Say, str]]:
    """Unclear lines that were read and own questions that were closed: what belongs to no ask."""
    found = settlings(state, lambda duty: duty.event == received.event and not asks_of(state, duty))
    yield from (settled_line(desk, each) for each in found)


def _taken_back(desk: Desk, state: LogState, event: str) -> Iterator[tuple[Say, str]]:
    correction = state.get(state.corrected.get(event, ""))
    if correction is not None and isinstance(correction.event.says, EventCorrected):
        says, day = correction.event.says, desk.day(correction.event.at)
        yield taken_back(says, by=correction.event.by.name, day=day), says.why


def taken_back(says: EventCorrected, *, by: str, day: date) -> Say:
    """Who took something back on which day; of an answer, on whose word."""
    if says.said_by is None or says.how is None:
        return Say.of("log.taken_back", by=by, day=day)
    how, when = Say.of(f"log.way.{key_of(says.how)}"), day_of((says.when or "")[:10])
    return Say.of("log.disowned", by=by, day=day, said_by=says.said_by.name, how=how, when=when)


def _is_reply_to(logged: Logged, state: LogState, received: Received) -> bool:
    says = logged.event.says
    to_it = isinstance(says, QuestionAnswered) and says.number is None and logged.event.about.event == received.event
    return to_it and logged.hash not in state.corrected


def _withdrawn(desk: Desk, logged: Logged | None) -> tuple[Say, str] | None:
    if logged is None or not isinstance(logged.event.says, ReviewWithdrawn):
        return None
    said = Say.of("log.withdrawn", by=logged.event.by.name, day=desk.day(logged.event.at))
    return said, logged.event.says.why
