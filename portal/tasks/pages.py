"""Between what was gathered and what is written: derived pictures, reused where nothing about them changed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pydantic import TypeAdapter

from portal.model.picture import Facts, PictureFacts, PictureUnreadable
from portal.pictures.derive import Derived, Want, want_key
from portal.pictures.jobs import Job, derive_many, jobs_for
from portal.problem import Problem
from portal.site.inputs import Page, SiteInput
from portal.site.plan import plan
from portal.site.render import render
from portal.site.reuse import Reuse
from portal.site.static import static
from portal.tasks.gather import Told
from portal.tasks.inputs import sizes
from portal.tasks.manifest import Data, Manifest

_DERIVED: TypeAdapter[Derived] = TypeAdapter(Derived)


@dataclass(frozen=True)
class DerivedPictures:
    """What came of the pages' wants, by picture, and the pictures that turned out to be damaged."""

    by_file: Mapping[str, tuple[Derived, ...]]
    unreadable: Mapping[str, PictureUnreadable]
    facts: Mapping[str, Facts] = field(default_factory=dict)
    """What the pictures' files say of themselves."""
    unplayable: Mapping[str, PictureUnreadable] = field(default_factory=dict)
    """Movies of which frames can be shown, and no more."""

    def names(self) -> tuple[str, ...]:
        """The files' names, each once."""
        return tuple(dict.fromkeys(each.name for found in self.by_file.values() for each in found))

    def problems(self) -> tuple[Problem, ...]:
        """A problem for each damaged picture."""
        return tuple(
            Problem(file, 0, "", f"can't be shown: {why.reason}", hint=why.hint)
            for file, why in self.unreadable.items()
        ) + tuple(
            Problem(file, 0, "", f"can't be played: {why.reason}", hint=why.hint)
            for file, why in self.unplayable.items()
            if file not in self.unreadable
        )

    def to_data(self) -> Iterator[tuple[str, Data]]:
        """Plain data for the manifest, by the key of what it was made from, picture by picture."""
        for file, many in self.by_file.items():
            facts = self.facts.get(file)
            if isinstance(facts, PictureFacts):
                yield from ((want_key(facts, each.want), _DERIVED.dump_python(each, mode="json")) for each in many)


def derive_wanted(
    site: SiteInput,
    folder: Path,
    assets: Path,
    *,
    known: Manifest | None,
    processes: int,
    told: Told | None,
    skip: frozenset[str] = frozenset(),
) -> DerivedPictures:
    """Make every derived picture that the pages want; one that the last build made from the same bytes is kept.

    The pages of the parts to `skip` hold as they are.
    """
    by_file: dict[str, tuple[Derived, ...]] = {}
    pictures: list[tuple[str, Job]] = []
    movies: list[tuple[str, Job]] = []
    there = sizes(assets)
    for file, wants in plan(site, skip=skip).items():
        facts = site.facts.get(file)
        if not isinstance(facts, PictureFacts):
            continue
        for job in jobs_for(folder / file, facts, wants, assets):
            kept = _kept(known, there, facts, job.wants)
            if kept is None:
                (movies if job.plays else pictures).append((file, job))
            else:
                by_file[file] = by_file.get(file, ()) + kept
    unreadable, unplayable = (
        _made(jobs, by_file, processes=processes, told=told, what=what)
        for jobs, what in ((pictures, "pictures made ready"), (movies, "movies made ready"))
    )
    return DerivedPictures(by_file, unreadable, site.facts, unplayable)


def _made(
    jobs: Sequence[tuple[str, Job]],
    by_file: dict[str, tuple[Derived, ...]],
    *,
    processes: int,
    told: Told | None,
    what: str,
) -> dict[str, PictureUnreadable]:
    """Do the jobs, each by the file it is for, and take in what came of them; the files of which nothing did."""
    progress = (lambda done: told(what, done, len(jobs))) if told else None
    bad: dict[str, PictureUnreadable] = {}
    made = derive_many([job for _, job in jobs], processes=processes, progress=progress)
    for (file, _), found in zip(jobs, made, strict=True):
        if isinstance(found, PictureUnreadable):
            bad[file] = found
        else:
            by_file[file] = by_file.get(file, ()) + found
    return bad


def pages(
    site: SiteInput, derived: DerivedPictures, reuse: Reuse | None = None, aside: Path | None = None
) -> Iterator[Page]:
    """Static files first, then the pages that don't hold any more, the front page last; long ones set aside."""
    yield from static()
    yield from render(site, derived.by_file, derived.unreadable, derived.unplayable, reuse=reuse, aside=aside)


def _kept(
    known: Manifest | None, there: Mapping[str, int], facts: PictureFacts, wants: Sequence[Want]
) -> tuple[Derived, ...] | None:
    """The files of the last build, if it made all that is wanted and they are still there."""
    if known is None:
        return None
    found: list[Derived] = []
    for want in wants:
        data = known.derived.get(want_key(facts, want))
        if data is None:
            return None
        derived = _DERIVED.validate_python(data)
        if there.get(derived.name) != derived.bytes:
            return None
        found.append(derived)
    return tuple(found)
