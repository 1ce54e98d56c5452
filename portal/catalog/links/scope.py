"""What scopes name, and what names a scope and its setting."""

from portal.catalog.links.point import to_one_of, to_person, to_picture, to_record
from portal.catalog.shelf import Shelf
from portal.model.scope import Calibration, ScaleCheck, Scope
from portal.problem import FieldPath


def check_scope(shelf: Shelf, scope: Scope) -> None:
    """Who calibrated and checked, and the pictures that show it."""
    for name, setting in scope.settings.items():
        for index, calibration in enumerate(setting.calibrations):
            path = ("settings", name, "calibrations", str(index))
            to_person(shelf, scope.file, (*path, "by"), calibration.by)
            _check_looking(shelf, scope.file, path, calibration)
            for number, evidence in enumerate(calibration.evidence):
                to_picture(shelf, scope.file, (*path, "evidence", str(number)), evidence)
        for index, check in enumerate(setting.checks):
            path = ("settings", name, "checks", str(index))
            to_person(shelf, scope.file, (*path, "by"), check.by)
            to_picture(shelf, scope.file, (*path, "picture"), check.picture)
            _check_looking(shelf, scope.file, path, check)


def _check_looking(shelf: Shelf, file: str, path: FieldPath, each: Calibration | ScaleCheck) -> None:
    """Who looked back, and at findings of which parts."""
    if each.looked_back is not None:
        to_person(shelf, file, (*path, "looked_back", "by"), each.looked_back.by)
    for number, again in enumerate(each.looked_again):
        at = (*path, "looked_again", str(number))
        to_record(shelf, file, (*at, "part"), "part", again.part, shelf.parts)
        to_person(shelf, file, (*at, "by"), again.by)


def check_setting(shelf: Shelf, file: str, path: FieldPath, scope: str | None, setting: str | None) -> None:
    """The scope and setting of a picture."""
    if scope is None or not to_record(shelf, file, (*path, "scope"), "scope", scope, shelf.scopes):
        return
    if setting is not None:
        known = shelf.scopes[scope].settings
        to_one_of(shelf, file, (*path, "setting"), setting, known, f"no setting of scope `{scope}`")
