"""Finds the scale of a picture, or the exact reason why it has none."""

import math
from collections.abc import Mapping, Sequence
from datetime import date

from portal.model.picture import PictureFacts
from portal.model.result import Calibrated, NoScale, Scale
from portal.model.say import Say, Value
from portal.model.scalars import Frame
from portal.model.scope import Calibration, Scope, Setting
from portal.model.tag import TaggedPicture

_UPRIGHT = {
    1: (1, 0, 0, 1),
    2: (-1, 0, 0, 1),
    3: (-1, 0, 0, -1),
    4: (1, 0, 0, -1),
    5: (0, 1, 1, 0),
    6: (0, -1, 1, 0),
    7: (0, -1, -1, 0),
    8: (0, 1, -1, 0),
}
"""By Exif orientation (tag 0x0112): upright dx = a dx + b dy, upright dy = c dx + d dy of a stored step (dx, dy)."""


def find_scale(
    scope_id: str | None,
    setting_id: str | None,
    facts: PictureFacts,
    scopes: Mapping[str, Scope],
    *,
    day: date,
    broken: Mapping[tuple[str, str], str],
    tag_picture: TaggedPicture | None,
) -> Scale | NoScale:
    """The scale of the upright picture on that day, by scope, setting and stored frame.

    `broken` is the catalogue's: `("scope", id)` to `file:line`. A calibration holds from its date until
    `valid_until`, both days included; of several the latest wins. A calibration belongs to the stored frame:
    orientations 5 to 8 swap x and y, and the tilt's direction is carried along.
    """
    if tag_picture is not None and tag_picture.sha256 != facts.sha256:
        return no_scale("replaced")
    found = _find_setting(scope_id, setting_id, scopes, broken)
    if isinstance(found, NoScale):
        return found
    scope, setting_id, setting = found
    calibration = _find_calibration(setting, facts, day, scope=scope.id, setting_id=setting_id)
    if isinstance(calibration, NoScale):
        return calibration
    return _upright(scope, setting_id, calibration, facts.orientation)


def upright_direction(degrees: float, orientation: int) -> float:
    """A direction of the stored frame in the upright picture; degrees from x, clockwise, 0 to below 360."""
    a, b, c, d = _UPRIGHT[orientation]
    dx, dy = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned = math.degrees(math.atan2(c * dx + d * dy, a * dx + b * dy))
    return round(turned, 9) % 360


def no_scale_in_movie(facts: PictureFacts) -> NoScale | None:
    """Nothing is measured in a movie: its frames are small, and no setting is calibrated for it."""
    return None if facts.movie is None else no_scale("movie")


def no_scale(key: str, **values: Value) -> NoScale:
    """Why there is none: a key of the message catalogue below `measure.no-scale.`."""
    return NoScale(Say.of(f"measure.no-scale.{key}", **values))


def _find_setting(
    scope_id: str | None, setting_id: str | None, scopes: Mapping[str, Scope], broken: Mapping[tuple[str, str], str]
) -> tuple[Scope, str, Setting] | NoScale:
    if scope_id is None:
        return no_scale("no-scope-named")
    if ("scope", scope_id) in broken:
        return no_scale("scope-broken", scope=scope_id, where=broken["scope", scope_id])
    if scope_id not in scopes:
        return no_scale("scope-unknown", scope=scope_id)
    if setting_id is None:
        return no_scale("no-setting-named", scope=scope_id)
    scope = scopes[scope_id]
    if setting_id not in scope.settings:
        return no_scale("setting-unknown", scope=scope_id, setting=setting_id)
    return scope, setting_id, scope.settings[setting_id]


def _find_calibration(
    setting: Setting, facts: PictureFacts, day: date, *, scope: str, setting_id: str
) -> Calibration | NoScale:
    if not setting.calibrations:
        return no_scale("never-calibrated", scope=scope, setting=setting_id)
    if facts.declared is not None and facts.declared not in (facts.stored, facts.stored.turned):
        return no_scale("resized", stored=str(facts.stored), frame=str(facts.declared))
    fitting = [each for each in setting.calibrations if each.frame == facts.stored]
    if not fitting:
        return _other_frame(facts.stored, setting.calibrations)
    return _on_day(fitting, day)


def _other_frame(stored: Frame, calibrations: Sequence[Calibration]) -> NoScale:
    """Why none of the calibrated frames is the stored one: turned, resized, or another size altogether."""
    frames = [each.frame for each in calibrations]
    if stored.turned in frames:
        return no_scale("turned", stored=str(stored), frame=str(stored.turned))
    for frame in frames:
        if _same_aspect(stored, frame) or _same_aspect(stored.turned, frame):
            return no_scale("other-size", stored=str(stored), frame=str(frame))
    return no_scale("other-frame", stored=str(stored), frame=str(frames[-1]))


def _same_aspect(one: Frame, other: Frame) -> bool:
    """Whether one frame is the other made larger or smaller, to the pixel that a resize rounds."""
    expected = one.width * other.height / other.width
    return abs(expected - one.height) <= 1 + one.width / other.width


def _on_day(calibrations: Sequence[Calibration], day: date) -> Calibration | NoScale:
    begun = [each for each in calibrations if each.date <= day]
    if not begun:
        first = min(calibrations, key=lambda each: each.date)
        return no_scale("not-yet", calibration=first.id, date=first.date, day=day)
    valid = [each for each in begun if day <= each.valid_until]
    if not valid:
        last = max(begun, key=lambda each: each.valid_until)
        return no_scale("expired", calibration=last.id, until=last.valid_until, day=day)
    return max(reversed(valid), key=lambda each: each.date)


def _upright(scope: Scope, setting_id: str, calibration: Calibration, orientation: int) -> Scale:
    x, y = (calibration.x, calibration.u_x), (calibration.y, calibration.u_y)
    if orientation >= 5:
        x, y = y, x
    setting, tilt = scope.settings[setting_id], scope.tilt
    direction = tilt.direction if tilt else None
    return Scale(
        x_um=x[0].um,
        y_um=y[0].um,
        u_x_um=x[1].um,
        u_y_um=y[1].um,
        given_by=Calibrated(scope.id, setting_id, calibration.id),
        return_u=setting.return_u.value if setting.return_u else None,
        distortion=setting.distortion.value if setting.distortion else None,
        tilt_deg=tilt.angle.degrees if tilt else None,
        tilt_u_deg=tilt.u.degrees if tilt else None,
        tilt_direction=upright_direction(direction.degrees, orientation) if direction else None,
        working_distance_um=scope.working_distance.um if scope.working_distance else None,
    )
