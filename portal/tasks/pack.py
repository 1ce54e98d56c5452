"""`portal pack`: a review is frozen, recorded as sent, and written as files that can go out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from portal.model.answer import Bound
from portal.model.event import About, Logged, check_code
from portal.model.logstate import AskState, AskStatus, ReviewState
from portal.model.says import AskSent, Recipient, ReviewSent
from portal.model.shop import Customer
from portal.problem import PortalError
from portal.tasks.acting import reviewer
from portal.tasks.opened import Opened, trial_name
from portal.tasks.packing.carriers import write_carriers
from portal.tasks.packing.fit import fitness
from portal.tasks.packing.freeze import Freezer, Frozen, frozen
from portal.tasks.packing.since import since
from portal.tasks.packing.store import store
from portal.tasks.telling import counted

Confirm = Callable[[str], bool]
"""Asked on a terminal whether the review may go to those people."""
_TO_SEND = frozenset(
    {AskStatus.NOT_SENT, AskStatus.WAITING, AskStatus.PARTLY, AskStatus.QUESTION_BACK, AskStatus.EVIDENCE_WANTED}
)


@dataclass(frozen=True)
class Packed:
    """What packing came to."""

    number: int
    digest: str
    folder: Path
    carriers: tuple[Path, ...]
    to: tuple[str, ...]
    logged: Logged
    is_new: bool
    """False where that very review was sent before, and only its carriers were written again."""
    warnings: tuple[str, ...]

    @property
    def code(self) -> str:
        """The review's check code."""
        return check_code(self.digest)


def pack(
    opened: Opened,
    trial: str,
    *,
    to: Sequence[str] = (),
    confirm: Confirm | None = None,
    processes: int = 1,
    small: bool = False,
) -> Packed:
    """Freeze a trial's review with its open asks, keep it, record it as sent, write its carriers.

    Raises PortalError where it isn't fit to be sent, with everything that stops it.
    """
    result = opened.trial(trial)
    name = trial_name(result)
    asks = tuple(each for each in opened.state.open_asks(name) if each.status in _TO_SEND)
    people = _recipients(opened.customer(), to)
    fit = fitness(opened, result, asks, to=[each.name for each in people], today=opened.today)
    if fit.stops:
        raise PortalError(
            f"the review of {name} is not fit to be sent:\n" + "\n".join(f"  - {each}" for each in fit.stops),
            hint="mend these, then pack again",
        )
    with frozen(opened.gathered, result, asks, as_of=opened.today, processes=processes) as freezer:
        earlier, ready = _as_sent_before(opened, freezer, name) or (None, _anew(opened, freezer, name))
        if earlier is None:
            _confirmed(people, name, asks, fit.warns, confirm)
        folder = store(opened.gathered.folder, opened.part.id, result.trial, ready)
        logged = opened.event(earlier.event) if earlier else _record(opened, name, ready, asks, people)
    return _packed(folder, ready.digest, logged, is_new=earlier is None, small=small, warnings=fit.warns)


def _recipients(customer: Customer, wanted: Sequence[str]) -> tuple[Recipient, ...]:
    known = [reviewer(customer, name) for name in wanted] or list(customer.reviewers)
    if not known:
        raise PortalError(
            f"{customer.name} has no reviewer to whom it could go", hint=f"name them in {customer.file}, `reviewers`"
        )
    unique = {each.name: each for each in known}
    return tuple(Recipient(name=each.name, **({"mail": each.mail} if each.mail else {})) for each in unique.values())


def _as_sent_before(opened: Opened, freezer: Freezer, trial: str) -> tuple[ReviewState, Frozen] | None:
    """The newest review of the trial, if it showed exactly what would be shown now."""
    reviews = _reviews(opened, trial)
    if not reviews:
        return None
    before = reviews[-2] if len(reviews) > 1 else None
    ready = freezer.freeze(since(opened, before, freezer))
    return (reviews[-1], ready) if ready.digest == reviews[-1].digest else None


def _anew(opened: Opened, freezer: Freezer, trial: str) -> Frozen:
    reviews = _reviews(opened, trial)
    return freezer.freeze(since(opened, reviews[-1] if reviews else None, freezer))


def _reviews(opened: Opened, trial: str) -> list[ReviewState]:
    return [each for each in opened.state.reviews.values() if each.trial == trial and each.withdrawn is None]


def _confirmed(
    people: Sequence[Recipient], trial: str, asks: Sequence[AskState], warns: Sequence[str], confirm: Confirm | None
) -> None:
    """Ask whether it goes out so, what warns told first: once it is recorded it went out."""
    if confirm is None:
        return
    told = "".join(f"warning: {each}\n" for each in warns)
    names = ", ".join(f"{each.name} <{each.mail}>" if each.mail else each.name for each in people)
    what = f"The review of {trial} with {counted(len(asks), 'question')}"
    if not confirm(f"{told}{what} is recorded as sent to {names}. Right?"):
        raise PortalError("nothing was packed", hint="name who gets it with `--to NAME`")


def _record(
    opened: Opened, trial: str, ready: Frozen, asks: Sequence[AskState], people: tuple[Recipient, ...]
) -> Logged:
    basis = {each.id: each.basis for each in ready.shown.findings}
    says = ReviewSent(
        number=opened.state.next_number(),
        digest=ready.digest,
        to=people,
        asks=tuple(
            AskSent(number=each.number, ask=each.ask, findings=_bound(each.findings, basis))
            for each in ready.shown.asks
        ),
        shown=_bound(basis, basis),
    )
    return opened.write(says, About(trial=trial, review=ready.digest))


def _bound(findings: "Sequence[str] | dict[str, str]", basis: dict[str, str]) -> tuple[Bound, ...]:
    return tuple(Bound(finding=each, basis=basis[each]) for each in findings if each in basis)


def _packed(
    folder: Path, digest: str, logged: Logged, *, is_new: bool, small: bool, warnings: tuple[str, ...]
) -> Packed:
    says = logged.event.says
    if not isinstance(says, ReviewSent):
        raise TypeError("not the event of a sent review")
    return Packed(
        number=says.number,
        digest=digest,
        folder=folder,
        carriers=write_carriers(folder, logged, small=small),
        to=tuple(each.name for each in says.to),
        logged=logged,
        is_new=is_new,
        warnings=warnings,
    )
