"""Guards of a scale: what has to measure right before anything else on the picture is measured.

The commonest wrong scale is a zoom that moved or a setting that was mis-entered: the frame's size stays right. So a
feature of the drawing, a reference in the picture and a bar that the camera program drew are held against the scale.
"""

import math
from dataclasses import dataclass, replace
from datetime import date

from portal.measure.known import Against, against, by_reference, inside
from portal.measure.scale import no_scale
from portal.model.part import KnownFeature
from portal.model.picture import PictureFacts
from portal.model.result import NoScale, Scale
from portal.model.say import Say
from portal.model.scalars import Frame, Points, Ratio
from portal.model.scope import Calibration, ScaleCheck
from portal.model.tag import BurnedInBar, Known, Reference, Tag
from portal.model.terms import Made

BAR_APART = 0.02
"""A burned-in bar that is further from our scale than this is a problem; common practice, no source."""


@dataclass(frozen=True, slots=True)
class LastCheck:
    """The newest check of a setting up to a picture's day: when the graticule was looked at, what it measured."""

    day: date
    found: Against


def own_facts(tag: Tag, facts: PictureFacts) -> PictureFacts | NoScale:
    """The facts by which a calibration is looked for, or why none can hold for a picture that was made so."""
    if tag.made is Made.PHONE:
        return no_scale("phone")
    if tag.made is not Made.STITCHED:
        return facts
    if tag.native is None:
        return no_scale("stitched")
    return replace(facts, stored=tag.native, declared=None)


def checked(scale: Scale, last: LastCheck | None, *, calibrated: date) -> Scale | NoScale:
    """The scale by a calibration of that day, unless the last check of its setting failed since."""
    if last is None or last.found.agrees or calibrated > last.day:
        return scale
    return no_scale("check-failed", day=last.day, measured=last.found.measured, stated=last.found.stated)


def same_scale(old: Calibration, new: Calibration, *, return_u: Ratio | None) -> bool:
    """Whether two calibrations of a setting agree in x and in y, the zoom's return to the setting included."""
    back = return_u.value if return_u else 0.0
    pairs = (((old.x.um, old.u_x.um), (new.x.um, new.u_x.um)), ((old.y.um, old.u_y.um), (new.y.um, new.u_y.um)))
    return all(
        abs(one - other) <= 2 * math.hypot(u_one, u_other, one * back, other * back)
        for (one, u_one), (other, u_other) in pairs
    )


def graticule(check: ScaleCheck, scale: Scale, frame: Frame) -> Against | NoScale:
    """What the graticule of a check picture measures by the scale of its day, or why it says nothing."""
    if not inside(check.points, frame):
        return no_scale("guard-outside", what=Say.of("measure.guard.check"))
    return against(check.points, check.length, scale) or no_scale("guard-no-length")


def guarded(scale: Scale | NoScale, tag: Tag, feature: KnownFeature | None, frame: Frame) -> Scale | NoScale:
    """The scale of an upright picture once its reference, its known feature and its burned-in bar measure right.

    Without a scale the reference gives one, which then has to pass the others. `feature` is the view's.
    """
    if outside := _outside(tag, frame):
        return no_scale("guard-outside", what=Say.of(outside))
    if isinstance(scale, NoScale):
        scale = _from_reference(tag.reference, scale)
        failed = None
    else:
        failed = _reference_fails(tag.reference, scale)
    if failed is None and isinstance(scale, Scale):
        failed = _feature_fails(tag.known, feature, scale) or _bar_fails(tag.burned_in_bar, scale)
    return failed or scale


def _outside(tag: Tag, frame: Frame) -> str | None:
    """The name of what was drawn beyond the picture."""
    drawn: dict[str, Points | None] = {
        "measure.guard.reference": tag.reference.points if tag.reference else None,
        "measure.guard.known-feature": tag.known.points if tag.known else None,
        "measure.guard.bar": tag.burned_in_bar.points if tag.burned_in_bar else None,
    }
    return next((name for name, points in drawn.items() if points and not inside(points, frame)), None)


def _from_reference(reference: Reference | None, otherwise: NoScale) -> Scale | NoScale:
    found = by_reference(reference.points, reference.length, reference.u.um) if reference else None
    return found or otherwise


def _reference_fails(reference: Reference | None, scale: Scale) -> NoScale | None:
    if reference is None:
        return None
    found = against(reference.points, reference.length, scale, known_u_um=reference.u.um)
    if found is None or found.agrees:
        return None
    return no_scale("reference", measured=found.measured, stated=found.stated)


def _feature_fails(known: Known | None, feature: KnownFeature | None, scale: Scale) -> NoScale | None:
    if known is None or feature is None or known.feature != feature.name:
        return None
    found = against(known.points, feature.length, scale, known_u_um=feature.u.um)
    if found is None or found.agrees:
        return None
    return no_scale("known-feature", feature=feature.name, measured=found.measured, stated=found.stated)


def _bar_fails(bar: BurnedInBar | None, scale: Scale) -> NoScale | None:
    found = against(bar.points, bar.length, scale) if bar else None
    if bar is None or found is None or abs(found.um - bar.length.um) <= BAR_APART * bar.length.um:
        return None
    return no_scale("bar", measured=found.measured, stated=bar.length)
