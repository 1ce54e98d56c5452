"""Between what was gathered and what is written: derived pictures, reused where nothing about them changed."""

import itertools
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pydantic import TypeAdapter

from portal.model.picture import Hints, PictureFacts, PictureUnreadable
from portal.pictures.derive import Derived, Want, want_key
from portal.pictures.jobs import Job, derive_each, jobs_for
from portal.problem import Problem
from portal.site.apart import homes_of
from portal.site.inputs import Page, SiteInput
from portal.site.plan import Wanted, in_order, wanted
from portal.site.render import render
from portal.site.reuse import Reuse
from portal.site.static import static
from portal.tasks.drawn import WANTS
from portal.tasks.gather import Told
from portal.tasks.inputs import Sizes
from portal.tasks.lines import Aside
from portal.tasks.manifest import Data, Manifest
from portal.tasks.wants import ClusterWants, Found, OfLast

_DERIVED: TypeAdapter[Derived] = TypeAdapter(Derived)


class Made:
    """Files that this build made, by picture and by the key of what was wanted, set aside until all is written."""

    def __init__(self, aside: Aside) -> None:
        self._aside = aside
        self._last: tuple[str, dict[str, Data]] = ("", {})

    def put(self, file: str, facts: PictureFacts, made: Iterable[Derived]) -> None:
        """What was made of a picture."""
        data = {want_key(facts, each.want): _DERIVED.dump_python(each, mode="json") for each in made}
        self._aside.put(file, data)

    def of(self, file: str) -> Mapping[str, Data]:
        """What was made of a picture, as the manifest tells it."""
        if self._last[0] != file:
            self._last = (file, {key: data for many in self._aside.of(file) for key, data in many.items()})
        return self._last[1]

    def names(self) -> Iterator[str]:
        """The names of all files that were made."""
        return (data["name"] for _, many in self._aside.all() for data in many.values())


@dataclass(frozen=True, slots=True, eq=False)
class DerivedOf(Mapping[Want, Derived]):
    """The derived files of one picture by what was wanted, made now or by the last build; records when asked for."""

    file: str
    facts: PictureFacts
    last: OfLast
    found: Found
    made: Made

    def __getitem__(self, want: Want) -> Derived:
        data = self._data(want_key(self.facts, want))
        if data is None:
            raise KeyError(want)
        return derived_from(data, want)

    def _data(self, key: str) -> Data | None:
        made = self.made.of(self.file).get(key)
        if made is not None:
            return made
        return self.last.data(key) if key in self.found.kept(self.file) else None

    def __iter__(self) -> Iterator[Want]:
        """In a settled order."""
        return iter(sorted((_DERIVED.validate_python(data).want for _, data in self.to_data()), key=repr))

    def __len__(self) -> int:
        return sum(1 for _ in self.to_data())

    def came_of(self, want: Want) -> tuple[str, Data | None]:
        """The key of a want, and plain data of what there is of it."""
        key = want_key(self.facts, want)
        return key, self._data(key)

    def to_data(self) -> Iterator[tuple[str, Data]]:
        """Plain data for the manifest, by the key of what each was made from."""
        made = self.made.of(self.file)
        yield from ((key, self.last.data(key)) for key in self.found.kept(self.file) if key not in made)
        yield from made.items()


def derived_from(data: Data, want: Want) -> Derived:
    """What the manifest says of a file, as a record; what was wanted is known, and only notes have to be read."""
    if data["notes"]:
        return _DERIVED.validate_python(data)
    hints = Hints(**data["hints"]) if data["hints"] else None
    return Derived(**{**data, "want": want, "box": tuple(data["box"]), "notes": (), "hints": hints})


@dataclass(frozen=True)
class DerivedPictures:
    """What came of the pages' wants, by picture, and the pictures that turned out to be damaged."""

    by_file: Mapping[str, DerivedOf]
    unreadable: Mapping[str, PictureUnreadable]
    unplayable: Mapping[str, PictureUnreadable] = field(default_factory=dict)
    """Movies of which frames can be shown, and no more."""
    names: Callable[[], Iterable[str]] = tuple
    """The names of all files that are wanted."""
    again: frozenset[str] = frozenset()
    """Those of them that were there, and were made again since they weren't as the last build left them."""
    said: Mapping[str, str] = field(default_factory=dict)
    """By a picture: a digest of what came of all that it wants, and those that hang together with it."""
    wants: Callable[[], Iterable[bytes]] = tuple
    """Lines for the next build: what pictures that hang together want, by what it was found out from."""

    def problems(self) -> tuple[Problem, ...]:
        """A problem for each damaged picture."""
        return tuple(
            Problem(file, 0, "", f"can't be shown: {why.reason}", hint=why.to_do)
            for file, why in self.unreadable.items()
        ) + tuple(
            Problem(file, 0, "", f"can't be played: {why.reason}", hint=why.to_do)
            for file, why in self.unplayable.items()
            if file not in self.unreadable
        )

    def to_data(self) -> Iterator[tuple[str, Data]]:
        """Plain data for the manifest, by the key of what it was made from, picture by picture."""
        for each in self.by_file.values():
            yield from each.to_data()


def derive_wanted(
    site: SiteInput,
    folder: Path,
    assets: Path,
    *,
    known: Manifest | None,
    wants: ClusterWants,
    processes: int,
    told: Told | None,
    sizes: Sizes,
    aside: Path,
    skip: frozenset[str] = frozenset(),
) -> DerivedPictures:
    """Make every derived picture that the pages want; one that the last build made from the same bytes is kept.

    `sizes` are those of the derived files that were there before. The pages of the parts to `skip` hold as they are.
    The folder `aside` has to be there as long as what is given.
    """
    last, newly, freshly = OfLast(known, sizes), Aside(aside / "wants", WANTS), Aside(aside / "derived")
    found, of = wants.holding(last, homes=homes_of(site.catalogue, skip), aside=newly)
    planned = list(wanted(site, skip=skip, known=of))
    pictures: list[tuple[str, Job]] = []
    movies: list[tuple[str, Job]] = []
    for file, facts, many in _of_shown(site, in_order((file, want) for _, file, want in planned)):
        known_of = found.kept(file)
        for job in jobs_for(folder / file, facts, many, assets):
            keys = [want_key(facts, want) for want in job.wants]
            kept = {key: there for key in keys if (there := known_of.get(key) or last.get(key))}
            if len(kept) < len(keys):
                (movies if job.plays else pictures).append((file, job))
            else:
                found.keep(file, kept)
    made = Made(freshly)
    unreadable, unplayable = (
        _made(jobs, made, processes=processes, told=told, what=what)
        for jobs, what in ((pictures, "pictures made ready"), (movies, "movies made ready"))
    )
    freshly.done()
    for file in unreadable:  # then nothing of it is shown, whatever was made before
        found.drop(file)
    by_file = {
        file: DerivedOf(file, facts, last, found, made)
        for file, facts, _ in _of_shown(site, dict.fromkeys((*found.pictures(), *(file for _, file, _ in planned)), ()))
    }
    wants.note(found, _by_picture(planned, by_file), lambda file, want: by_file[file].came_of(want))
    newly.done()
    again = frozenset(name for name in made.names() if sizes.get(name) is not None)

    def names() -> Iterable[str]:
        return itertools.chain(found.names(), made.names())

    return DerivedPictures(by_file, unreadable, unplayable, names, again, found.said, found.wants)


def _of_shown(
    site: SiteInput, wants: Mapping[str, tuple[Want, ...]]
) -> Iterator[tuple[str, PictureFacts, tuple[Want, ...]]]:
    """The pictures that can be shown, with their facts."""
    for file, many in wants.items():
        facts = site.facts.get(file)
        if isinstance(facts, PictureFacts):
            yield file, facts, many


def _by_picture(planned: Iterable[Wanted], shown: Collection[str]) -> dict[str, list[tuple[str, Want]]]:
    """For each picture what its page and its findings' cards want of those that can be shown."""
    found: dict[str, list[tuple[str, Want]]] = {}
    for picture, file, want in planned:
        if picture and file in shown:
            found.setdefault(picture, []).append((file, want))
    return found


def _made(
    jobs: Sequence[tuple[str, Job]],
    made: Made,
    *,
    processes: int,
    told: Told | None,
    what: str,
) -> dict[str, PictureUnreadable]:
    """Do the jobs, each by the file it is for, and take in what came of them; the files of which nothing did."""
    bad: dict[int, PictureUnreadable] = {}
    count = itertools.count(1)

    def done(number: int, found: tuple[Derived, ...] | PictureUnreadable) -> None:
        file, job = jobs[number]
        if isinstance(found, PictureUnreadable):
            bad[number] = found
        else:
            made.put(file, job.facts, found)
        if told:
            told(what, next(count), len(jobs))

    derive_each((job for _, job in jobs), processes=processes, done=done)
    return {jobs[number][0]: bad[number] for number in sorted(bad)}


def pages(
    site: SiteInput, derived: DerivedPictures, reuse: Reuse | None = None, aside: Path | None = None
) -> Iterator[Page]:
    """Static files first, then the pages that don't hold any more, the front page last; long ones set aside."""
    yield from static()
    yield from render(site, derived.by_file, derived.unreadable, derived.unplayable, reuse=reuse, aside=aside)
