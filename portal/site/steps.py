"""One event of a finding's thread as a page tells it: the day, who, what, in whose words."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from portal.model import says as said
from portal.model.answer import AskKind, Given
from portal.model.concerns import findings_of, given_about
from portal.model.event import Event, Logged
from portal.model.logstate import LogState
from portal.model.say import Say
from portal.site.answerform import key_of
from portal.site.came import taken_back, way_of
from portal.site.card import anchor_of
from portal.site.desk import Desk
from portal.site.duties import duty_said
from portal.site.given import meaning_of, said_with
from portal.site.redrawn import day_of
from portal.site.sentlines import number_of, sent_address
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class Step:
    """One entry of a thread."""

    day: date | str
    who: str
    what: Say
    letter: str | None = None
    text: tuple[Say | str, ...] = ()
    link: tuple[Say, str] | None = None
    note: Say | None = None
    is_shops: bool = False
    """Whether only the shop sees it."""
    counts: bool = True


@dataclass(frozen=True)
class _Teller:
    desk: Desk
    state: LogState
    finding: str
    speaker: Speaker
    logged: Logged

    @property
    def event(self) -> Event:
        return self.logged.event

    def step(self, key: str, *text: Say | str | None, **values: str) -> Step:
        return Step(
            day=self.desk.day(self.event.at),
            who=self.event.by.name,
            what=Say.of(f"log.step.{key}", **values),
            text=tuple(each for each in text if each),
            counts=self.logged.hash not in self.state.corrected,
        )


def step_of(desk: Desk, part: str, finding: str, logged: Logged, speaker: Speaker) -> Iterator[Step]:
    """What an event says of a finding; an answer to several asks about it is several entries."""
    yield from _told(_Teller(desk, desk.log(part), finding, speaker, logged))


def _told(tell: _Teller) -> Iterator[Step]:
    says = tell.event.says
    match says:
        case said.QuestionAsked():
            went_out = tell.logged.hash in tell.state.asks and bool(tell.state.asks[tell.logged.hash].sent)
            yield replace(tell.step("asked", says.question), is_shops=not went_out)
        case said.ReviewSent():
            yield _sent(tell, says)
        case said.AnswersReceived():
            given = given_about(tell.state, says, tell.event.about.review, tell.finding)
            yield from (_answer(tell, each, says.decider.name) for each in given)
        case said.DecisionRecorded():
            yield _recorded(tell, says)
        case said.CommentMade():
            yield replace(tell.step("noted", says.comment), is_shops=says.audience is said.Audience.SHOP)
        case said.DispositionGiven():
            decided = Say.of(f"log.disposition.{key_of(says.disposition)}")
            yield replace(tell.step("decided", says.why), what=Say.of("log.step.decided", what=decided))
        case _:
            yield _of_records(tell)


def _of_records(tell: _Teller) -> Step:
    says = tell.event.says
    match says:
        case said.QuestionAnswered():
            of = (duty_said(each) for each in says.only)
            return tell.step("replied", *of, says.words, *_files(says.evidence))
        case said.FindingChanged():
            return tell.step("changed", says.what, says.why)
        case said.FindingWithdrawn():
            return tell.step("withdrawn", says.why)
        case said.ReviewWithdrawn():
            review = tell.state.reviews.get(tell.event.about.review or "")
            number = number_of(tell.state, review) if review else "?"
            return tell.step("review-withdrawn", says.why, number=number)
        case said.MatterClosed():
            settled = Say.of("log.settled_by", by=says.settled_by.name) if says.settled_by else None
            done = (duty_said(each) for each in says.only if tell.finding in findings_of(tell.state, each))
            return tell.step("settled" if says.only else "closed", *done, says.why, settled)
        case said.LimitSampleApproved():
            side = Say.of(f"keep.{key_of(says.side)}")
            return replace(tell.step("kept"), what=Say.of("log.step.kept", sample=says.sample, side=side))
        case said.EventCorrected():
            told = taken_back(says, by=tell.event.by.name, day=tell.desk.day(tell.event.at)) if says.said_by else None
            return tell.step("corrected", says.why, told, *_files(says.evidence))
        case _:
            return tell.step("unknown", tell.event.kind)


def _sent(tell: _Teller, says: said.ReviewSent) -> Step:
    review = tell.state.reviews[says.digest]
    number = number_of(tell.state, review)
    address = f"{sent_address(tell.desk, tell.state.part, review)}#{anchor_of(tell.finding)}"
    numbers = [each.number for each in says.asks if any(one.finding == tell.finding for one in each.findings)]
    to = Say.of("log.to", names=", ".join(each.name for each in says.to))
    questions = [Say.of("log.question", number=each) for each in numbers]
    return replace(
        tell.step("sent", *questions, to),
        link=(Say.of("log.review", number=number), address),
        counts=review.withdrawn is None,
    )


def _answer(tell: _Teller, given: Given, by: str) -> Step:
    ask = tell.state.asks.get(_ask_of(tell, given) or "")
    kind = ask.kind if ask else AskKind.QUESTION
    step = tell.step("answered", *said_with(given, of=ask.findings if ask else ()))
    review = tell.state.reviews.get(tell.event.about.review or "")
    return replace(
        step,
        counts=step.counts and (review is None or review.withdrawn is None),
        who=by,
        what=meaning_of(given, kind, tell.speaker),
        letter=given.letter.value if given.letter else None,
    )


def _ask_of(tell: _Teller, given: Given) -> str | None:
    review = tell.state.reviews.get(tell.event.about.review or "")
    return given.ask or (review.ask_of(given.number) if review and given.number else None)


def _recorded(tell: _Teller, says: said.DecisionRecorded) -> Step:
    if says.decision is None:
        return tell.step("confirmed", *_files(says.evidence))
    ask = tell.state.asks.get(says.decision.ask or "")
    step = _answer(tell, says.decision, says.decided_by.name)
    what = meaning_of(says.decision, ask.kind if ask else says.asks, tell.speaker)
    return replace(step, what=what, day=day_of(says.when[:10]), note=way_of(tell.state, tell.logged))


def _files(files: Iterable[said.KeptFile]) -> tuple[Say, ...]:
    return tuple(Say.of("log.evidence_file", name=each.name or each.file.rpartition("/")[2]) for each in files)
