"""Which of the things that are owed for an event somebody means, as typed: `9ede3a6b:criterion-3`."""

from portal.model.duty import Duty
from portal.model.event import Logged, check_code
from portal.model.logstate import Owed
from portal.problem import PortalError, did_you_mean
from portal.tasks.opened import Opened
from portal.tasks.telling import listed


def names_one(text: str) -> bool:
    """Whether it names one thing that is owed, not an event as a whole."""
    return ":" in text


def owed_for(opened: Opened, event: str) -> tuple[tuple[Duty, Owed], ...]:
    """What is owed for an event and can be settled by itself."""
    return tuple((each.duty, each) for each in opened.state.owed if each.duty is not None and each.event == event)


def named(opened: Opened, text: str) -> tuple[Logged, Duty]:
    """The one thing that is named, still owed, with its event."""
    hash_, _, name = text.partition(":")
    found = opened.event(hash_)
    owed = {duty.name: duty for duty, _ in owed_for(opened, found.hash)}
    if name not in owed:
        hint = did_you_mean(name, owed) or "`portal log` lists what is owed"
        code = check_code(found.hash)
        known = f"; owed are {listed(owed)}" if owed else ""
        raise PortalError(f"nothing is owed for {code} as `{name}`{known}", hint=hint)
    return found, owed[name]


def refuse_several(owed: tuple[tuple[Duty, Owed], ...], option: str) -> None:
    """An event alone names none of several things; that all are meant has to be said."""
    if len(owed) > 1:
        first, code = owed[0][0], check_code(owed[0][0].event)
        told = listed(f"{duty.name} ({each.what}{f': {each.text}' if each.text else ''})" for duty, each in owed)
        hint = f"name the one that is meant, as `{option} {first.place}`, or add `--all` for every one of them"
        raise PortalError(f"several things are owed for {code}: {told}", hint=hint)
