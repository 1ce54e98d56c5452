"""Moulds with their trials: pictures, tags, and what was looked at."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from portal.catalog.folder import Entry, composed
from portal.catalog.kinds import homes, written
from portal.catalog.lines import Folded
from portal.catalog.record import Broken, read_record
from portal.catalog.shelf import Shelf, TrialFolder
from portal.model.base import Record
from portal.model.mould import Looked, Mould, Trial
from portal.model.picture import Picture
from portal.model.slug import natural
from portal.model.tag import Tag

R = TypeVar("R", bound=Record)

_BESIDE = (".txt", ".xml", ".xmp", ".csv", ".json", ".yaml", ".yml", ".ini", ".log", ".md", ".html", ".pdf")
"""Endings of what camera programs write beside a picture; anything else in `images/` is taken for a picture."""


class Reader(Protocol):
    """Reads a file of which there is one for each picture, or knows it; None for one that isn't there yet."""

    def __call__(self, record: type[R], file: str) -> R | Broken | None:
        """The file's record, or where it is broken."""


@dataclass(frozen=True, slots=True)
class Known(Generic[R]):
    """What a file came to in which nothing was wrong."""

    record: R
    lines: bytes
    """Where its fields stand, folded."""
    digest: str
    """The SHA-256 of its bytes."""


class Memory(Protocol):
    """Remembers what such files came to from one reading to another."""

    def of(self, record: type[R], file: str) -> Known[R] | None:
        """What a file came to, if it is surely the one that was read then; asked before it is read."""

    def note(self, file: str, known: Known[R]) -> None:
        """A file that was asked for and read."""


def read_moulds(shelf: Shelf, single: Reader | None = None, memory: Memory | None = None) -> None:
    """Every mould with all its trials; tags and what was looked at by `single`, where somebody knows them."""
    for home in homes(shelf, "moulds", "mould.yaml", "mould"):
        trials = _read_trials(shelf, home, single or _reader(shelf, memory))
        sound = sorted(trials.values(), key=lambda trial: (trial.date, natural(trial.id)))
        in_order = {trial.id: trial for trial in sound}
        mould = read_record(shelf, Mould, f"{home.path}/mould.yaml", id=home.name, trials=in_order)
        if isinstance(mould, Broken):
            shelf.broken["mould", home.name] = mould.where
        else:
            shelf.moulds[home.name] = mould


def _reader(shelf: Shelf, memory: Memory | None) -> Reader:
    """Reads the file, and notes what is wrong with it; one that is remembered isn't opened."""

    def read(record: type[R], file: str) -> R | Broken | None:
        known = memory.of(record, file) if memory else None
        if known is not None:
            shelf.places.lines[file] = Folded(known.lines)
            shelf.folder.digests[file] = known.digest
            return known.record
        made = read_record(shelf, record, file)
        lines = shelf.places.lines.get(file)
        if memory and not isinstance(made, Broken) and isinstance(lines, Folded):
            memory.note(file, Known(made, lines.bytes, shelf.folder.digests[file]))
        return made

    return read


def _read_trials(shelf: Shelf, mould: Entry, single: Reader) -> dict[str, Trial]:
    trials = {}
    for home in homes(shelf, f"{mould.path}/trials", "trial.yaml", "trial", within=f"{mould.name}/"):
        folder = _read_trial(shelf, mould, home, single)
        shelf.trials.append(folder)
        if folder.trial is not None:
            trials[home.name] = folder.trial
    return trials


def _read_trial(shelf: Shelf, mould: Entry, home: Entry, single: Reader) -> TrialFolder:
    found = _read_pictures(shelf, home.path, single)
    looked = _read_looked(shelf, home.path, single)
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


def _read_pictures(shelf: Shelf, home: str, single: Reader) -> _Pictures:
    tags: dict[str, Tag] = {}
    broken: dict[str, str] = {}
    for entry in written(shelf, f"{home}/tags", ".yaml"):
        name = composed(entry.name.removesuffix(".yaml"))
        tag = single(Tag, entry.path)
        if isinstance(tag, Broken):
            broken[name] = tag.where
        elif tag is not None:
            tags[name] = tag
    pictures = tuple(
        Picture(file=entry.path, tag=tags.get(composed(entry.name)), tag_broken=broken.get(composed(entry.name)))
        for entry in images(shelf, f"{home}/images")
    )
    return _Pictures(pictures, tuple(tags.values()), broken)


def images(shelf: Shelf, path: str) -> Iterator[Entry]:
    """What is taken for a picture in a folder of pictures."""
    for entry in shelf.folder.entries(path):
        if entry.is_folder:
            shelf.folder.refuse(entry.path, "not read: pictures lie in `images` itself", "move them up")
        elif not entry.name.lower().endswith(_BESIDE):
            yield entry


def _read_looked(shelf: Shelf, home: str, single: Reader) -> tuple[Looked, ...]:
    made = (single(Looked, entry.path) for entry in written(shelf, f"{home}/looked", ".yaml"))
    return tuple(looked for looked in made if isinstance(looked, Looked))
