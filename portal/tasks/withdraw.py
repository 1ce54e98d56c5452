"""`portal withdraw`: a review or a finding is taken back, or an event corrected, with why; nothing disappears."""

from portal.model import says as said
from portal.model.event import About, Logged, check_code
from portal.problem import PortalError
from portal.tasks.note import Subject
from portal.tasks.opened import Opened, trial_name

_STAYS = {
    said.AnswersReceived: ("an answer stays as it came", "where two disagree: `portal close --holds`"),
    said.ReviewSent: ("a sent review is withdrawn by its check code", "`--review CODE` in place of `--event`"),
    said.Unknown: ("this version doesn't know what that event says", "take a newer version"),
}


def withdraw(opened: Opened, subject: Subject, *, why: str, instead: str | None = None) -> Logged:
    """Take back one thing; with `instead`, another event says it rightly."""
    given = [each for each in (subject.review, subject.finding, subject.event) if each]
    if len(given) != 1:
        hint = "one of `--review CODE`, `--finding ID`, `--event HASH`"
        raise PortalError("it isn't said what is withdrawn", hint=hint, code=2)
    if not why.strip():
        raise PortalError("it isn't said why", hint='add `--why "…"`', code=2)
    if instead and not subject.event:
        raise PortalError("`--instead` goes with `--event`", code=2)
    if subject.review:
        return _review(opened, subject.review, why)
    if subject.finding:
        return _finding(opened, subject.finding, why)
    return _event(opened, given[0], why, instead)


def _review(opened: Opened, code: str, why: str) -> Logged:
    found = opened.review(code)
    if found.withdrawn is not None:
        raise PortalError(f"review {found.code} was withdrawn by {found.withdrawn.event.by.name}")
    about = About(review=found.digest, **({"trial": found.trial} if found.trial else {}))
    return opened.write(said.ReviewWithdrawn(why=why), about)


def _finding(opened: Opened, finding: str, why: str) -> Logged:
    result, _ = opened.finding(finding)
    return opened.write(said.FindingWithdrawn(why=why), About(trial=trial_name(result), finding=finding))


def _event(opened: Opened, hash_: str, why: str, instead: str | None) -> Logged:
    found = opened.event(hash_)
    for kind, (message, hint) in _STAYS.items():
        if isinstance(found.event.says, kind):
            raise PortalError(message, hint=hint)
    earlier = opened.state.corrected.get(found.hash)
    if earlier is not None:
        raise PortalError(f"{check_code(found.hash)} was taken back by {check_code(earlier)}")
    right = {"instead": opened.event(instead).hash} if instead else {}
    if right.get("instead") == found.hash:
        raise PortalError("an event can't stand in its own place", code=2)
    trial = {"trial": found.event.about.trial} if found.event.about.trial else {}
    return opened.write(said.EventCorrected(why=why, **right), About(event=found.hash, **trial))
