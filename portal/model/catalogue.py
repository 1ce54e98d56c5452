"""Everything that a catalogue folder says, by id."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture
from portal.model.result import Calibrated
from portal.model.sample import LimitSample
from portal.model.scope import Calibration, Scope
from portal.model.shop import Customer, Shop
from portal.model.standard import Criterion, DefectClass, VisualStandard
from portal.model.tag import Finding, Shape


@dataclass(frozen=True)
class Catalogue:
    """All records by id; `broken` names what is there but can't be read, with its file and line.

    Keys of `broken` are a kind (`part`, `customer`, `defect`, `standard`, `scope`, `limit sample`, `mould`,
    `trial`) and an id (`small-clear/3` for a standard, `M-118/T2` for a trial).
    """

    shop: Shop
    defects: dict[str, DefectClass] = field(default_factory=dict)
    standards: dict[str, dict[str, VisualStandard]] = field(default_factory=dict)
    scopes: dict[str, Scope] = field(default_factory=dict)
    limit_samples: dict[str, LimitSample] = field(default_factory=dict)
    customers: dict[str, Customer] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    moulds: dict[str, Mould] = field(default_factory=dict)
    broken: dict[tuple[str, str], str] = field(default_factory=dict)

    def trials(self) -> Iterator[tuple[Mould, Trial]]:
        """Every trial with its mould."""
        for mould in self.moulds.values():
            for trial in mould.trials.values():
                yield mould, trial

    def trials_of(self, part: str) -> Iterator[tuple[Mould, Trial]]:
        """The trials whose mould makes that part, in the order of their dates."""
        found = [(mould, trial) for mould in self._moulds_by_part.get(part, ()) for trial in mould.trials.values()]
        yield from sorted(found, key=lambda pair: (pair[1].date, pair[0].id, pair[1].id))

    @cached_property
    def _moulds_by_part(self) -> dict[str, list[Mould]]:
        """The moulds that make each part: asked for every part, so worked out once."""
        found: dict[str, list[Mould]] = {}
        for mould in self.moulds.values():
            for part in {cavity.part for cavity in mould.cavities.values()}:
                found.setdefault(part, []).append(mould)
        return found

    def samples_for(self, part: str | None, criterion: Criterion) -> tuple[LimitSample, ...]:
        """Limit samples of that part that fit a criterion's class, zone class and condition, the newest first.

        One that was replaced is none of them.
        """
        found = [
            each
            for each in self.limit_samples.values()
            if (each.part, each.defect, each.condition) == (part, criterion.defect, criterion.condition)
            and each.zone_class == criterion.zone_class
            and each.replaced_by is None
        ]
        return tuple(sorted(found, key=lambda each: (each.agreed.customer.date, each.id), reverse=True))

    def findings(self) -> Iterator["Found"]:
        """Every finding with the picture under which it is written, in the order of files."""
        for mould, trial in self.trials():
            for picture in trial.pictures:
                for finding in picture.tag.findings if picture.tag else ():
                    yield Found(finding, picture, trial, mould)

    def part_of(self, mould: Mould, cavity: str | None) -> str | None:
        """The part that the cavity makes; where no cavity is named, the mould's only part, if it has just one."""
        if cavity is not None:
            return mould.cavities[cavity].part if cavity in mould.cavities else None
        parts = {each.part for each in mould.cavities.values()}
        return parts.pop() if len(parts) == 1 else None

    def term(self, defect: str, language: str) -> str:
        """A defect class's term, or its id where the class can't be read."""
        known = self.defects.get(defect)
        return known.term(language) if known else defect

    def calibration(self, by: Calibrated) -> Calibration:
        """The record of a calibration that gave a scale."""
        every = self.scopes[by.scope].settings[by.setting].calibrations
        return next(each for each in every if each.id == by.calibration)


@dataclass(frozen=True, slots=True)
class Found:
    """A finding where it is written."""

    finding: Finding
    picture: Picture
    trial: Trial
    mould: Mould

    def pictures(self) -> tuple[Picture, ...]:
        """All pictures of the trial on which the finding has shapes, its own first.

        An id is unique in a part, not in a family mould's trial: a picture of another part shows another finding.
        """
        also = self.trial.also_on.get(self.finding.id, ())
        return (self.picture, *(each for each in also if self.mould.may_share_part(self.picture, each)))

    def shapes_on(self, picture: Picture) -> tuple[Shape, ...]:
        """What was drawn of it on one of its pictures."""
        own = self.finding.shapes if picture.file == self.picture.file else ()
        also = (more.shapes for more in (picture.tag.also if picture.tag else ()) if more.finding == self.finding.id)
        return (*own, *(shape for shapes in also for shape in shapes))
