"""Gathers what every command needs: the catalogue, what its pictures say of themselves, the assessments."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

from portal.catalog import Reading, read
from portal.model.catalogue import Catalogue
from portal.model.checks import check_files
from portal.model.mould import Mould
from portal.model.picture import Facts, Movie, Picture, PictureFacts, PictureUnreadable, WrittenScale
from portal.model.result import TrialResult
from portal.model.scalars import Frame
from portal.model.tag import MovieWish
from portal.problem import Places, PortalError
from portal.tasks.inputs import NO_STAMP, Stamp, stamps
from portal.tasks.judging import Memory, assess_all
from portal.tasks.keptfiles import kept_files
from portal.tasks.manifest import Manifest
from portal.tasks.store import store_for

Told = Callable[[str, int, int], None]
"""Told how far long work is: what, how many done, of how many."""


@dataclass(frozen=True)
class Surveyed:
    """All that is known before anything is measured."""

    folder: Path
    reading: Reading
    catalogue: Catalogue
    facts: Mapping[str, Facts]
    stamps: Mapping[str, Stamp]


@dataclass(frozen=True)
class Gathered(Surveyed):
    """All that is known before anything is written."""

    results: tuple[TrialResult, ...]


def gather(
    folder: Path,
    *,
    known: Manifest | None = None,
    processes: int = 1,
    told: Told | None = None,
    memory: Memory | None = None,
    found: Mapping[str, Stamp] | None = None,
) -> Gathered:
    """Read a catalogue folder, look at its pictures (those that surely haven't changed are remembered), assess.

    `found` are the stamps of its files, where somebody just looked at them.
    """
    surveyed = survey(folder, known=known, processes=processes, told=told, found=found)
    remembered = memory or Memory(store_for(folder, "judged"))
    remembered.written = surveyed.reading.digests
    results = assess_all(surveyed.catalogue, surveyed.facts, memory=remembered, processes=processes)
    remembered.store.close()
    return Gathered(**vars(surveyed), results=results)


def survey(
    folder: Path,
    *,
    known: Manifest | None = None,
    processes: int = 1,
    told: Told | None = None,
    ranges: bool = True,
    found: Mapping[str, Stamp] | None = None,
) -> Surveyed:
    """Read a catalogue folder and look at its pictures; by which `ranges` deep ones are shown where that matters."""
    found = stamps(folder) if found is None else found
    if "catalog.yaml" not in found:
        raise PortalError(
            f"{folder} is not a catalogue: there is no catalog.yaml in it",
            hint="name the catalogue's folder, or make one with `portal new DIR`",
            code=2,
        )
    with kept_files(folder) as kept:
        reading = read(folder, memory=kept)
    if reading.catalogue is None:
        raise Unreadable(reading)
    wanted = (*picture_files(reading.catalogue), *check_files(reading.catalogue))
    there = (file for file in wanted if (folder / file).is_file())
    looked = facts_of(folder, there, known=known, stamps=found, processes=processes, told=told, ranges=ranges)
    facts = {**looked, **as_tagged(reading.catalogue, looked)}
    return Surveyed(
        folder=folder,
        reading=reading,
        catalogue=reading.catalogue,
        facts=facts,
        stamps=found,
    )


def held(folder: Path, catalogue: Catalogue, facts: Mapping[str, Facts]) -> Surveyed:
    """The same of a catalogue that a running program holds: no file is read but those whose facts it doesn't know."""
    files = dict.fromkeys((*picture_files(catalogue), *check_files(catalogue)))
    own = {file: fact for file in files if (fact := facts.get(file)) is not None}
    own |= as_tagged(catalogue, own)
    return Surveyed(folder, Reading(catalogue, (), Places(), {}), catalogue, own, stamps={})


class Unreadable(PortalError):
    """`catalog.yaml` can't be read, so that nothing can be said of the rest."""

    def __init__(self, reading: Reading) -> None:
        super().__init__("catalog.yaml can't be read", code=1, problems=reading.problems)
        self.reading = reading


def picture_files(catalogue: Catalogue) -> tuple[str, ...]:
    """Every picture that a catalogue shows: of trials, of limit samples, of views."""
    of_trials = [picture.file for _, trial in catalogue.trials() for picture in trial.pictures]
    of_samples = [
        f"{sample.folder}/{picture.file}" for sample in catalogue.limit_samples.values() for picture in sample.pictures
    ]
    of_views = [
        f"parts/{part.id}/{view.reference}"
        for part in catalogue.parts.values()
        for view in part.views.values()
        if view.reference
    ]
    return tuple(dict.fromkeys([*of_trials, *of_samples, *of_views]))


def facts_of(
    folder: Path,
    wanted: Iterable[str],
    *,
    known: Manifest | None,
    stamps: Mapping[str, Stamp],
    processes: int,
    told: Told | None,
    ranges: bool = True,
) -> dict[str, Facts]:
    """What these files say of themselves; those that surely haven't changed since the last build are remembered."""
    wanted = tuple(wanted)
    facts = {
        file: facts_from_data(data)
        for file in wanted
        if known and (data := known.noted(file, stamps.get(file, NO_STAMP))) is not None
    }
    missing = [file for file in wanted if file not in facts]
    if not missing:
        return facts
    from portal.pictures.many import facts_many  # what reads each kind of picture

    looked = facts_many((folder / file for file in missing), threads=2 * processes, ranges=ranges)
    for number, (file, fact) in enumerate(zip(missing, looked, strict=True), start=1):
        facts[file] = fact
        if told:
            told("pictures looked at", number, len(missing))
    return facts


def as_tagged(catalogue: Catalogue, facts: Mapping[str, Facts]) -> dict[str, Facts]:
    """The facts to which tags add something.

    These are pictures of which a part is blacked out, movies of which it is said how they are shown, and deep
    pictures of a view, which are all shown by the same range.
    """
    found: dict[str, Facts] = {}
    deep = defaultdict[View, dict[str, PictureFacts]](dict)
    for mould, trial in catalogue.trials():
        for picture in trial.pictures:
            own, tag = facts.get(picture.file), picture.tag
            if not tag or not isinstance(own, PictureFacts):
                continue
            if tag.masks or tag.movie:
                masks = tuple(mask.xy for mask in tag.masks)
                own = replace(own, masks=masks, movie=_shown_as(own.movie, tag.movie))
                found[picture.file] = own
            view = _view_of(catalogue, mould, picture)
            if view and own.bits:
                deep[view][picture.file] = own
    for of_view in deep.values():
        most = max(own.bits or 0 for own in of_view.values())
        if len(of_view) > 1:
            found |= {file: replace(own, shown_bits=most) for file, own in of_view.items()}
    return found


def shown_beside(catalogue: Catalogue, facts: Mapping[str, Facts]) -> tuple[str, ...]:
    """All pictures of the views of which a deep one is known: by the brightest of them that one is shown."""
    views = defaultdict[View, list[str]](list)
    for mould, trial in catalogue.trials():
        for picture in trial.pictures:
            if view := _view_of(catalogue, mould, picture):
                views[view].append(picture.file)
    return tuple(file for files in views.values() if any(_is_deep(facts.get(each)) for each in files) for file in files)


View = tuple[str | None, str]
"""A part, where it is known, and one of its views."""


def _view_of(catalogue: Catalogue, mould: Mould, picture: Picture) -> View | None:
    tag = picture.tag
    return (catalogue.part_of(mould, tag.cavity), tag.view) if tag and tag.view else None


def _is_deep(facts: Facts | None) -> bool:
    return isinstance(facts, PictureFacts) and (facts.is_unranged or facts.bits is not None)


def _shown_as(movie: Movie | None, wish: MovieWish | None) -> Movie | None:
    if movie is None or wish is None:
        return movie
    poster = wish.poster.value if wish.poster else None
    return replace(movie, poster_at=poster, keeps_sound=movie.has_sound and bool(wish.sound))


def facts_to_data(facts: Facts) -> dict[str, Any]:
    """Plain data for the manifest, which lies beside pages that go out: not which camera it was."""
    return {name: value for name, value in _plain(facts).items() if name not in ("camera", "is_unranged")}


def _plain(value: Any) -> Any:
    """Records as mappings; plain values, which nobody changes, aren't copied as `asdict` does it."""
    if isinstance(value, tuple):
        return tuple(map(_plain, value))
    if not is_dataclass(value):
        return value
    return {each.name: _plain(getattr(value, each.name)) for each in fields(value)}


def facts_from_data(data: Mapping[str, Any]) -> Facts:
    """What `facts_to_data` gave."""
    if "reason" in data:
        return PictureUnreadable(**data)
    frames = {name: Frame(**data[name]) if data[name] else None for name in ("stored", "declared")}
    movie = Movie(**{**data["movie"], "poster_at": None, "keeps_sound": False}) if data["movie"] else None
    written = tuple(WrittenScale(**each) for each in data["written"])
    return PictureFacts(**{**data, **frames, "masks": (), "movie": movie, "written": written, "shown_bits": None})
