"""`portal note`: a comment that decides nothing, or the shop's words to what somebody asked."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from portal.model.duty import DutyKind
from portal.model.event import About, Logged
from portal.model.says import AnswersReceived, Audience, CommentMade, DecisionRecorded, QuestionAnswered, QuestionAsked
from portal.problem import PortalError
from portal.tasks import duties, evidence
from portal.tasks.opened import Opened, trial_name
from portal.tasks.pointed import picture_of, spot_of

_TAKES_WORDS = frozenset({DutyKind.ASKED_BACK, DutyKind.EVIDENCE, DutyKind.QUESTION, DutyKind.LINE})


@dataclass(frozen=True)
class Subject:
    """What a comment is about, as somebody typed it: one of these."""

    finding: str | None = None
    trial: str | None = None
    review: str | None = None
    event: str | None = None
    picture: str | None = None
    spot: str | None = None
    """On the picture, which is named too."""


def note(opened: Opened, comment: str, subject: Subject, *, shared: bool = False) -> Logged:
    """Record a comment, for the shop only unless it is shared."""
    audience = Audience.SHARED if shared else Audience.SHOP
    return opened.write(CommentMade(audience=audience, comment=_words(comment)), about(opened, subject))


@dataclass(frozen=True)
class To:
    """What words answer, as somebody typed it."""

    place: str
    """An event, or one thing that is owed for it."""
    number: int | None = None
    """Of the ask in an answer that came in."""
    whole: bool = False
    """All that waits for words there."""


def reply(opened: Opened, words: str, *, to: To, files: tuple[Path, ...] = ()) -> Logged:
    """Record the shop's words to an ask, or to a question back or a wish for evidence that came with an answer."""
    found, given = _meant(opened, to)
    looked = evidence.look_at(files)
    kept = evidence.keep(opened.gathered.folder, opened.part.id, looked)
    words = _words(words)
    answered = QuestionAnswered(words=words, **given, **({"evidence": kept} if kept else {}))
    return opened.write(answered, About(trial=found.event.about.trial, event=found.hash))


def _meant(opened: Opened, to: To) -> tuple[Logged, dict[str, Any]]:
    """The event that words are to, and what of it."""
    if duties.names_one(to.place):
        if to.number is not None or to.whole:
            raise PortalError("its name says already what of it", hint="leave out `--number` and `--all`", code=2)
        return _to_duty(opened, to.place)
    found, number = opened.event(to.place), to.number
    says = found.event.says
    if not isinstance(says, AnswersReceived | DecisionRecorded | QuestionAsked):
        raise PortalError(f"`{to.place}` asks nothing that could be replied to", hint="`portal log` tells what is owed")
    if number is not None and not (isinstance(says, AnswersReceived) and _has(says, number)):
        raise PortalError(f"`{to.place}` has no answer to ask {number}", hint="leave out `--number`")
    if number is None and not to.whole:
        waiting = (each for each in duties.owed_for(opened, found.hash) if each[0].what in _TAKES_WORDS)
        duties.refuse_several(tuple(waiting), "--answers")
    return found, {"number": number} if number is not None else {}


def _to_duty(opened: Opened, place: str) -> tuple[Logged, dict[str, Any]]:
    found, duty = duties.named(opened, place)
    if duty.what not in _TAKES_WORDS:
        raise PortalError(f"{duty.name} isn't settled by words", hint=f"`portal close --closes {duty.place}`")
    number = {} if duty.number is None or not duty.what.is_replied_to() else {"number": duty.number}
    return found, number if duty.what is DutyKind.ASKED_BACK else {**number, "only": (duty,)}


def about(opened: Opened, subject: Subject) -> About:
    """The one thing that is named."""
    given = [each for each in (subject.finding, subject.trial, subject.review, subject.event, subject.picture) if each]
    if subject.spot and not subject.picture:
        raise PortalError("a spot lies on a picture", hint="add `--picture FILE`", code=2)
    if len(given) != 1:
        hint = "one of `--finding ID`, `--picture FILE`, `--trial MOULD/T`, `--review CODE`, `--event HASH`"
        raise PortalError("it isn't said what this is about", hint=hint, code=2)
    if subject.finding:
        return About(trial=trial_name(opened.finding(subject.finding)[0]), finding=subject.finding)
    if subject.trial:
        return About(trial=trial_name(opened.trial(subject.trial)))
    if subject.picture:
        trial, picture = picture_of(opened, subject.picture)
        spot = {"spot": spot_of(opened, picture, subject.spot)} if subject.spot else {}
        return About(trial=trial, picture=picture.file, **spot)
    if subject.review:
        found = opened.review(subject.review)
        return About(review=found.digest, **({"trial": found.trial} if found.trial else {}))
    logged = opened.event(given[0])
    return About(event=logged.hash, **({"trial": logged.event.about.trial} if logged.event.about.trial else {}))


def _has(says: AnswersReceived, number: int) -> bool:
    return any(each.number == number for each in says.answers)


def _words(text: str) -> str:
    if not text.strip():
        raise PortalError("nothing is said", code=2)
    return text.strip()
