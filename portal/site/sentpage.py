"""Every sent review as a page of the site, drawn from its store, with what came back to it."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.say import Say
from portal.model.shown import Shown
from portal.site.came import Came, came
from portal.site.desk import Desk
from portal.site.inputs import Page, Stored
from portal.site.paper import Paper
from portal.site.redrawn import day_of, redrawn, speaker_of
from portal.site.sentframe import addresses_of, frame, part_name, smaller_of, speaker_for
from portal.site.sentlines import number_of, sent_address
from portal.site.typeset import typeset


@dataclass(frozen=True, slots=True)
class LostReview:
    """What can still be said of a review whose store isn't there as it was sent."""

    title: Say
    said: Say
    came: Came


def sent_pages(desk: Desk) -> Iterator[Page]:
    """The page of each sent review of each part, of one too whose own file can't be read."""
    for part, many in desk.site.stored.items():
        for stored in many:
            yield _drawn(desk, part, stored, stored.shown) if stored.shown else _lost(desk, part, stored)


def _drawn(desk: Desk, part: str, stored: Stored, shown: Shown) -> Page:
    speaker = speaker_of(shown)
    path = sent_address(desk, part, stored.state)
    body = typeset(
        "sentpage",
        speaker,
        here=path,
        page=redrawn(
            shown,
            stored.sent,
            speaker,
            addresses_of(desk, stored),
            plays=addresses_of(desk, stored),
            smaller=smaller_of(desk, stored),
        ),
        came=came(desk, desk.log(part), stored.state, speaker),
        **frame(desk, part, stored),
    )
    return Page(path, Paper(body))


def _lost(desk: Desk, part: str, stored: Stored) -> Page:
    speaker = speaker_for(desk, part)
    state, review = desk.log(part), stored.state
    path = sent_address(desk, part, review)
    page = LostReview(
        title=Say.of("log.lost_title", number=number_of(state, review), part=part_name(desk, part)),
        said=Say.of(
            "log.lost_sent",
            by=stored.sent.by,
            day=day_of(stored.sent.sent_on),
            to=", ".join(stored.sent.to),
            trial=review.trial or "",
        ),
        came=came(desk, state, review, speaker),
    )
    body = typeset("lostreview", speaker, here=path, page=page, **frame(desk, part, stored))
    return Page(path, Paper(body))
