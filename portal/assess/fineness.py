"""What each setting of a scope is fine enough for."""

from collections.abc import Iterator
from datetime import date

from portal.measure.fineness import expected
from portal.measure.scale import find_scale
from portal.model.catalogue import Catalogue
from portal.model.picture import PictureFacts
from portal.model.result import Calibrated, Fineness, Scale
from portal.model.scalars import Frame
from portal.model.standard import Criterion
from portal.model.tolerance import tolerances


def fineness(catalogue: Catalogue, *, day: date) -> tuple[Fineness, ...]:
    """What every setting with a calibration that is valid on that day comes to for every length that is agreed."""
    lengths = sorted({each.length_um for own in _criteria(catalogue) for each in tolerances(own)})
    return tuple(
        Fineness(scope.id, name, calibration, length, expected(length, scale, frame))
        for scope in catalogue.scopes.values()
        for name, setting in scope.settings.items()
        for frame in dict.fromkeys(each.frame for each in setting.calibrations)
        for calibration, scale in _scales_of(catalogue, scope.id, name, frame, day)
        for length in lengths
    )


def _criteria(catalogue: Catalogue) -> Iterator[Criterion]:
    for part in catalogue.parts.values():
        yield from part.criteria
    for revisions in catalogue.standards.values():
        for standard in revisions.values():
            yield from standard.criteria


def _scales_of(catalogue: Catalogue, scope: str, setting: str, frame: Frame, day: date) -> Iterator[tuple[str, Scale]]:
    """The calibration and the scale of a picture of that frame, upright as stored, if there is one."""
    facts = PictureFacts(sha256="", stored=frame)
    found = find_scale(scope, setting, facts, catalogue.scopes, day=day, broken=catalogue.broken, tag_picture=None)
    if isinstance(found, Scale) and isinstance(found.given_by, Calibrated):
        yield found.given_by.calibration, found
