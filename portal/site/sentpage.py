"""Every sent review as a page of the site, drawn from its store, with what came back to it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from portal.model.part import Part
from portal.model.say import Say
from portal.model.shown import Shown
from portal.site.address import CONTENTS, FRONT, SEARCH
from portal.site.came import Came, came
from portal.site.desk import Desk
from portal.site.inputs import Page, Stored
from portal.site.redrawn import day_of, redrawn, speaker_of
from portal.site.sentlines import WHOLE, number_of, sent_address
from portal.site.static import CSP, SCRIPT, STYLE, static_path
from portal.site.typeset import typeset


@dataclass(frozen=True, slots=True)
class LostReview:
    """What can still be said of a review whose store isn't there as it was sent."""

    title: Say
    said: Say
    came: Came


def sent_pages(desk: Desk) -> Iterator[Page]:
    """The page of each sent review of each part."""
    for part in desk.site.catalogue.parts.values():
        for stored in desk.site.stored.get(part.id, ()):
            yield _drawn(desk, part, stored, stored.shown) if stored.shown else _lost(desk, part, stored)


def _drawn(desk: Desk, part: Part, stored: Stored, shown: Shown) -> Page:
    speaker = speaker_of(shown)
    path = sent_address(desk, part.id, stored.state)
    body = typeset(
        "sentpage",
        speaker,
        here=path,
        page=redrawn(shown, stored.sent, speaker, _addresses(desk, stored)),
        came=came(desk, desk.log(part.id), stored.state, speaker),
        live=_live(desk, part, stored),
        **_frame(desk, part, stored),
    )
    return Page(path, body)


def _lost(desk: Desk, part: Part, stored: Stored) -> Page:
    speaker = desk.speaker(part.customer)
    state, review = desk.log(part.id), stored.state
    path = sent_address(desk, part.id, review)
    page = LostReview(
        title=Say.of("log.lost_title", number=number_of(state, review), part=part.name),
        said=Say.of(
            "log.lost_sent",
            by=stored.sent.by,
            day=day_of(stored.sent.sent_on),
            to=", ".join(stored.sent.to),
            trial=review.trial or "",
        ),
        came=came(desk, state, review, speaker),
    )
    body = typeset("lostreview", speaker, here=path, page=page, live=_live(desk, part, stored),
                   part=part, **_frame(desk, part, stored))  # fmt: skip
    return Page(path, body)


def _frame(desk: Desk, part: Part, stored: Stored) -> dict[str, object]:
    """What every page has around it."""
    return {
        "csp": CSP,
        "front": FRONT,
        "contents": CONTENTS,
        "search": SEARCH,
        "style": static_path(STYLE),
        "script": static_path(SCRIPT),
        "shop": desk.site.catalogue.shop.shop.name,
        "part_page": desk.addresses.part(part.id),
        "as_of": desk.site.as_of,
        "version": desk.site.version,
        "wrong": tuple((file if desk.for_shop else None, why) for file, why in stored.wrong),
        "digest": stored.sent.digest,
    }


def _addresses(desk: Desk, stored: Stored) -> Callable[[str], str | None]:
    def address(sha256: str) -> str | None:
        file = stored.pictures.get(sha256)
        image = desk.image(file, WHOLE) if file else None
        return image.path if image else None

    return address


def _live(desk: Desk, part: Part, stored: Stored) -> str | None:
    """The page of the same trial by today's standard."""
    mould, _, trial = (stored.state.trial or "").partition("/")
    there = any((each.mould, each.trial) == (mould, trial) for each in desk.site.results if each.part.id == part.id)
    return desk.addresses.review(part.id, mould, trial) if there else None
