"""Desks on which only some parts lie, or only some pictures: what is drawn on them can't depend on anything else."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

from portal.model.catalogue import Catalogue
from portal.model.mould import Mould, Trial
from portal.model.narrow import made_by, only_parts, only_pictures, parts_of
from portal.model.picture import Picture
from portal.model.result import RollUp, TrialResult
from portal.model.say import Say
from portal.model.terms import VerdictWord
from portal.site.desk import Desk
from portal.site.zonemap import reference_file

T = TypeVar("T")
_NOT_ROLLED_UP = RollUp(VerdictWord.NOT_JUDGED, Say("review.whole"))
"""Of a few pictures no trial's verdict is known."""
_HOMES = ("moulds/", "parts/")


class Homes(Mapping[str, T]):
    """What is known of files by the mould or the part in whose folder they lie; all others are shared."""

    def __init__(self, known: Mapping[str, T]) -> None:
        self._known = known
        self._by_home: dict[str, dict[str, T]] = {"": {}}
        for file, each in known.items():
            self._by_home.setdefault(home_of(file), {})[file] = each

    def within(self, homes: Iterable[str]) -> dict[str, T]:
        """Of files in these folders, and of those that are shared."""
        found = dict(self._by_home[""])
        for home in homes:
            found.update(self._by_home.get(home, {}))
        return found

    def of(self, files: Iterable[str]) -> dict[str, T]:
        """Of these files, and of those that are shared."""
        return {**self._by_home[""], **{file: self._known[file] for file in files if file in self._known}}

    def __getitem__(self, file: str) -> T:
        return self._known[file]

    def __iter__(self) -> Iterator[str]:
        return iter(self._known)

    def __len__(self) -> int:
        return len(self._known)


def home_of(file: str) -> str:
    """The folder of the mould or the part in which a file lies; empty where it lies in none."""
    return "/".join(file.split("/", 2)[:2]) if file.startswith(_HOMES) else ""


def homes_of(catalogue: Catalogue, parts: frozenset[str]) -> tuple[str, ...]:
    """The folders of parts and of the moulds that make them."""
    moulds = (f"moulds/{each}" for each in only_parts(catalogue, parts).moulds)
    return (*moulds, *(f"parts/{each}" for each in parts))


class Apart:
    """Makes such desks out of a whole one."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        site = desk.site
        self._facts, self._scales = Homes(site.facts), Homes(site.scales)
        self._derived = Homes(desk.derived)
        self._unreadable, self._unplayable = Homes(desk.unreadable), Homes(desk.unplayable)
        self._results: dict[str, list[TrialResult]] = {}
        for each in site.results:
            self._results.setdefault(each.part.id, []).append(each)

    def of_parts(self, parts: frozenset[str]) -> Desk:
        """Parts with the moulds that make them, their logs and their sent reviews."""
        site = self._desk.site
        catalogue = only_parts(site.catalogue, parts)
        homes = homes_of(site.catalogue, parts)
        smaller = replace(
            site,
            catalogue=catalogue,
            results=tuple(each for part in catalogue.parts for each in self._results.get(part, ())),
            facts=self._facts.within(homes),
            scales=self._scales.within(homes),
            problems=(),
            logs=_of(site.logs, parts),
            stored=_of(site.stored, parts),
            closed=_of(site.closed, parts),
            bases={name: each for name, each in site.bases.items() if name[0] in parts},
        )
        return replace(
            self._desk,
            site=smaller,
            derived=self._derived.within(homes),
            unreadable=self._unreadable.within(homes),
            unplayable=self._unplayable.within(homes),
        )

    def of_strays(self) -> Desk:
        """Moulds that make no part of the catalogue; logs and sent reviews of parts that aren't in it."""
        catalogue = self._desk.site.catalogue
        strays = frozenset({*self._desk.site.logs, *self._desk.site.stored}) - catalogue.parts.keys()
        moulds = {id_: each for id_, each in catalogue.moulds.items() if parts_of(each).isdisjoint(catalogue.parts)}
        desk = self.of_parts(strays)
        whole = replace(desk.site, catalogue=replace(desk.site.catalogue, moulds=moulds))
        files = [each.file for mould in moulds.values() for trial in mould.trials.values() for each in trial.pictures]
        return replace(
            desk,
            site=replace(whole, facts={**whole.facts, **self._facts.of(files)}),
            derived={**desk.derived, **self._derived.of(files)},
            unreadable={**desk.unreadable, **self._unreadable.of(files)},
            unplayable={**desk.unplayable, **self._unplayable.of(files)},
        )

    def of_pictures(self, mould: Mould, trial: Trial, pictures: tuple[Picture, ...]) -> Desk:
        """Pictures that hang together, with the parts that their mould makes; no logs, nothing rolled up."""
        site = self._desk.site
        catalogue = only_pictures(site.catalogue, mould, trial, pictures)
        views = [reference_file(part, view) for part in catalogue.parts.values() for view in part.views]
        files = [*(each.file for each in pictures), *(each for each in views if each)]
        smaller = replace(
            site,
            catalogue=catalogue,
            results=tuple(self._few(mould, trial, {each.file for each in pictures})),
            facts=self._facts.of(files),
            scales=self._scales.of(files),
            problems=(),
            logs={},
            stored={},
            closed={},
            bases={},
        )
        return replace(
            self._desk,
            site=smaller,
            derived=self._derived.of(files),
            unreadable=self._unreadable.of(files),
            unplayable=self._unplayable.of(files),
        )

    def _few(self, mould: Mould, trial: Trial, files: set[str]) -> Iterator[TrialResult]:
        for part in made_by(mould, self._desk.site.catalogue):
            for each in self._results.get(part, ()):
                if (each.mould, each.trial) == (mould.id, trial.id):
                    few = tuple(one for one in each.assessments if one.picture in files)
                    yield replace(each, sheet=(), cavities={}, whole=_NOT_ROLLED_UP, asks=(), assessments=few)


def _of(known: Mapping[str, T], parts: frozenset[str]) -> dict[str, T]:
    return {part: each for part, each in known.items() if part in parts}
