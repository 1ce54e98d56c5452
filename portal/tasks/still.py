"""Finds out which of the last build's pages still hold, and remembers for the next build what this one drew."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from portal.model.narrow import kin
from portal.site.address import ASSETS
from portal.site.apart import home_of, homes_of
from portal.site.inputs import Page
from portal.site.reuse import Markings, Reuse
from portal.site.thread import Thread
from portal.tasks import drawn
from portal.tasks.ahead import Ahead
from portal.tasks.drawn import Card, Drawn, Left
from portal.tasks.inputs import Sizes, stamp_of
from portal.tasks.manifest import Data, Manifest
from portal.tasks.pagekeys import NearKeys, PageKeys
from portal.tasks.pages import DerivedPictures
from portal.tasks.wants import another_build

ASSET = re.compile(rb"assets/([0-9a-f]{20}\.[a-z0-9]+)")
"""A derived file that a page names."""


class Still(Reuse):
    """What holds of a site's folder; a page that isn't there as it was left doesn't."""

    def __init__(self, out: Path, known: Drawn, keys: PageKeys) -> None:
        self._out, self._known, self._keys = out, known, keys
        self.sizes = Sizes(out / ASSETS)
        """The derived files that were there, with their sizes."""
        self._again: set[str] = set()
        self._ahead = Ahead()
        """Of pages of many cards: such a page is large, isn't held for them, and stands there until all are drawn."""
        self._groups = {parts: keys.group(parts) for parts in kin(keys.site.catalogue)}
        self._of = {home: parts for parts in self._groups for home in homes_of(keys.site.catalogue, parts)}
        self.parts = frozenset().union(*(parts for parts, key in self._groups.items() if self._group_holds(key)))
        self._pages: dict[str, _Page] = {}
        """What is drawn or kept of other parts, by path."""

    @property
    def pages(self) -> Iterator[str]:
        """The pages that hold, of pictures too once these were asked for."""
        yield from self._pages_of_groups()
        yield from (path for path, each in self._pages.items() if each.is_kept)

    @property
    def assets(self) -> frozenset[str]:
        """The derived files that the pages of parts name which hold as a whole."""
        return frozenset(name for path in self._pages_of_groups() for name, _ in self._page(path).assets)

    def known_pictures(self, last: Manifest | None) -> Iterator[tuple[str, Data]]:
        """What the last build's manifest says of these files."""
        names = self.assets
        if last and names:
            yield from ((key, each) for key, each in last.derived.items() if each.get("name") in names)

    def take_in(self, derived: DerivedPictures) -> bool:
        """What came of pictures, before the other parts are drawn.

        True where parts hold no more, since a picture that all parts share came out otherwise than its file says.
        """
        self._again |= derived.again
        self._failed = {home_of(each) for each in (*derived.unreadable, *derived.unplayable)}
        if self.parts and "" in self._failed:
            self._known, self.parts = Drawn(), frozenset()
            return True
        site, addresses = self._keys.site, self._keys.addresses
        others = frozenset(site.catalogue.parts) - self.parts
        self._near, self._wants = NearKeys(self._keys, derived, others), derived.wants
        self._reviews = {
            (each.picture, each.finding): addresses.review(result.part.id, result.mould, result.trial)
            for result in site.results
            if result.part.id in others
            for each in result.assessments
        }
        self._card_keys: dict[tuple[str, str], str] = {}
        self._there: dict[str, bool] = {}
        return False

    def picture(self, file: str) -> bool:
        """Whether the page of a picture holds."""
        path = self._keys.addresses.picture(file) or ""
        key, left = self._near.picture(file), self._known.pages.get(path)
        known = self._pages[path] = _Page(key, self._of.get(home_of(file)))
        if left is None or left.key != key or not self._is_left(path):
            return False
        known.is_kept = True
        return True

    def card(self, picture: str, finding: str, thread: Thread | None) -> Markings | None:
        """What gives the card of a finding with that thread, as it was drawn, if it holds."""
        key = self._near.card(picture, finding, thread, self._reviews[picture, finding])
        self._card_keys[picture, finding] = key
        place = self._known.card(key)
        if place is None:
            return None
        path, start, length = place
        if path not in self._there:
            self._there[path] = self._is_left(path)
        if not self._there[path]:
            return None
        return partial(self._ahead.piece, self._out / path, start, length)

    def note(self, page: Page) -> None:
        """A page that was drawn."""
        known = self._pages.setdefault(page.path, _Page())
        known.parts = page.parts or known.parts
        known.assets = " ".join(sorted({name.decode() for run in page.paper.runs() for name in ASSET.findall(run)}))
        twice = Counter((each.picture, each.finding) for each in page.pieces)
        known.cards = tuple(
            (self._card_keys[each.picture, each.finding], each.start, each.length)
            for each in page.pieces
            if twice[each.picture, each.finding] == 1
        )

    def save(self) -> None:
        """Write what is known of the site now, once all is written."""
        held = ((key, self._known.groups[key]) for parts, key in self._groups.items() if parts <= self.parts)
        drawn.save(self._out, pages=self._left(), groups=(*held, *self._whole_groups()), kept=self._kept())

    def _left(self) -> Iterator[tuple[str, Left, Iterable[Card]]]:
        for path, each in self._pages.items():
            stamp = stamp_of(self._out / path)
            if stamp is not None and each.parts is not None and not each.is_kept:
                there = ((name, self._size(name)) for name in each.assets.split())
                assets = tuple((name, size) for name, size in there if size is not None)
                yield path, Left(*stamp, each.key, assets), each.cards

    def _kept(self) -> Iterator[bytes]:
        """Lines of what holds."""
        for path in self.pages:
            yield from self._known.lines_of(path)
        yield from self._wants()

    def _size(self, name: str) -> int | None:
        """Of a derived file by now: looked at again where this build made it."""
        size = None if name in self._again else self.sizes.get(name)
        if size is None:
            stamp = stamp_of(self._out / ASSETS / name)
            size = stamp[0] if stamp else None
        return size

    def _page(self, path: str) -> Left:
        """What is known of a page that holds."""
        left = self._known.pages.get(path)
        if left is None:
            raise another_build()
        return left

    def _whole_groups(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        """Parts that were drawn, but for those whose pictures came out otherwise than their files say."""
        paths: dict[frozenset[str], list[str]] = {}
        for path, each in self._pages.items():
            paths.setdefault(each.parts or frozenset(), []).append(path)
        bad = {self._of.get(home) for home in self._failed}
        for parts, key in self._groups.items():
            if parts in paths and parts not in bad and None not in bad:
                yield key, tuple(sorted(paths[parts]))

    def _pages_of_groups(self) -> Iterator[str]:
        for parts, key in self._groups.items():
            if parts <= self.parts:
                yield from self._known.groups[key]

    def _group_holds(self, key: str) -> bool:
        pages = self._known.groups.get(key, ())
        return bool(pages) and all(map(self._is_left, pages))

    def _is_left(self, path: str) -> bool:
        """Whether a page is there as it was left, and all files that it names."""
        left = self._known.pages.get(path)
        if left is None or stamp_of(self._out / path) != left.stamp:
            return False
        return all(self.sizes.get(name) == size for name, size in left.assets)


@dataclass(slots=True)
class _Page:
    """What is known of a page by now."""

    key: str = ""
    parts: frozenset[str] | None = None
    is_kept: bool = False
    cards: tuple[Card, ...] = ()
    assets: str = ""
    """The names of the derived files that it names, apart by blanks."""
