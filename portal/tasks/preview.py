"""One review page as a customer will see it, made from what a running program holds: nothing is written to a site.

It is the page that `portal build` makes for that customer, of the same records by the same code; only what the page
needs is judged, and a derived picture is made when the page asks for it. That nothing of another customer's is in what
leaves is searched by the build.
"""

from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from portal.log.read import log_folder
from portal.model.catalogue import Catalogue
from portal.model.picture import Facts, Picture, PictureFacts, PictureUnreadable
from portal.model.tag import Tag
from portal.pictures.derive import Crop, Derived, Want, Whole, decoded, derive, derive_one, want_key
from portal.pictures.upright import Upright
from portal.site.address import asset
from portal.site.desk import desk_for
from portal.site.inputs import Page, SiteInput
from portal.site.partpages import review_page
from portal.tasks.basis import bases
from portal.tasks.gather import Gathered, held
from portal.tasks.handed import handed_over, site_input
from portal.tasks.judging import Memory, assess_all
from portal.tasks.keptcards import KeptCards
from portal.tasks.pagekeys import PageKeys
from portal.tasks.recorded import Recorded, recorded
from portal.tasks.records import digest

DECODED = 2
"""So many pictures are kept decoded; one of 24 megapixels takes 72 MB."""
PAGES = 3
"""Derived files that the last pages didn't ask for are taken away."""


@dataclass(frozen=True)
class Wanted:
    """Which page: a part in a trial."""

    mould: str
    trial: str
    part: str


@dataclass
class Previews:
    """Makes pages again and again; what didn't change is remembered."""

    folder: Path
    beside: Path
    """Where derived pictures are kept."""
    _memory: Memory = field(default_factory=Memory)
    _recorded: dict[tuple[str, ...], tuple[tuple[str, ...], Recorded]] = field(default_factory=dict)
    _derived: "OnDemand | None" = None
    _tags: dict[str, tuple[Tag, str]] = field(default_factory=dict)
    """Of each tag, as long as it is the same, the digest of what it says."""
    _cards: dict[Wanted, KeptCards] = field(default_factory=dict)

    def page(self, catalogue: Catalogue, facts: Mapping[str, Facts], wanted: Wanted, *, as_of: date) -> Page:
        """The page; its pictures lie below `assets/` as far as it shows them, see `picture`."""
        gathered = self._gathered(_narrowed(catalogue, wanted), facts)
        audience = catalogue.parts[wanted.part].customer
        handed = handed_over(gathered, audience)
        theirs = self._record(gathered).handed_over(handed, audience)
        site = site_input(handed, problems=(), audience=audience, as_of=as_of, recorded=theirs)
        if self._derived is None:
            self._derived = OnDemand(self.folder, self.beside)
        self._derived.over(site)
        desk = replace(desk_for(site), derived=self._derived, unreadable=self._derived.unreadable)
        result = next(each for each in site.results if each.part.id == wanted.part)
        cards = self._cards.setdefault(wanted, KeptCards())
        keys = PageKeys(site, written=self._memory.written, rules="")
        page = review_page(desk, result, cards.over(keys, result))
        self._derived.keep(cards.note(page, whole=not self._derived.unreadable))
        self._derived.forget()
        return page

    def picture(self, path: str) -> Path | None:
        """A derived file of the last pages by its path in a site."""
        return None if self._derived is None else self._derived.paths.get(path)

    def _gathered(self, catalogue: Catalogue, facts: Mapping[str, Facts]) -> Gathered:
        known = held(self.folder, catalogue, facts)
        self._memory.written = self._written(catalogue)
        return Gathered(**vars(known), results=assess_all(catalogue, known.facts, memory=self._memory))

    def _written(self, catalogue: Catalogue) -> dict[str, str]:
        pictures = (picture for _, trial in catalogue.trials() for picture in trial.pictures)
        return {each.tag.file: self._digest(each, each.tag) for each in pictures if each.tag}

    def _digest(self, picture: Picture, tag: Tag) -> str:
        known = self._tags.get(picture.file)
        if known is None or known[0] is not tag:
            known = self._tags[picture.file] = (tag, digest(tag))
        return known[1]

    def _record(self, gathered: Gathered) -> Recorded:
        """What the logs say, read again once an event was added; what findings rest on is of now."""
        parts = tuple(sorted(gathered.catalogue.parts))
        names = tuple(each.name for part in parts for each in _events(self.folder, part))
        known = self._recorded.get(parts)
        if known is None or known[0] != names:
            known = (names, recorded(gathered))
            self._recorded[parts] = known
        return replace(known[1], bases=bases(gathered) if known[1].logs else {})


def _events(folder: Path, part: str) -> list[Path]:
    where = log_folder(folder, part)
    return sorted(where.iterdir()) if where.is_dir() else []


def _narrowed(catalogue: Catalogue, wanted: Wanted) -> Catalogue:
    """That trial alone, with the parts of its mould and their limit samples."""
    mould = catalogue.moulds[wanted.mould]
    parts = {each.part for each in mould.cavities.values()} | {wanted.part}
    return replace(
        catalogue,
        moulds={mould.id: mould.but(trials={wanted.trial: mould.trials[wanted.trial]})},
        parts={id_: part for id_, part in catalogue.parts.items() if id_ in parts},
        limit_samples={id_: each for id_, each in catalogue.limit_samples.items() if each.part in parts},
    )


class OnDemand(Mapping[str, Mapping[Want, Derived]]):
    """The derived pictures of a site, each made when it is asked for, and kept while pages ask for it."""

    def __init__(self, folder: Path, out: Path) -> None:
        self.unreadable: dict[str, PictureUnreadable] = {}
        self.paths: dict[str, Path] = {}
        """Of each file its path in a site and where it lies."""
        self._folder = folder
        self._out = out
        self._site: SiteInput | None = None
        self._made: dict[str, Derived] = {}
        self._decoded: OrderedDict[str, Upright] = OrderedDict()
        self._asked: list[set[str]] = []

    def over(self, site: SiteInput) -> None:
        """Take the site of the next page."""
        self._site = site
        self.unreadable.clear()
        self._asked.append(set())

    def keep(self, names: Iterable[str]) -> None:
        """Files that the page shows in what was drawn before."""
        self._asked[-1].update(names)

    def forget(self) -> None:
        """Take away what the last pages didn't show."""
        self._asked = self._asked[-PAGES:]
        names = set().union(*self._asked)
        for key in [key for key, each in self._made.items() if each.name not in names]:
            gone = self._made.pop(key)
            self.paths.pop(asset(gone.name), None)
            (self._out / gone.name).unlink(missing_ok=True)

    def __getitem__(self, file: str) -> Mapping[Want, Derived]:
        facts = self._site.facts.get(file) if self._site else None
        if not isinstance(facts, PictureFacts) or file in self.unreadable:
            raise KeyError(file)
        return _Of(self, file, facts)

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0

    def made(self, file: str, facts: PictureFacts, want: Want) -> Derived | None:
        """A derived file; None where the picture is damaged."""
        key = want_key(facts, want)
        if key not in self._made:
            found = self._make(file, facts, want)
            if isinstance(found, PictureUnreadable):
                self.unreadable[file] = found
                return None
            self._made[key] = found
            self.paths[asset(found.name)] = self._out / found.name
        self._asked[-1].add(self._made[key].name)
        return self._made[key]

    def _make(self, file: str, facts: PictureFacts, want: Want) -> Derived | PictureUnreadable:
        if facts.movie is not None or not isinstance(want, (Whole, Crop)):
            made = derive(self._folder / file, facts, [want], self._out)
            return made if isinstance(made, PictureUnreadable) else made[0]
        pixels = self._pixels(file, facts)
        return pixels if isinstance(pixels, PictureUnreadable) else derive_one(pixels, want, self._out)

    def _pixels(self, file: str, facts: PictureFacts) -> Upright | PictureUnreadable:
        key = want_key(facts, Whole())
        if key not in self._decoded:
            found = decoded(self._folder / file, facts)
            if isinstance(found, PictureUnreadable):
                return found
            self._decoded[key] = found
            while len(self._decoded) > DECODED:
                self._decoded.popitem(last=False)
        self._decoded.move_to_end(key)
        return self._decoded[key]


class _Of(Mapping[Want, Derived]):
    """Those of one picture."""

    def __init__(self, all_of: OnDemand, file: str, facts: PictureFacts) -> None:
        self._all = all_of
        self._file = file
        self._facts = facts

    def __getitem__(self, want: Want) -> Derived:
        found = self._all.made(self._file, self._facts, want)
        if found is None:
            raise KeyError(want)
        return found

    def __iter__(self) -> Iterator[Want]:
        return iter(())

    def __len__(self) -> int:
        return 0
