"""Which sent review an answer is to, with all that it takes to hold the answer against it."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from portal.inbox.came import Came, NotTaken
from portal.log import Log, fold, parts_with_log, read
from portal.log.repliedto import replied_to
from portal.log.reply import asked_in
from portal.model.event import check_code
from portal.model.logstate import LogState, ReviewState
from portal.model.part import Part
from portal.model.reply import Asked
from portal.model.says import Party
from portal.model.shop import Customer
from portal.problem import PortalError, Problem, did_you_mean
from portal.tasks import manifest
from portal.tasks.acting import party
from portal.tasks.basis import bases
from portal.tasks.gather import Gathered, gather
from portal.tasks.kept import review_folder
from portal.tasks.telling import listed

_SUBJECT_CODE = re.compile(r"\[([0-9a-f]{8})\]", re.I)
_CODE = re.compile(r"(?<![0-9a-z])(?:[0-9a-f]{8}|[0-9a-f]{64})(?![0-9a-z])", re.I)


@dataclass
class Desk:
    """A catalogue at which answers come in."""

    gathered: Gathered
    by: Party
    only: str | None = None
    """The only part that is looked at."""
    accept_as: str | None = None
    """The reviewer that a claim is taken for which is plainly nobody's."""
    opened: dict[str, tuple[Log, LogState]] = field(default_factory=dict)

    @cached_property
    def bases(self) -> Mapping[tuple[str, str], str]:
        """What each finding rests on today, by part and id."""
        return bases(self.gathered)

    @property
    def root(self) -> Path:
        """The catalogue's folder."""
        return self.gathered.folder

    def state(self, part: str) -> tuple[Log, LogState]:
        """A part's log, read once."""
        if part not in self.opened:
            log = read(self.root, part)
            self.opened[part] = (log, fold(part, log.events))
        return self.opened[part]

    def states(self) -> Iterator[tuple[str, LogState]]:
        """The logs in which a review may be found."""
        for part in (self.only,) if self.only else parts_with_log(self.root):
            yield part, self.state(part)[1]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with the files of the logs that were read."""
        return tuple(problem for log, _ in self.opened.values() for problem in log.problems)


@dataclass(frozen=True)
class Found:
    """The review that an answer is to."""

    part: Part
    customer: Customer
    review: ReviewState
    folder: Path
    state: LogState
    asked: Mapping[int, Asked]


class Aside(NotTaken):
    """An answer that can't be taken, to a review of a part that is known."""

    def __init__(self, why: str, part: str) -> None:
        super().__init__(why)
        self.part = part


def open_desk(folder: Path, *, by: str | None, part: str | None = None, accept_as: str | None = None) -> Desk:
    """Gather a catalogue for somebody of the shop who takes answers in; with `accept_as`, for an engineer."""
    gathered = gather(folder, known=manifest.load(folder / "site" / "shop"))
    to = "accept an answer as a reviewer's" if accept_as else "take in answers"
    who = party(gathered.catalogue.shop, by, to=to, engineer=accept_as is not None)
    if part is not None and part not in gathered.catalogue.parts:
        raise PortalError(f"there is no part `{part}`", hint=did_you_mean(part, gathered.catalogue.parts), code=2)
    return Desk(gathered, who, part, accept_as)


def found_for(desk: Desk, came: Came) -> Found:
    """The review that an answer is to; NotTaken where there is none, or its answers don't count any more."""
    part, review, state = _review(desk, came)
    try:
        if review.withdrawn is not None:
            gone = review.withdrawn.event
            told = f"review {review.number} ({review.code}) was withdrawn by {gone.by.name}"
            raise NotTaken(f"{told}: ask for an answer to the one that took its place")
        catalogue = desk.gathered.catalogue
        if part not in catalogue.parts:
            raise NotTaken(f"part `{part}` can't be read: `portal check` says why")
        customer = catalogue.customers.get(catalogue.parts[part].customer)
        if customer is None:
            raise NotTaken(f"the customer of {part} can't be read: `portal check` says why")
        folder = review_folder(desk.root, part, review)
        return Found(catalogue.parts[part], customer, review, folder, state, asked_in(state, review))
    except NotTaken as why:
        raise Aside(str(why), part) from None


def _codes_in(text: str) -> frozenset[str]:
    """What may be a review's check code, or its digest."""
    return frozenset(code.lower() for code in _CODE.findall(text))


def _review(desk: Desk, came: Came) -> tuple[str, ReviewState, LogState]:
    """The one review that an answer names: by its digest, or by the check codes in subject and text.

    Of several in a mail, the one that it plainly replies to.
    """
    if came.file is not None:
        wanted, what = frozenset({came.file.answers_to}), f"the review {check_code(came.file.answers_to)}"
    else:
        wanted = _codes_in(f"{came.subject}\n{came.text}")
        what = "a review by its check code"
    found = [
        (part, review, state)
        for part, state in desk.states()
        for digest, review in state.reviews.items()
        if digest in wanted or (came.file is None and review.code in wanted)
    ]
    if len(found) > 1 and came.file is None:
        first = replied_to(_codes_in(came.subject), came.text, codes_in=_codes_in)
        found = [each for each in found if each[1].code == first] or found
    if len(found) == 1:
        return found[0]
    if found:
        named = listed(f"{review.code} of {part}" for part, review, _ in found)
        raise NotTaken(f"it names several reviews: {named}")
    within = f" among those of {desk.only}" if desk.only else ""
    if came.file is not None:
        raise NotTaken(f"it answers {what}, and no such review was sent{within}")
    why = "there is no check code in its subject or text"
    if code := _SUBJECT_CODE.search(came.subject):
        why = f"`{code.group(1)}` in its subject is the check code of none"
    raise NotTaken(f"it names no review that was sent{within}: {why}")
