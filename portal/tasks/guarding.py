"""What `portal check` says of scales that a guard found wrong: check pictures, known features, references, bars."""

from collections.abc import Iterator

from portal.assess.graticule import Compared, comparisons
from portal.assess.scales import scales
from portal.model.picture import Picture
from portal.model.result import NoScale, Scale
from portal.problem import FieldPath, Problem
from portal.site.words import Speaker
from portal.tasks.gather import Surveyed

_GUARDS: dict[str, FieldPath] = {
    "measure.no-scale.known-feature": ("known",),
    "measure.no-scale.reference": ("reference",),
    "measure.no-scale.bar": ("burned_in_bar",),
    "measure.no-scale.file": ("picture",),
    "measure.no-scale.file-contradicts": ("picture",),
}
"""Where a tag drew what doesn't measure right, by the reason for which nothing is measured; a file's own is nowhere."""
_SPEAKER = Speaker("en", "mm", lambda defect: defect)
_HINT = "look whether the zoom moved or the setting is mis-entered; nothing on this picture is measured"


def of_guards(gathered: Surveyed) -> Iterator[Problem]:
    """Every check of a scope that failed, and every picture whose own guards did."""
    for each in every_comparison(gathered):
        yield from _of_check(gathered, each)
    found = scales(gathered.catalogue, gathered.facts)
    for _, trial in gathered.catalogue.trials():
        for picture in trial.pictures:
            yield from _of_picture(gathered, picture, found[picture.file])


def every_comparison(gathered: Surveyed) -> Iterator[Compared]:
    """Every check picture that can be seen, of each setting from old to new."""
    for scope in gathered.catalogue.scopes.values():
        for setting in scope.settings:
            yield from comparisons(scope, setting, gathered.facts, gathered.catalogue)


def _of_check(gathered: Surveyed, each: Compared) -> Iterator[Problem]:
    if each.agrees:
        return
    path = ("settings", each.setting, "checks", str(each.index))
    line = gathered.reading.places.line(each.scope.file, path)
    if isinstance(each.found, NoScale):
        why = _SPEAKER.say(each.found.reason)
        hint = "a check is compared with the calibration of its setting, frame and day"
        yield Problem(each.scope.file, line, ".".join(path), f"this check says nothing: {why}", hint, warning=True)
        return
    measured, stated = _SPEAKER.value(each.found.measured), _SPEAKER.value(each.found.stated)
    said = f"failed: the graticule measures {measured}, stated {stated}"
    hint = "calibrate the setting anew, or set it right and check again; until then nothing is measured by it"
    if _is_settled(gathered, each):
        yield Problem(each.scope.file, line, ".".join(path), said, "it was set right since", warning=True)
    else:
        yield Problem(each.scope.file, line, ".".join(path), said, hint)


def _is_settled(gathered: Surveyed, each: Compared) -> bool:
    """Whether a later check agreed, or the setting was calibrated since."""
    setting, at = each.scope.settings[each.setting], each.check.at
    if any(calibration.date > at.day for calibration in setting.calibrations):
        return True
    later = comparisons(each.scope, each.setting, gathered.facts, gathered.catalogue)
    return [other.agrees for other in later if other.check.at.order >= at.text and other.agrees is not None][-1] is True


def _of_picture(gathered: Surveyed, picture: Picture, scale: Scale | NoScale) -> Iterator[Problem]:
    tag = picture.tag
    if tag is None:
        return
    if isinstance(scale, NoScale) and scale.reason.key in _GUARDS:
        path = _GUARDS[scale.reason.key]
        line = gathered.reading.places.line(tag.file, path)
        yield Problem(tag.file, line, ".".join(path), _SPEAKER.say(scale.reason), _HINT)
