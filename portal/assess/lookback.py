"""What was measured since a setting was last known to be right, once a check or a new calibration disagrees."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from portal.assess.graticule import Compared, comparisons
from portal.assess.scales import taken_on
from portal.measure.guards import same_scale
from portal.model.catalogue import Catalogue
from portal.model.picture import Facts, PictureUnreadable
from portal.model.result import Assessment, Calibrated, Scale
from portal.model.scope import Calibration, LookedAgain, LookedBack, Scope, Setting


@dataclass(frozen=True, slots=True)
class Doubt:
    """A check or a calibration that disagrees with what was measured by until then."""

    scope: Scope
    setting: str
    field: tuple[str, str]
    """`checks` or `calibrations` and the number of the one that disagrees."""
    calibration: str
    """With which it disagrees."""
    since: date
    """When the setting was last known to be right: the last good check's day, else that of its calibration."""
    until: date
    looked_back: LookedBack | None
    """Who went through what was measured in between."""
    looked_again: tuple[LookedAgain, ...]
    """Each finding of these that somebody looked at again."""

    def again(self, part: str, finding: str) -> LookedAgain | None:
        """What was last said of a finding."""
        said = (each for each in reversed(self.looked_again) if (each.part, each.finding) == (part, finding))
        return next(said, None)


def doubts(catalogue: Catalogue, facts: Mapping[str, Facts]) -> Iterator[Doubt]:
    """Every disagreement of every setting."""
    for scope in catalogue.scopes.values():
        for name, setting in scope.settings.items():
            checks = comparisons(scope, name, facts, catalogue)
            yield from _of_checks(scope, name, checks)
            yield from _of_calibrations(scope, name, setting, checks)


def measured_since(
    doubt: Doubt, assessments: Iterable[Assessment], catalogue: Catalogue, facts: Mapping[str, Facts]
) -> Iterator[Assessment]:
    """The findings that were measured by the setting from its last good day to the day of the disagreement."""
    days = {
        picture.file: taken_on(picture, facts.get(picture.file, PictureUnreadable("")), trial)
        for _, trial in catalogue.trials()
        for picture in trial.pictures
    }
    for each in assessments:
        if any(_is_doubtful(doubt, scale, days[file]) for file, scale in _scales(each) if file in days):
            yield each


def _scales(assessment: Assessment) -> Iterator[tuple[str, Scale]]:
    """The scales by which a finding was measured or counted, each with its picture."""
    for reading in assessment.measured():
        if reading.picture is not None and reading.scale is not None:
            yield reading.picture, reading.scale
    for counted in assessment.counted_on:
        if counted.scale is not None:
            yield counted.picture, counted.scale


def _is_doubtful(doubt: Doubt, scale: Scale, day: date) -> bool:
    by = scale.given_by
    if not isinstance(by, Calibrated) or (by.scope, by.setting) != (doubt.scope.id, doubt.setting):
        return False
    if doubt.field[0] == "calibrations" and by.calibration != doubt.calibration:
        return False
    return doubt.since <= day <= doubt.until


def _of_checks(scope: Scope, name: str, checks: tuple[Compared, ...]) -> Iterator[Doubt]:
    for number, each in enumerate(checks):
        if each.agrees is False and isinstance(each.scale, Scale) and isinstance(each.scale.given_by, Calibrated):
            used = each.scale.given_by.calibration
            record = next(one for one in scope.settings[name].calibrations if one.id == used)
            since = _last_good(record, checks[:number])
            at, field = each.check.at.day, ("checks", str(each.index))
            yield Doubt(scope, name, field, used, since, at, each.check.looked_back, each.check.looked_again)


def _of_calibrations(scope: Scope, name: str, setting: Setting, checks: tuple[Compared, ...]) -> Iterator[Doubt]:
    for number, each in enumerate(setting.calibrations):
        before = _before(each, setting)
        if before is not None and not same_scale(before, each, return_u=setting.return_u):
            since = _last_good(before, [one for one in checks if one.check.at.day <= each.date])
            field = ("calibrations", str(number))
            yield Doubt(scope, name, field, before.id, since, each.date, each.looked_back, each.looked_again)


def _before(calibration: Calibration, setting: Setting) -> Calibration | None:
    """The calibration of the same frame that this one took the place of."""
    older = [each for each in setting.calibrations if each.frame == calibration.frame and each.date < calibration.date]
    return max(older, key=lambda each: each.date, default=None)


def _last_good(calibration: Calibration, checks: Iterable[Compared]) -> date:
    """The day of the last check that found that calibration right, else its own."""
    good = (
        each.check.at.day
        for each in checks
        if each.agrees
        and isinstance(each.scale, Scale)
        and isinstance(each.scale.given_by, Calibrated)
        and each.scale.given_by.calibration == calibration.id
    )
    return max(good, default=calibration.date)
