"""The cards of a review page that is drawn again and again: one of which nothing changed stays as it was drawn."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from portal.model.picture import PictureUnreadable
from portal.model.result import TrialResult
from portal.site.inputs import Page
from portal.site.reuse import Markings, Reuse
from portal.site.thread import Thread
from portal.tasks.pagekeys import NearKeys, PageKeys
from portal.tasks.pages import DerivedPictures
from portal.tasks.still import ASSET


@dataclass(frozen=True, slots=True)
class _Card:
    """As it was drawn, with the names of the derived files that it shows."""

    html: bytes
    assets: frozenset[str]

    def markup(self) -> bytes:
        """It."""
        return self.html


@dataclass
class KeptCards(Reuse):
    """Those of the page as it was drawn last."""

    _cards: dict[str, _Card] = field(default_factory=dict)
    _keys: dict[tuple[str, str], str] = field(default_factory=dict)
    _near: NearKeys | None = None
    _path: str = ""

    def over(self, keys: PageKeys, result: TrialResult, *, unreadable: Mapping[str, PictureUnreadable]) -> "KeptCards":
        """For the page that is drawn next; `unreadable` are pictures that came out otherwise than their files say."""
        self._near = NearKeys(keys, DerivedPictures({}, unreadable), frozenset({result.part.id}))
        self._path = keys.addresses.review(result.part.id, result.mould, result.trial)
        self._keys = {}
        return self

    def card(self, picture: str, finding: str, thread: Thread | None) -> Markings | None:
        """What gives the card of a finding with that thread, as it was drawn, if it holds."""
        assert self._near is not None
        key = self._keys[picture, finding] = self._near.card(picture, finding, thread, self._path)
        known = self._cards.get(key)
        return known.markup if known else None

    def note(self, page: Page) -> frozenset[str]:
        """Keep the cards of a page that was drawn; the names of the derived files that they show."""
        self._cards = dict(self._of(page))
        return frozenset().union(*(each.assets for each in self._cards.values()))

    def _of(self, page: Page) -> Iterator[tuple[str, _Card]]:
        twice = Counter((each.picture, each.finding) for each in page.pieces)
        for each in page.pieces:
            if twice[each.picture, each.finding] == 1:
                key = self._keys[each.picture, each.finding]
                yield key, self._cards.get(key) or _card(page.body[each.start : each.start + each.length])


def _card(html: bytes) -> _Card:
    return _Card(html, frozenset(name.decode() for name in ASSET.findall(html)))
