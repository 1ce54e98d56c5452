"""Pictures that may be of a stage micrometer: what nobody tagged, and what lies beside a scope's file, newest first."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from portal.bench.index import NotThere, key_of
from portal.bench.pixels import sizes_at
from portal.bench.refused import Refused
from portal.bench.state import Bench
from portal.catalog.folder import Folder
from portal.catalog.shelf import Shelf
from portal.catalog.trials import images
from portal.model.picture import PictureFacts
from portal.site.words import Speaker

OFFERED = 24
"""So many of the newest are offered; an older one is no check of today."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A picture that may be one."""

    file: str
    trial: tuple[str, str] | None
    """The mould and the trial in whose folder it lies; None beside a scope's file."""

    @property
    def key(self) -> str:
        """Its key."""
        return key_of(self.file)

    @property
    def scope(self) -> str:
        """The scope beside whose file it lies; empty in a trial."""
        return "" if self.trial else Path(self.file).parent.name


def candidates(bench: Bench) -> list[Candidate]:
    """The newest pictures that may be of a stage micrometer."""
    found = [(_changed(bench.folder / each.file), each) for each in (*_untagged(bench), *_loose(bench))]
    newest = sorted(found, key=lambda pair: (pair[0], pair[1].file), reverse=True)
    return [each for when, each in newest if when > 0][:OFFERED]


def candidate(bench: Bench, key: str) -> tuple[Candidate, PictureFacts]:
    """The picture of that key with what its file says of itself; NotThere where none is offered."""
    found = next((each for each in candidates(bench) if each.key == key), None)
    if found is None:
        raise NotThere("refused.no_graticule")
    own = bench.facts.get(found.file)
    if not isinstance(own, PictureFacts):
        raise Refused("refused.not_shown", picture=Path(found.file).name, why=getattr(own, "reason", ""))
    return found, own


def offered(bench: Bench, speaker: Speaker) -> list[dict[str, object]]:
    """The same as plain data for the page, those that can't be shown left out."""
    known = [(each, bench.facts.get(each.file)) for each in candidates(bench)]
    shown = [(each, own) for each, own in known if isinstance(own, PictureFacts)]
    in_trials = ((bench.folder / each.file, own) for each, own in shown if each.trial)
    divided = bench.likely.among(in_trials)
    return [
        _data(each, own, speaker) | {"scope": each.scope, "likely": each.trial is None or own.sha256 in divided}
        for each, own in shown
    ]


def moment(text: str, speaker: Speaker) -> str:
    """A time with its day written out; empty where it is none."""
    try:
        at = datetime.fromisoformat(text.replace(" ", "T"))
    except ValueError:
        return ""
    return f"{speaker.day(at.date())} {at:%H:%M}"


def _data(each: Candidate, own: PictureFacts, speaker: Speaker) -> dict[str, object]:
    width, height = own.upright.width, own.upright.height
    return {
        "key": each.key,
        "shown": own.sha256,
        "name": Path(each.file).name,
        "where": " ".join(each.trial) if each.trial else Path(each.file).parent.name,
        "moves": each.trial is not None,
        "taken": moment(own.taken or "", speaker),
        "width": width,
        "height": height,
        "ratio": 1.0,
        "um": None,
        "sizes": sizes_at(f"/graticule/{each.key}", own),
    }


def _untagged(bench: Bench) -> Iterator[Candidate]:
    for mould, trial in bench.catalogue.trials():
        for picture in trial.pictures:
            if picture.tag is None and picture.tag_broken is None:
                yield Candidate(picture.file, (mould.id, trial.id))


def _loose(bench: Bench) -> Iterator[Candidate]:
    """Beside a scope's file and named by nothing in it."""
    shelf = Shelf(Folder(bench.folder))
    for scope in bench.catalogue.scopes.values():
        named = {
            scope.path_of(name)
            for setting in scope.settings.values()
            for name in (
                *(each.picture for each in setting.checks),
                *(file for each in setting.calibrations for file in each.evidence),
            )
        }
        for entry in images(shelf, f"scopes/{scope.id}"):
            if entry.path not in named:
                yield Candidate(entry.path, None)


def _changed(path: Path) -> float:
    """When a file was last changed; 0 where it is gone."""
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0
