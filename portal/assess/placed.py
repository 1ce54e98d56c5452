"""A part in a trial before anything is measured: which findings are its own, what was looked at, what is missing."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from portal.assess.facts import FactsByFile, facts_of
from portal.judge import coverage, rollup
from portal.model.catalogue import Catalogue, Found
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Facts, Picture, PictureFacts, PictureUnreadable
from portal.model.result import SheetFrame


@dataclass(frozen=True, slots=True)
class Placed:
    """A part in a trial of a mould that makes it."""

    part: Part
    mould: Mould
    trial: Trial
    found: tuple[Found, ...]
    """The part's own findings, in the order of files."""
    sheet: tuple[SheetFrame, ...]
    gaps: rollup.Gaps

    @property
    def written(self) -> frozenset[tuple[str, str]]:
        """Picture and id of each of its findings."""
        return frozenset((each.picture.file, each.finding.id) for each in self.found)


def every_placed(catalogue: Catalogue, facts: Mapping[str, Facts]) -> Iterator[Placed]:
    """Every part in every trial, from old to new."""
    for part in catalogue.parts.values():
        for mould, trial in catalogue.trials_of(part.id):
            yield placed(part, mould, trial, facts, catalogue)


def placed(part: Part, mould: Mould, trial: Trial, facts: FactsByFile, catalogue: Catalogue) -> Placed:
    """A part in one trial."""
    own, unplaced = [], 0
    for found in _findings(mould, trial):
        where = catalogue.part_of(mould, cavity_of(found))
        unplaced += where is None
        if where == part.id:
            own.append(found)
    pictures = tuple(each for each in trial.pictures if _may_show(each, part, mould, catalogue))
    unreadable = {each.file for each in pictures if isinstance(facts_of(each.file, facts), PictureUnreadable)}
    replaced = {each.file for each in pictures if _is_replaced(each, facts)}
    movies = {each.file for each in pictures if _is_movie(each, facts)}
    sheet = coverage.sheet(part, mould, trial, left_out=unreadable | replaced, movies=movies)
    gaps = rollup.Gaps(
        frames=sum(1 for frame in sheet if frame.missing),
        broken_tags=sum(1 for each in trial.pictures if each.tag_broken is not None),
        unreadable=len(unreadable),
        replaced=len(replaced),
        unplaced=unplaced,
        nothing_required=not sheet,
    )
    return Placed(part, mould, trial, tuple(own), sheet, gaps)


def cavity_of(found: Found) -> str | None:
    """The cavity that the finding's picture shows."""
    return found.picture.tag.cavity if found.picture.tag else None


def _findings(mould: Mould, trial: Trial) -> Iterator[Found]:
    for picture in trial.pictures:
        for finding in picture.tag.findings if picture.tag else ():
            yield Found(finding, picture, trial, mould)


def _may_show(picture: Picture, part: Part, mould: Mould, catalogue: Catalogue) -> bool:
    """Whether the picture is of the part, or of nobody knows what."""
    cavity = picture.tag.cavity if picture.tag else None
    return catalogue.part_of(mould, cavity) in (part.id, None)


def _is_movie(picture: Picture, facts: FactsByFile) -> bool:
    own = facts_of(picture.file, facts)
    return isinstance(own, PictureFacts) and own.movie is not None


def _is_replaced(picture: Picture, facts: FactsByFile) -> bool:
    own = facts_of(picture.file, facts)
    return picture.tag is not None and isinstance(own, PictureFacts) and own.sha256 != picture.tag.picture.sha256
