"""`portal note`: a comment that decides nothing, or the shop's words to what somebody asked."""

from dataclasses import dataclass
from pathlib import Path

from portal.model.event import About, Logged
from portal.model.says import AnswersReceived, Audience, CommentMade, DecisionRecorded, QuestionAnswered, QuestionAsked
from portal.problem import PortalError
from portal.tasks import evidence
from portal.tasks.opened import Opened, trial_name
from portal.tasks.pointed import picture_of, spot_of


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


def reply(opened: Opened, words: str, *, to: str, number: int | None = None, files: tuple[Path, ...] = ()) -> Logged:
    """Record the shop's words to an ask, or to a question back or a wish for evidence that came with an answer."""
    found = opened.event(to)
    says = found.event.says
    if not isinstance(says, AnswersReceived | DecisionRecorded | QuestionAsked):
        raise PortalError(f"`{to}` asks nothing that could be replied to", hint="`portal log` tells what is owed")
    if number is not None and not (isinstance(says, AnswersReceived) and _has(says, number)):
        raise PortalError(f"`{to}` has no answer to ask {number}", hint="leave out `--number` to reply to all of it")
    looked = evidence.look_at(files)
    kept = evidence.keep(opened.gathered.folder, opened.part.id, looked)
    given = {"number": number} if number is not None else {}
    words = _words(words)
    answered = QuestionAnswered(words=words, **given, **({"evidence": kept} if kept else {}))
    return opened.write(answered, About(trial=found.event.about.trial, event=found.hash))


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
