"""The catalogue while people work on it: read once, then kept true to the folder trial by trial."""

import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from threading import RLock

from portal.bench.arrival import Arrivals
from portal.bench.index import Index, Spot, spot_of, with_picture, with_pictures, with_trial
from portal.bench.likely import Likely
from portal.bench.looking import Looking
from portal.bench.sent import Logs
from portal.bench.single import Halves, Single
from portal.catalog import read
from portal.catalog.alone import Busy, tag_file
from portal.catalog.folder import Folder, composed
from portal.catalog.kinds import written as files_of
from portal.catalog.record import Broken
from portal.catalog.shelf import Shelf
from portal.catalog.trials import Reader, images
from portal.model.base import complete_checkers
from portal.model.catalogue import Catalogue
from portal.model.clock import zone_of
from portal.model.mould import Looked, Trial
from portal.model.picture import Picture
from portal.model.tag import Tag
from portal.problem import PortalError
from portal.site.words import Speaker, speaks
from portal.tasks.gather import Unreadable
from portal.tasks.inputs import Stamp, stamp_of
from portal.tasks.judging import Memory


class Away(Busy):
    """The folder of the catalogue isn't there, as of a share that isn't connected for a while."""


class Bench:
    """The catalogue, its index, and a number that grows with every change of it."""

    def __init__(self, folder: Path) -> None:
        complete_checkers()
        self.folder = folder
        self.lock = RLock()
        self.facts = Looking(folder)
        self.likely = Likely()
        self.logs = Logs(folder)
        self.doubted = Memory()
        """What was judged of trials that were measured with a setting which is in doubt."""
        self.reserved: set[str] = set()
        """Ids that this bench gave out."""
        self._version = 0
        self._heard: list[Callable[[], None]] = []
        self._seen: dict[tuple[str, str], Arrivals] = {}
        self._halves = Halves()
        self._single = Single(folder, self._halves)
        self._asked: dict[tuple[str, str], float] = {}
        self._records = _record_stamps(folder)
        catalogue = self._read()
        self.index = Index.of(catalogue)

    @property
    def version(self) -> int:
        """The number of the catalogue's state."""
        return self._version

    @version.setter
    def version(self, number: int) -> None:
        self._now(number)

    def _now(self, number: int) -> None:
        self._version = number
        for each in tuple(self._heard):
            each()

    @contextmanager
    def hearing(self, told: Callable[[], None]) -> Iterator[None]:
        """While the block runs, that one is told of every new state, in the thread that made it."""
        self._heard.append(told)
        try:
            yield
        finally:
            self._heard.remove(told)

    @property
    def catalogue(self) -> Catalogue:
        """The catalogue as it is now."""
        return self.index.catalogue

    def speaker(self, language: str | None = None) -> Speaker:
        """Says things in the shop's first language, or in another one that the pages speak."""
        known = [each for each in (language, *self.catalogue.shop.languages, "en") if each and speaks(each)]
        chosen = known[0]
        return Speaker(chosen, "mm", lambda defect: self.term(defect, chosen))

    def today(self) -> date:
        """The shop's day."""
        return datetime.now(zone_of(self.catalogue.shop.time_zone)).date()

    def term(self, defect: str, language: str) -> str:
        """A defect class's term."""
        return self.catalogue.term(defect, language)

    def ask_about(self, mould: str, trial: str) -> None:
        """Note that somebody works at a trial."""
        self._asked[mould, trial] = time.monotonic()

    def is_asked_about(self, mould: str, trial: str) -> bool:
        """Whether somebody worked at that trial before, so that it is kept true."""
        return (mould, trial) in self._asked

    def asked_about(self, *, within_s: float) -> tuple[tuple[str, str], ...]:
        """The trials at which somebody worked of late, as moulds and trials."""
        since = time.monotonic() - within_s
        return tuple(each for each, at in tuple(self._asked.items()) if at >= since)

    def is_waiting(self) -> bool:
        """Whether some picture is still being written."""
        return self.waiting() > 0

    def waiting(self) -> int:
        """How many files are still being written: pictures that came, and others that give no record by now."""
        return sum(len(each.coming) for each in tuple(self._seen.values())) + self._halves.waiting()

    def calm_at(self) -> list[float]:
        """When, by the monotonic clock, each picture that comes may be whole; only they are looked at."""
        with self.lock:
            return [each for seen in self._seen.values() for each in seen.calm_at(self.folder)]

    def refresh(self, mould: str, trial: str, *, whole: bool = True) -> bool:
        """Look into a trial's folder again; whether anything is another than before. A trial that is gone stays.

        Not as a whole: what came and went is seen, not what was written into a file that is known.
        """
        with self.lock:
            if mould not in self.catalogue.moulds or trial not in self.catalogue.moulds[mould].trials:
                return False
            known = self.catalogue.moulds[mould].trials[trial]
            home = f"moulds/{mould}/trials/{trial}"
            if not (self.folder / home).is_dir():
                return False
            seen = self._seen.get((mould, trial)) or Arrivals({each.file for each in known.pictures})
            self._seen[mould, trial] = seen
            pictures = self._pictures(home, seen, {each.file: each for each in known.pictures}, whole=whole)
            looked = self._looked(home) if whole else known.looked
            if pictures == known.pictures and looked == known.looked:
                return False
            self._put(with_pictures(known.model_copy(update={"looked": looked}), pictures))
            return True

    def reread(self) -> bool:
        """Read the catalogue again where a record other than a tag was changed, came or went; whether one did.

        While a changed file gives no record, what it said before holds until it was left alone; while `catalog.yaml`
        can't be read, for as long. Of tags only those that were changed are read.
        """
        stamps = _record_stamps(self.folder)
        if stamps == self._records:
            return False
        with self.lock:
            try:
                catalogue = self._read()
            except PortalError:
                catalogue = None
            others = {each for each in {*stamps, *self._records} if stamps.get(each) != self._records.get(each)}
            if (catalogue is None or self._lacks(catalogue)) and self._may_be_half(others, stamps):
                return False
            self._records = stamps
            for each in others:
                self._halves.done(each)
            if catalogue is None:
                return False
            self.index = Index.of(self._as_come(catalogue))
            self.version += 1
            return True

    def _lacks(self, catalogue: Catalogue) -> bool:
        """Whether something that could be read can't be, or isn't there any more."""
        return bool(
            catalogue.broken.keys() - self.catalogue.broken.keys() or _names(self.catalogue) - _names(catalogue)
        )

    def _may_be_half(self, files: Iterable[str], stamps: Mapping[str, Stamp | None]) -> bool:
        """Whether somebody may still be writing one of the files; all are noted."""
        found = [self._halves.may_be(each, stamps.get(each)) for each in files]
        return any(found)

    def _read(self) -> Catalogue:
        return _read(self.folder, self._single.read)

    def _as_come(self, catalogue: Catalogue) -> Catalogue:
        """The catalogue without pictures that weren't seen whole yet; a look into their folder brings those."""
        for (mould, trial), seen in self._seen.items():
            known = catalogue.moulds[mould].trials.get(trial) if mould in catalogue.moulds else None
            come = tuple(each for each in known.pictures if each.file in seen.known) if known else ()
            if known and come != known.pictures:
                catalogue = with_trial(catalogue, with_pictures(known, come))
        return catalogue

    def draw_anew(self) -> None:
        """Let the pages ask again, though no record was changed."""
        with self.lock:
            self.version += 1

    def reached(self) -> None:
        """Raise Away while the folder of the catalogue isn't there: nothing in it is gone then."""
        if not (self.folder / "catalog.yaml").is_file():
            raise Away("the folder of the catalogue can't be reached", hint="is the share connected?")

    def fresh(self, key: str) -> Spot:
        """The picture of that key with its tag as it stands on disk now.

        NotThere where there is none, Away while the folder of the catalogue isn't there.
        """
        self.reached()
        spot = self.index.spot(key)
        file = tag_file(spot.picture.file)
        stamp = stamp_of(self.folder / file)
        if stamp is None or self._single.is_known(file, stamp):
            return spot
        return self.put(spot)

    def put(self, spot: Spot) -> Spot:
        """Take over a picture as it is now written."""
        with self.lock:
            file = tag_file(spot.picture.file)
            tag = self._single.read(Tag, file)
            broken = tag.where if isinstance(tag, Broken) else None
            picture = Picture(file=spot.picture.file, tag=tag if isinstance(tag, Tag) else None, tag_broken=broken)
            trial = with_picture(self.catalogue.moulds[spot.mould.id].trials[spot.trial.id], picture)
            self.index = self.index.now(with_trial(self.catalogue, trial))
            self.version += 1
            return spot_of(self.catalogue, self.catalogue.moulds[spot.mould.id], trial, picture)

    def _put(self, trial: Trial) -> None:
        self.index = Index.of(with_trial(self.catalogue, trial))
        self.version += 1

    def _pictures(self, home: str, seen: Arrivals, known: Mapping[str, Picture], *, whole: bool) -> tuple[Picture, ...]:
        shelf = Shelf(Folder(self.folder))
        tags = files_of(shelf, f"{home}/tags", ".yaml")
        entries = {composed(each.name.removesuffix(".yaml")): each.path for each in tags}
        made = []
        there = tuple(images(shelf, f"{home}/images"))
        come = seen.whole(self.folder, [each.path for each in there])
        for entry in there:
            if entry.path not in come:
                continue
            file = entries.get(composed(entry.name))
            tag = self._single.read(Tag, file, whole=whole) if file else None
            old = known.get(entry.path)
            same = old is not None and old.tag == (tag if isinstance(tag, Tag) else None)
            if old is not None and same and old.tag_broken == (tag.where if isinstance(tag, Broken) else None):
                made.append(old)
            elif isinstance(tag, Broken):
                made.append(Picture(file=entry.path, tag_broken=tag.where))
            else:
                made.append(Picture(file=entry.path, tag=tag))
        return tuple(made)

    def _looked(self, home: str) -> tuple[Looked, ...]:
        shelf = Shelf(Folder(self.folder))
        made = [self._single.read(Looked, each.path) for each in files_of(shelf, f"{home}/looked", ".yaml")]
        return tuple(each for each in made if isinstance(each, Looked))

    def may_be_half(self, file: str) -> bool:
        """Whether a file that gives no record may only be half-written."""
        stamp = stamp_of(self.folder / file)
        if stamp is not None and self._single.is_known(file, stamp):
            return False
        return self._halves.may_be(file, stamp)

    def tag_path(self, picture: Picture) -> Path:
        """Where the tag of a picture lies, or will lie."""
        return self.folder / tag_file(picture.file)


def _read(folder: Path, single: Reader) -> Catalogue:
    """A catalogue's folder, its tags one by one; refused where it is none."""
    if not (folder / "catalog.yaml").is_file():
        raise PortalError(
            f"{folder} is not a catalogue: there is no catalog.yaml in it",
            hint="name the catalogue's folder, or make one with `portal new DIR`",
            code=2,
        )
    reading = read(folder, single=single)
    if reading.catalogue is None:
        raise Unreadable(reading)
    return reading.catalogue


def _names(catalogue: Catalogue) -> set[tuple[str, ...]]:
    """What a catalogue has a file for."""
    trials = {("trial", mould.id, trial.id) for mould, trial in catalogue.trials()}
    revisions = {("standard", name, each) for name, many in catalogue.standards.items() for each in many}
    named = ("defects", "scopes", "limit_samples", "customers", "parts", "moulds")
    return trials | revisions | {(kind, id_) for kind in named for id_ in getattr(catalogue, kind)}


_SMALL = ("defects", "standards", "scopes", "limit-samples", "customers")
_ONE_EACH = ("parts/*/part.yaml", "moulds/*/mould.yaml", "moulds/*/trials/*/trial.yaml")


def _record_stamps(folder: Path) -> dict[str, Stamp | None]:
    """The stamps of every file but those of which there is one for each picture."""
    files = [folder / "catalog.yaml"]
    files += [each for name in _SMALL for each in (folder / name).rglob("*") if each.is_file()]
    files += [each for pattern in _ONE_EACH for each in folder.glob(pattern)]
    return {str(each): stamp_of(each) for each in files}
