"""The keys of pages and cards: digests of the very desks on which they are drawn (`portal/site/apart.py`)."""

import hashlib
from collections.abc import Iterator, Mapping
from functools import cached_property

from portal.model.mould import Mould, Trial
from portal.model.narrow import clusters, only_parts
from portal.model.picture import Picture
from portal.site.address import Addresses
from portal.site.apart import home_of
from portal.site.inputs import SiteInput
from portal.site.thread import Thread
from portal.tasks.keys import Keys, program_key
from portal.tasks.pages import DerivedPictures
from portal.tasks.records import digest


class PageKeys:
    """The keys of a site's pages; `rules` is whatever else has to be the same for a page to be kept."""

    def __init__(self, site: SiteInput, *, written: Mapping[str, str], rules: str) -> None:
        self.site = site
        self.addresses = Addresses(site.catalogue)
        self._keys = Keys(site.catalogue, site.facts, program=program_key(), written=written)
        self._rules = rules
        self._clusters: dict[tuple[str, str, str], str] = {}

    @cached_property
    def base(self) -> str:
        """What every page is made from."""
        site = self.site
        said = (site.audience, site.as_of, site.version, site.checks, site.fineness)
        return digest(self._keys.shared, said, self._rules)

    def cluster(self, mould: Mould, trial: Trial, pictures: tuple[Picture, ...]) -> str:
        """Pictures that hang together, without what came of their pixels."""
        name = (mould.id, trial.id, pictures[0].file)
        if name not in self._clusters:
            self._clusters[name] = self._keys.cluster(mould, trial, pictures)
        return self._clusters[name]

    def wants(self) -> Iterator[tuple[str, tuple[str, ...]]]:
        """Which derived files the pages and cards of pictures that hang together want: its key, and the pictures."""
        for mould, trial in self.site.catalogue.trials():
            for pictures in clusters(trial.pictures):
                said = f"{self.base} {self.cluster(mould, trial, pictures)}"
                yield hashlib.sha256(said.encode()).hexdigest(), tuple(each.file for each in pictures)

    def group(self, parts: frozenset[str]) -> str:
        """All pages of parts that hang together."""
        site, here = self.site, only_parts(self.site.catalogue, parts)
        made = hashlib.sha256(self.base.encode())
        for part in here.parts.values():
            log = (site.logs.get(part.id), site.stored.get(part.id), sorted(site.closed.get(part.id, ())))
            files = self._files.get(f"parts/{part.id}", ())
            facts = [(file, site.facts.get(file), site.scales.get(file)) for file in files]
            made.update(digest(self.addresses.part(part.id), part, log, self._bases.get(part.id, ()), facts).encode())
        for mould, trial in here.trials():
            made.update(self._keys.head(mould, trial).encode())
            made.update(digest(trial.looked).encode())
            for id_ in here.parts:
                made.update(self.addresses.review(id_, mould.id, trial.id).encode())
            for pictures in clusters(trial.pictures):
                made.update(self.cluster(mould, trial, pictures).encode())
            made.update(repr([self.addresses.picture(each.file) for each in trial.pictures]).encode())
        made.update(digest([mould.but(trials={}) for mould in here.moulds.values()]).encode())
        return made.hexdigest()

    @cached_property
    def _files(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for file in sorted(self.site.facts):
            found.setdefault(home_of(file), []).append(file)
        return found

    @cached_property
    def _bases(self) -> dict[str, list[tuple[str, str]]]:
        found: dict[str, list[tuple[str, str]]] = {}
        for (part, finding), basis in self.site.bases.items():
            found.setdefault(part, []).append((finding, basis))
        return found


class NearKeys:
    """The keys of the pages and cards that are drawn on the desk of pictures that hang together."""

    def __init__(self, keys: PageKeys, derived: DerivedPictures, parts: frozenset[str]) -> None:
        self._site, self._base, self._addresses = keys.site, keys.base, keys.addresses
        self._derived = derived
        self._clusters: dict[str, str] = {}
        self._neighbours: dict[str, tuple[str | None, str | None]] = {}
        failed = sorted({*derived.unreadable, *derived.unplayable})
        strange = [each for each in failed if not home_of(each).startswith("moulds/")]
        self._whole = digest(self._base, strange)
        for mould, trial in only_parts(self._site.catalogue, parts).trials():
            self._take(keys, mould, trial)

    def _take(self, keys: PageKeys, mould: Mould, trial: Trial) -> None:
        for pictures in clusters(trial.pictures):
            came, of_each = self._derived.said.get(pictures[0].file), [self._said(each) for each in pictures]
            key = digest(self._whole, keys.cluster(mould, trial, pictures), came, of_each)
            self._clusters.update((each.file, key) for each in pictures)
        pages = [None, *(self._addresses.picture(each.file) for each in trial.pictures), None]
        for picture, before, after in zip(trial.pictures, pages, pages[2:], strict=False):
            self._neighbours[picture.file] = (before, after)

    def _said(self, picture: Picture) -> tuple[object, ...]:
        """Where a picture's page lies, and why it can't be shown."""
        file, derived = picture.file, self._derived
        return self._addresses.picture(file), derived.unreadable.get(file), derived.unplayable.get(file)

    def picture(self, file: str) -> str:
        """The page of a picture."""
        return digest(self._clusters.get(file), file, self._neighbours.get(file))

    def card(self, picture: str, finding: str, thread: Thread | None, page: str) -> str:
        """A finding's card on that page."""
        return digest(self._clusters.get(picture), finding, thread, page)
