"""What pages drawn from a store have around them, and where their pictures are."""

from portal.site.address import CONTENTS, FRONT, SEARCH
from portal.site.desk import Desk, Image
from portal.site.inputs import Stored
from portal.site.redrawn import Addresses, Smaller
from portal.site.sentlines import HALF, PLAYED, WHOLE, is_cut
from portal.site.static import CSP, statics
from portal.site.words import Speaker


def frame(desk: Desk, part: str, stored: Stored) -> dict[str, object]:
    """What every page has around it."""
    return {
        **statics(),
        "csp": CSP,
        "front": FRONT,
        "contents": CONTENTS,
        "search": SEARCH,
        "shop": desk.site.catalogue.shop.shop.name,
        "part_name": part_name(desk, part),
        "part_page": desk.addresses.part(part),
        "as_of": desk.site.as_of,
        "version": desk.site.version,
        "wrong": tuple((file if desk.for_shop else None, harm.name.lower()) for file, harm in stored.wrong),
        "digest": stored.sent.digest,
        "live": _live(desk, part, stored),
    }


def part_name(desk: Desk, part: str) -> str:
    """What a part is called; its folder's name while its file can't be read."""
    known = desk.site.catalogue.parts.get(part)
    return known.name if known else part


def speaker_for(desk: Desk, part: str) -> Speaker:
    """Speaks in the unit of the part's customer."""
    known = desk.site.catalogue.parts.get(part)
    return desk.speaker(known.customer if known else None)


def addresses_of(desk: Desk, stored: Stored) -> Addresses:
    """Where the kept pictures of a review are in the site."""

    def address(sha256: str) -> str | None:
        file = stored.pictures.get(sha256)
        image = desk.image(file, PLAYED if desk.movie(file) else WHOLE) if file else None
        return image.path if image else None

    return address


def smaller_of(desk: Desk, stored: Stored) -> Smaller:
    """Half of what a card of a review shows, where that is large."""

    def smaller(sha256: str) -> Image | None:
        file = stored.pictures.get(sha256)
        return desk.image(file, HALF) if file and is_cut(desk, file) else None

    return smaller


def _live(desk: Desk, part: str, stored: Stored) -> str | None:
    """The page of the same trial by today's standard."""
    mould, _, trial = (stored.state.trial or "").partition("/")
    there = any((each.mould, each.trial) == (mould, trial) for each in desk.site.results if each.part.id == part)
    return desk.addresses.review(part, mould, trial) if there else None
