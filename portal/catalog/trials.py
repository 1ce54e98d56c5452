"""Moulds with their trials: pictures, tags, and what was looked at."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.catalog.folder import Entry, composed
from portal.catalog.kinds import homes, written
from portal.catalog.record import Broken, read_record
from portal.catalog.renamed import note_orphans
from portal.catalog.shelf import Shelf, TrialFolder
from portal.model.mould import Looked, Mould, Trial
from portal.model.picture import Picture
from portal.model.slug import natural
from portal.model.tag import Tag

_BESIDE = (".txt", ".xml", ".xmp", ".csv", ".json", ".yaml", ".yml", ".ini", ".log", ".md", ".html", ".pdf")
"""Endings of what camera programs write beside a picture; anything else in `images/` is taken for a picture."""


def read_moulds(shelf: Shelf) -> None:
    """Every mould with all its trials."""
    for home in homes(shelf, "moulds", "mould.yaml", "mould"):
        trials = _read_trials(shelf, home)
        sound = sorted(trials.values(), key=lambda trial: (trial.date, natural(trial.id)))
        in_order = {trial.id: trial for trial in sound}
        mould = read_record(shelf, Mould, f"{home.path}/mould.yaml", id=home.name, trials=in_order)
        if isinstance(mould, Broken):
            shelf.broken["mould", home.name] = mould.where
        else:
            shelf.moulds[home.name] = mould


def _read_trials(shelf: Shelf, mould: Entry) -> dict[str, Trial]:
    trials = {}
    for home in homes(shelf, f"{mould.path}/trials", "trial.yaml", "trial", within=f"{mould.name}/"):
        folder = _read_trial(shelf, mould, home)
        shelf.trials.append(folder)
        if folder.trial is not None:
            trials[home.name] = folder.trial
    return trials


def _read_trial(shelf: Shelf, mould: Entry, home: Entry) -> TrialFolder:
    found = _read_pictures(shelf, home.path)
    looked = _read_looked(shelf, home.path)
    file = f"{home.path}/trial.yaml"
    given = {"id": home.name, "mould": mould.name, "pictures": found.pictures, "looked": looked}
    trial = read_record(shelf, Trial, file, **given)
    if isinstance(trial, Broken):
        shelf.broken["trial", f"{mould.name}/{home.name}"] = trial.where
    sound = None if isinstance(trial, Broken) else trial
    return TrialFolder(mould.name, home.name, sound, found.pictures, looked, found.tags, bool(found.broken))


@dataclass(frozen=True, slots=True)
class _Pictures:
    pictures: tuple[Picture, ...]
    tags: tuple[Tag, ...]
    broken: dict[str, str]


def _read_pictures(shelf: Shelf, home: str) -> _Pictures:
    tags: dict[str, Tag] = {}
    broken: dict[str, str] = {}
    for entry in written(shelf, f"{home}/tags", ".yaml"):
        name = composed(entry.name.removesuffix(".yaml"))
        tag = read_record(shelf, Tag, entry.path)
        if isinstance(tag, Broken):
            broken[name] = tag.where
        else:
            tags[name] = tag
    pictures = tuple(
        Picture(file=entry.path, tag=tags.get(composed(entry.name)), tag_broken=broken.get(composed(entry.name)))
        for entry in images(shelf, f"{home}/images")
    )
    note_orphans(shelf, pictures, tags)
    return _Pictures(pictures, tuple(tags.values()), broken)


def images(shelf: Shelf, path: str) -> Iterator[Entry]:
    """What is taken for a picture in a folder of pictures."""
    for entry in shelf.folder.entries(path):
        if entry.is_folder:
            shelf.folder.refuse(entry.path, "not read: pictures lie in `images` itself", "move them up")
        elif not entry.name.lower().endswith(_BESIDE):
            yield entry


def _read_looked(shelf: Shelf, home: str) -> tuple[Looked, ...]:
    made = (read_record(shelf, Looked, entry.path) for entry in written(shelf, f"{home}/looked", ".yaml"))
    return tuple(looked for looked in made if isinstance(looked, Looked))
