"""`portal withdraw`: a review or a finding is taken back, or an event corrected, with why; nothing disappears."""

from portal.model import says as said
from portal.model.event import About, Logged, check_code
from portal.problem import PortalError
from portal.tasks.disown import answer_of, disown, refuse_what_rests_on
from portal.tasks.note import Subject
from portal.tasks.opened import Opened, trial_name
from portal.tasks.record import Came

_STAYS = {
    said.ReviewSent: ("a sent review is withdrawn by its check code", "`--review CODE` in place of `--event`"),
    said.Unknown: ("this version doesn't know what that event says", "take a newer version"),
}


_NOBODY = Came()


def withdraw(opened: Opened, subject: Subject, *, why: str, instead: str | None = None, came: Came = _NOBODY) -> Logged:
    """Take back one thing; with `instead`, another event says it rightly.

    Of an answer that isn't theirs, `came` is who of the customer said so.
    """
    given = [each for each in (subject.review, subject.finding, subject.event) if each]
    if len(given) != 1:
        hint = "one of `--review CODE`, `--finding ID`, `--event HASH`"
        raise PortalError("it isn't said what is withdrawn", hint=hint, code=2)
    if not why.strip():
        raise PortalError("it isn't said why", hint='add `--why "…"`', code=2)
    if instead and not subject.event:
        raise PortalError("`--instead` goes with `--event`", code=2)
    if came != _NOBODY and not subject.event:
        raise PortalError("`--said-by` goes with `--event`", code=2)
    if subject.review:
        return _review(opened, subject.review, why)
    if subject.finding:
        return _finding(opened, subject.finding, why)
    found = opened.event(given[0])
    answer = answer_of(opened, found)
    if came != _NOBODY and answer is None:
        message = "who of the customer said so goes with an answer that came in"
        raise PortalError(message, hint="leave out `--said-by`, `--how`, `--when`, `--evidence`", code=2)
    if answer is None:
        return _event(opened, found, why, instead)
    if instead:
        hint = "leave out `--instead`; what they answer instead is taken in with `portal receive`"
        raise PortalError("nothing of the shop's can stand in the place of an answer", hint=hint, code=2)
    _refuse_twice(opened, found)
    return disown(opened, found, answer, why=why, came=came)


def _review(opened: Opened, code: str, why: str) -> Logged:
    found = opened.review(code)
    if found.withdrawn is not None:
        raise PortalError(f"review {found.code} was withdrawn by {found.withdrawn.event.by.name}")
    refuse_what_rests_on(opened, (opened.event(each.event) for each in found.received if each.counts))
    about = About(review=found.digest, **({"trial": found.trial} if found.trial else {}))
    return opened.write(said.ReviewWithdrawn(why=why), about)


def _finding(opened: Opened, finding: str, why: str) -> Logged:
    result, _ = opened.finding(finding)
    return opened.write(said.FindingWithdrawn(why=why), About(trial=trial_name(result), finding=finding))


def _event(opened: Opened, found: Logged, why: str, instead: str | None) -> Logged:
    for kind, (message, hint) in _STAYS.items():
        if isinstance(found.event.says, kind):
            raise PortalError(message, hint=hint)
    _refuse_twice(opened, found)
    if isinstance(found.event.says, said.DecisionRecorded):
        refuse_what_rests_on(opened, (found,))
    right = {"instead": opened.event(instead).hash} if instead else {}
    if right.get("instead") == found.hash:
        raise PortalError("an event can't stand in its own place", code=2)
    trial = {"trial": found.event.about.trial} if found.event.about.trial else {}
    return opened.write(said.EventCorrected(why=why, **right), About(event=found.hash, **trial))


def _refuse_twice(opened: Opened, found: Logged) -> None:
    earlier = opened.state.corrected.get(found.hash)
    if earlier is not None:
        raise PortalError(f"{check_code(found.hash)} was taken back by {check_code(earlier)}")
