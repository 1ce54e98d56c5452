"""What a trial is released for, and by whom; or that all is answered and it isn't released."""

from collections.abc import Iterator

from portal.model.logstate import LogState, Released
from portal.model.result import TrialResult
from portal.model.say import Say
from portal.site.answerform import key_of
from portal.site.desk import Desk
from portal.site.redrawn import day_of


def releases(desk: Desk, result: TrialResult) -> tuple[Say, ...]:
    """Every release of a trial that counts; where there is none and nothing is open any more, that it lacks one."""
    return tuple(_releases(desk.log(result.part.id), f"{result.mould}/{result.trial}"))


def _releases(state: LogState, trial: str) -> Iterator[Say]:
    found = [each for each in state.released if each.trial == trial and each.counts]
    yield from (_said(each, state) for each in found)
    asked = [each for each in state.asks.values() if each.trial == trial and each.sent]
    if asked and not found and not state.open_asks(trial):
        yield Say.of("log.not_released")


def _said(released: Released, state: LogState) -> Say:
    logged = state.get(released.event)
    when = getattr(logged.event.says, "when", released.at) if logged else released.at
    return Say.of(
        "log.released" if released.how is None or released.evidence else "log.released_only",
        what=Say.of(f"log.released_for.{key_of(released.released_for)}"),
        by=released.granted_by.name,
        day=day_of(str(when)[:10]),
    )
