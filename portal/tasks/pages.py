"""Between what was gathered and what is written: derived pictures, reused where nothing about them changed."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pydantic import TypeAdapter

from portal.model.picture import Hints, PictureFacts, PictureUnreadable
from portal.pictures.derive import Derived, Want, want_key
from portal.pictures.jobs import Job, derive_many, jobs_for
from portal.problem import Problem
from portal.site.apart import homes_of
from portal.site.inputs import Page, SiteInput
from portal.site.plan import Wanted, in_order, wanted
from portal.site.render import render
from portal.site.reuse import Reuse
from portal.site.static import static
from portal.tasks.drawn import Wants
from portal.tasks.gather import Told
from portal.tasks.manifest import Data, Manifest
from portal.tasks.wants import ClusterWants, OfLast

_DERIVED: TypeAdapter[Derived] = TypeAdapter(Derived)


class DerivedOf(Mapping[Want, Derived]):
    """The derived files of one picture by what was wanted; those of the last build become records when asked for."""

    def __init__(self, facts: PictureFacts, last: OfLast, kept: Collection[str], made: Mapping[Want, Derived]) -> None:
        self._facts, self._last, self._kept, self._made = facts, last, kept, made

    def __getitem__(self, want: Want) -> Derived:
        made = self._made.get(want)
        if made is not None:
            return made
        key = want_key(self._facts, want)
        if key not in self._kept:
            raise KeyError(want)
        return derived_from(self._last.data(key), want)

    def __iter__(self) -> Iterator[Want]:
        """In a settled order."""
        kept = (_DERIVED.validate_python(self._last.data(key)).want for key in self._kept)
        return iter(sorted({*self._made, *kept}, key=repr))

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def came_of(self, want: Want) -> tuple[str, Data | None]:
        """The key of a want, and plain data of what there is of it."""
        key, made = want_key(self._facts, want), self._made.get(want)
        if made is not None:
            return key, _DERIVED.dump_python(made, mode="json")
        return key, self._last.data(key) if key in self._kept else None

    def to_data(self) -> Iterator[tuple[str, Data]]:
        """Plain data for the manifest, by the key of what each was made from."""
        made = {want_key(self._facts, want): each for want, each in self._made.items()}
        yield from ((key, self._last.data(key)) for key in self._kept if key not in made)
        yield from ((key, _DERIVED.dump_python(each, mode="json")) for key, each in made.items())


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
    names: Collection[str] = ()
    """The names of all files that are wanted."""
    made: frozenset[str] = frozenset()
    """Those of them that this build made."""
    said: Mapping[str, str] = field(default_factory=dict)
    """By a picture: a digest of what came of all that it wants, and those that hang together with it."""
    wants: Mapping[str, Wants] = field(default_factory=dict)
    """For the next build: what pictures that hang together want."""

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
    sizes: Mapping[str, int],
    skip: frozenset[str] = frozenset(),
) -> DerivedPictures:
    """Make every derived picture that the pages want; one that the last build made from the same bytes is kept.

    `sizes` are those of the derived files that were there before. The pages of the parts to `skip` hold as
    they are.
    """
    last = OfLast(known, sizes)
    found, of = wants.holding(last, homes=homes_of(site.catalogue, skip))
    planned = list(wanted(site, skip=skip, known=of))
    pictures: list[tuple[str, Job]] = []
    movies: list[tuple[str, Job]] = []
    for file, facts, many in _of_shown(site, in_order((file, want) for _, file, want in planned)):
        for job in jobs_for(folder / file, facts, many, assets):
            keys = [want_key(facts, want) for want in job.wants]
            kept = {key: there for key in keys if (there := found.kept.get(file, {}).get(key) or last.get(key))}
            if len(kept) < len(keys):
                (movies if job.plays else pictures).append((file, job))
            else:
                found.keep(file, kept)
    made: dict[str, dict[Want, Derived]] = {}
    unreadable, unplayable = (
        _made(jobs, made, processes=processes, told=told, what=what)
        for jobs, what in ((pictures, "pictures made ready"), (movies, "movies made ready"))
    )
    for file in unreadable:  # then nothing of it is shown, whatever was made before
        found.kept.pop(file, None)
    by_file = {
        file: DerivedOf(facts, last, found.kept.get(file, {}), made.get(file, {}))
        for file, facts, _ in _of_shown(site, dict.fromkeys((*found.kept, *(file for _, file, _ in planned)), ()))
    }
    wants.note(found, _by_picture(planned, by_file), lambda file, want: by_file[file].came_of(want))
    fresh = frozenset(each.name for many in made.values() for each in many.values())
    names = {*found.names(), *fresh}
    return DerivedPictures(by_file, unreadable, unplayable, names, fresh, found.said, found.wants)


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
    made: dict[str, dict[Want, Derived]],
    *,
    processes: int,
    told: Told | None,
    what: str,
) -> dict[str, PictureUnreadable]:
    """Do the jobs, each by the file it is for, and take in what came of them; the files of which nothing did."""
    progress = (lambda done: told(what, done, len(jobs))) if told else None
    bad: dict[str, PictureUnreadable] = {}
    done = derive_many([job for _, job in jobs], processes=processes, progress=progress)
    for (file, _), found in zip(jobs, done, strict=True):
        if isinstance(found, PictureUnreadable):
            bad[file] = found
        else:
            made.setdefault(file, {}).update((each.want, each) for each in found)
    return bad


def pages(
    site: SiteInput, derived: DerivedPictures, reuse: Reuse | None = None, aside: Path | None = None
) -> Iterator[Page]:
    """Static files first, then the pages that don't hold any more, the front page last; long ones set aside."""
    yield from static()
    yield from render(site, derived.by_file, derived.unreadable, derived.unplayable, reuse=reuse, aside=aside)
