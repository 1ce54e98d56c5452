"""One review page as a customer will see it, made from what a running program holds: nothing is written to a site.

It is the page that `portal build` makes for that customer, of the same records by the same code; only what the page
needs is judged, and a derived picture is made once a browser asks for it: till then the page names it by what it will
be made from. That nothing of another customer's is in what leaves is searched by the build.
"""

from abc import abstractmethod
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from portal.log.read import log_folder
from portal.model.catalogue import Catalogue
from portal.model.picture import Facts, Picture
from portal.model.tag import Tag
from portal.site.desk import desk_for
from portal.site.inputs import Page
from portal.site.partpages import review_page
from portal.tasks.basis import bases
from portal.tasks.gather import Gathered, as_tagged, held, shown_beside
from portal.tasks.handed import handed_over, site_input
from portal.tasks.judging import Memory, assess_all
from portal.tasks.keptcards import KeptCards
from portal.tasks.ondemand import OnDemand
from portal.tasks.pagekeys import PageKeys
from portal.tasks.recorded import Recorded, recorded
from portal.tasks.records import digest


class Looked(Mapping[str, Facts]):
    """What the pictures' files say of themselves, without the range of deep samples."""

    @abstractmethod
    def ranged(self, files: Iterable[str]) -> Mapping[str, Facts]:
        """Of those of these files that are there, with that range."""


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
    _tags: dict[str, tuple[Tag, str]] = field(default_factory=dict)
    """Of each tag, as long as it is the same, the digest of what it says."""
    _cards: dict[Wanted, KeptCards] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._derived = OnDemand(self.folder, self.beside)

    def page(self, catalogue: Catalogue, facts: Looked, wanted: Wanted, *, as_of: date) -> Page:
        """The page; its pictures lie below `assets/` as far as it shows them, see `picture`."""
        gathered = self._gathered(_narrowed(catalogue, wanted), facts, whole=catalogue)
        audience = catalogue.parts[wanted.part].customer
        handed = handed_over(gathered, audience)
        theirs = self._record(gathered).handed_over(handed, audience)
        site = site_input(handed, problems=(), audience=audience, as_of=as_of, recorded=theirs)
        self._derived.over(site)
        desk = replace(desk_for(site), derived=self._derived, unreadable=self._derived.unreadable)
        result = next(each for each in site.results if each.part.id == wanted.part)
        cards = self._cards.setdefault(wanted, KeptCards())
        keys = PageKeys(site, written=self._memory.written, rules="")
        while True:
            failed = dict(self._derived.unreadable)
            page = review_page(desk, result, cards.over(keys, result, unreadable=failed))
            self._derived.keep(cards.note(page))
            if failed == self._derived.unreadable:
                break
        self._derived.forget()
        return page

    def picture(self, path: str) -> Path | None:
        """A derived file of the last pages by its path in a site, made now if it wasn't yet; None if there is none."""
        return self._derived.file(path)

    @property
    def failures(self) -> int:
        """Grows with each picture that came out otherwise than its file says: then a page has to be drawn anew."""
        return self._derived.failures

    def _gathered(self, catalogue: Catalogue, facts: Looked, *, whole: Catalogue) -> Gathered:
        known = held(self.folder, catalogue, facts)
        own = {**known.facts, **_as_in_the_whole(known.facts, facts, whole)}
        self._memory.written = self._written(catalogue)
        results = assess_all(catalogue, own, memory=self._memory)
        return Gathered(**{**vars(known), "facts": own}, results=results)

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


def _as_in_the_whole(own: Mapping[str, Facts], facts: Looked, whole: Catalogue) -> dict[str, Facts]:
    """Of views with deep pictures: these with the range by which a build shows them, by those of other trials too."""
    beside = shown_beside(whole, own)
    if not beside:
        return {}
    ranged = facts.ranged(beside)
    return {file: each for file, each in {**ranged, **as_tagged(whole, ranged)}.items() if file in own}


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
