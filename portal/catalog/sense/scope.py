"""Scopes: what calibrations and checks alone can get wrong."""

from portal.catalog.sense.remark import Remark, Remarks, above_zero, each_once, ends, under
from portal.model.scope import Calibration, Scope, Setting


def of_scope(scope: Scope) -> Remarks:
    """Tilt, working distance, settings."""
    if scope.tilt is not None:
        if not 0 <= scope.tilt.angle.degrees < 90:
            yield Remark(("tilt", "angle"), f"`{scope.tilt.angle.text}` is not between 0 and 90 deg")
        if not 0 <= scope.tilt.u.degrees < 90:
            yield Remark(("tilt", "u"), f"`{scope.tilt.u.text}` is not between 0 and 90 deg")
    yield from above_zero(("working_distance",), scope.working_distance)
    for name, setting in scope.settings.items():
        yield from under(("settings", name), _of_setting(setting))


def _of_setting(setting: Setting) -> Remarks:
    for index, calibration in enumerate(setting.calibrations):
        yield from under(("calibrations", str(index)), _of_calibration(calibration))
    ids = (calibration.id for calibration in setting.calibrations)
    yield from each_once(("calibrations",), ids, "calibration", key="id")
    for index, check in enumerate(setting.checks):
        yield from above_zero(("checks", str(index), "length"), check.length)
        yield from ends(("checks", str(index), "points"), check.points, "a check")
    for key, ratio in (("return_u", setting.return_u), ("distortion", setting.distortion)):
        if ratio is not None and not ratio.value >= 0:
            yield Remark((key,), f"`{ratio.text}` can't be negative")


def _of_calibration(calibration: Calibration) -> Remarks:
    yield from above_zero(("x",), calibration.x)
    yield from above_zero(("y",), calibration.y)
    yield from above_zero(("u_x",), calibration.u_x)
    yield from above_zero(("u_y",), calibration.u_y)
    if calibration.certificate is not None:
        yield from above_zero(("certificate", "u"), calibration.certificate.u)
    if calibration.valid_until < calibration.date:
        yield Remark(("valid_until",), f"`{calibration.valid_until}` is before its date, {calibration.date}")
