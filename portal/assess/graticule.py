"""Check pictures of the graticule, each held against the calibration that was in force on its day."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from portal.measure.guards import LastCheck, graticule
from portal.measure.known import Against
from portal.measure.scale import find_scale
from portal.model.catalogue import Catalogue
from portal.model.picture import Facts, PictureFacts
from portal.model.result import Calibrated, CheckResult, NoScale, Scale
from portal.model.scope import ScaleCheck, Scope


@dataclass(frozen=True, slots=True)
class Compared:
    """A check picture with what it measured, or why it says nothing."""

    scope: Scope
    setting: str
    index: int
    """Which of the setting's checks."""
    check: ScaleCheck
    scale: Scale | NoScale
    found: Against | NoScale

    @property
    def agrees(self) -> bool | None:
        """Whether the calibration still held; None where the check says nothing."""
        return self.found.agrees if isinstance(self.found, Against) else None


def compared(
    scope: Scope, setting: str, index: int, facts: Mapping[str, Facts], catalogue: Catalogue
) -> Compared | None:
    """Measure the graticule of one check by the calibration in force on its day; None where it can't be seen."""
    check = scope.settings[setting].checks[index]
    own = facts.get(scope.path_of(check.picture))
    if not isinstance(own, PictureFacts):
        return None
    scale = find_scale(
        scope.id, setting, own, catalogue.scopes, day=check.at.day, broken=catalogue.broken, tag_picture=None
    )
    found = scale if isinstance(scale, NoScale) else graticule(check, scale, own.upright)
    return Compared(scope, setting, index, check, scale, found)


def comparisons(scope: Scope, setting: str, facts: Mapping[str, Facts], catalogue: Catalogue) -> tuple[Compared, ...]:
    """All checks of a setting, from old to new."""
    checks = scope.settings[setting].checks
    order = sorted(range(len(checks)), key=lambda index: checks[index].at.order)
    found = (compared(scope, setting, index, facts, catalogue) for index in order)
    return tuple(each for each in found if each)


def last_check(by: Calibrated, facts: Mapping[str, Facts], catalogue: Catalogue, *, day: date) -> LastCheck | None:
    """The newest check of the setting up to that day, the day included, that says something."""
    scope = catalogue.scopes[by.scope]
    checks = scope.settings[by.setting].checks
    until = [index for index, check in enumerate(checks) if check.at.day <= day]
    for index in sorted(until, key=lambda index: checks[index].at.order, reverse=True):
        each = compared(scope, by.setting, index, facts, catalogue)
        if each and isinstance(each.found, Against):
            return LastCheck(each.check.at.day, each.found)
    return None


def check_results(catalogue: Catalogue, facts: Mapping[str, Facts]) -> tuple[CheckResult, ...]:
    """What every check picture that can be seen came to, for pages."""
    return tuple(
        CheckResult(
            scope=scope.id,
            setting=setting,
            index=each.index,
            agrees=each.agrees,
            measured=each.found.measured if isinstance(each.found, Against) else None,
            reason=each.found.reason if isinstance(each.found, NoScale) else None,
        )
        for scope in catalogue.scopes.values()
        for setting in scope.settings
        for each in comparisons(scope, setting, facts, catalogue)
    )
