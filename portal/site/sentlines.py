"""A part's sent reviews in one line each, and the page of each, drawn from its store."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.event import check_code
from portal.model.logstate import LogState, ReviewState
from portal.model.say import Say
from portal.pictures.derive import Play, Want, Whole
from portal.site.came import how_far
from portal.site.crop import SHARP_PIXELS
from portal.site.desk import Desk
from portal.site.inputs import Stored
from portal.site.redrawn import day_of

WHOLE = Whole()
"""A kept picture is shown as it was sent: its derived file is itself."""
HALF = Whole(2)
PLAYED = Play()


@dataclass(frozen=True, slots=True)
class SentLine:
    """A sent review: its name, when it went out, how far it is answered, its page."""

    address: str
    name: Say
    day: date | str
    how_far: Say
    is_lost: bool
    """Whether what it showed isn't kept as it was sent."""


def sent_lines(desk: Desk, part: str, *, trial: str | None = None) -> tuple[SentLine, ...]:
    """The reviews of a part, or of one of its trials by `<mould>/<trial>`, the newest first."""
    state = desk.log(part)
    found = (each for each in desk.site.stored.get(part, ()) if trial is None or each.state.trial == trial)
    return tuple(_line(desk, state, each) for each in reversed(tuple(found)))


def sent_address(desk: Desk, part: str, review: ReviewState) -> str:
    """The page of a sent review."""
    return desk.addresses.sent(part, review.trial or "", review.code)


def number_of(state: LogState, review: ReviewState) -> str:
    """A review's number, with its check code where another bears the same."""
    same = [each for each in state.reviews.values() if each.number == review.number]
    return str(review.number) if len(same) == 1 else f"{review.number} ({check_code(review.digest)})"


def sent_wants(desk: Desk) -> Iterator[tuple[str, Want]]:
    """The kept pictures of every sent review."""
    for many in desk.site.stored.values():
        for each in many:
            for file in each.pictures.values():
                yield file, PLAYED if desk.movie(file) else WHOLE
                if is_cut(desk, file):
                    yield file, HALF


def is_cut(desk: Desk, file: str) -> bool:
    """Whether a kept picture is as large as what a card shows, so that a telephone is given half of it."""
    facts = desk.facts(file)
    return facts is not None and facts.movie is None and SHARP_PIXELS <= facts.upright.width < 2 * SHARP_PIXELS


def _line(desk: Desk, state: LogState, stored: Stored) -> SentLine:
    review = stored.state
    withdrawn = Say.of("log.is_withdrawn", day=desk.day(review.withdrawn.event.at)) if review.withdrawn else None
    return SentLine(
        address=sent_address(desk, state.part, review),
        name=Say.of("log.review", number=number_of(state, review)),
        day=day_of(stored.sent.sent_on),
        how_far=withdrawn or how_far(state, review),
        is_lost=bool(stored.wrong),
    )
