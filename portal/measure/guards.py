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
from portal.model.scalars import Frame, Length, Points, Ratio
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


def guarded(
    scale: Scale | NoScale,
    tag: Tag,
    feature: KnownFeature | None,
    frame: Frame,
    *,
    otherwise: Scale | NoScale | None = None,
) -> Scale | NoScale:
    """The scale of an upright picture once its reference, its known feature and its burned-in bar measure right.

    Without a scale the reference gives one, else what is given `otherwise`; it then has to pass the others. `feature`
    is the view's. What measured right is kept with the scale.
    """
    if outside := _outside(tag, frame):
        return no_scale("guard-outside", what=Say.of(outside))
    guards = [_of_feature(tag.known, feature), _of_bar(tag.burned_in_bar)]
    if isinstance(scale, NoScale):
        scale = _from_reference(tag.reference, otherwise or scale)
    else:
        guards.insert(0, _of_reference(tag.reference))
    if isinstance(scale, NoScale):
        return scale
    return _held_against([each for each in guards if each], scale)


@dataclass(frozen=True, slots=True)
class _Guard:
    """Something of known length that was drawn on a picture, and how it is told that it does or doesn't measure so."""

    points: Points
    length: Length
    u_um: float
    fails: str
    holds: str
    name: str = ""
    share: float | None = None
    """By how much of its length it may be apart; None where the uncertainties decide."""

    def said(self, key: str, found: Against) -> Say:
        """In a sentence, with both lengths."""
        named = {"feature": self.name} if self.name else {}
        return Say.of(key, measured=found.measured, stated=found.stated, **named)

    def agrees(self, found: Against) -> bool:
        """Whether it measures as it should."""
        if self.share is None:
            return found.agrees
        return abs(found.um - self.length.um) <= self.share * self.length.um


def _held_against(guards: list[_Guard], scale: Scale) -> Scale | NoScale:
    """The scale with what measured right by it, or the first that didn't."""
    held = []
    for guard in guards:
        found = against(guard.points, guard.length, scale, known_u_um=guard.u_um)
        if found is not None and not guard.agrees(found):
            return NoScale(guard.said(guard.fails, found))
        held += [guard.said(guard.holds, found)] if found else []
    return replace(scale, held=tuple(held))


def _outside(tag: Tag, frame: Frame) -> str | None:
    """The name of what was drawn beyond the picture."""
    drawn: dict[str, Points | None] = {
        "measure.guard.reference": tag.reference.points if tag.reference else None,
        "measure.guard.known-feature": tag.known.points if tag.known else None,
        "measure.guard.bar": tag.burned_in_bar.points if tag.burned_in_bar else None,
    }
    return next((name for name, points in drawn.items() if points and not inside(points, frame)), None)


def _from_reference(reference: Reference | None, otherwise: Scale | NoScale) -> Scale | NoScale:
    found = by_reference(reference.points, reference.length, reference.u.um) if reference else None
    return found or otherwise


def _of_reference(reference: Reference | None) -> _Guard | None:
    if reference is None:
        return None
    keys = "measure.no-scale.reference", "measure.held.reference"
    return _Guard(reference.points, reference.length, reference.u.um, *keys)


def _of_feature(known: Known | None, feature: KnownFeature | None) -> _Guard | None:
    if known is None or feature is None or known.feature != feature.name:
        return None
    keys = "measure.no-scale.known-feature", "measure.held.known-feature"
    return _Guard(known.points, feature.length, feature.u.um, *keys, name=feature.name)


def _of_bar(bar: BurnedInBar | None) -> _Guard | None:
    keys = "measure.no-scale.bar", "measure.held.bar"
    return _Guard(bar.points, bar.length, 0.0, *keys, share=BAR_APART) if bar else None
