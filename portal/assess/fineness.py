"""What each setting of a scope is fine enough for."""

from collections.abc import Iterable, Iterator
from datetime import date

from portal.measure.fineness import expected
from portal.measure.scale import find_scale
from portal.model.catalogue import Catalogue
from portal.model.checks import failed_on
from portal.model.picture import PictureFacts
from portal.model.result import Calibrated, CheckResult, Fineness, Scale
from portal.model.scalars import Frame
from portal.model.scope import Setting
from portal.model.standard import Criterion
from portal.model.tolerance import tolerances


def fineness(catalogue: Catalogue, checks: Iterable[CheckResult], *, day: date) -> tuple[Fineness, ...]:
    """What every setting comes to for every length that is agreed, by a calibration that is valid on that day.

    A setting that its last check found wrong is fine enough for nothing until it is calibrated anew.
    """
    checks = tuple(checks)
    lengths = sorted({each.length_um for own in _criteria(catalogue) for each in tolerances(own)})
    return tuple(
        Fineness(scope.id, name, calibration, length, expected(length, scale, frame))
        for scope in catalogue.scopes.values()
        for name, setting in scope.settings.items()
        for frame in dict.fromkeys(each.frame for each in setting.calibrations)
        for calibration, scale in _scales_of(catalogue, scope.id, name, frame, day)
        if not _is_wrong(setting, calibration, failed_on(scope, name, checks, day=day))
        for length in lengths
    )


def _criteria(catalogue: Catalogue) -> Iterator[Criterion]:
    for part in catalogue.parts.values():
        yield from part.criteria
    for revisions in catalogue.standards.values():
        for standard in revisions.values():
            yield from standard.criteria


def _is_wrong(setting: Setting, calibration: str, failed: date | None) -> bool:
    made = next(each.date for each in setting.calibrations if each.id == calibration)
    return failed is not None and made <= failed


def _scales_of(catalogue: Catalogue, scope: str, setting: str, frame: Frame, day: date) -> Iterator[tuple[str, Scale]]:
    """The calibration and the scale of a picture of that frame, upright as stored, if there is one."""
    facts = PictureFacts(sha256="", stored=frame)
    found = find_scale(scope, setting, facts, catalogue.scopes, day=day, broken=catalogue.broken, tag_picture=None)
    if isinstance(found, Scale) and isinstance(found.given_by, Calibrated):
        yield found.given_by.calibration, found
