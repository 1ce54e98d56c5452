"""A microscope's page: how it is built, what each setting was calibrated to, which criteria it is fine enough for."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.checks import failed_on
from portal.model.result import CheckResult, Fineness
from portal.model.say import DefectTerm, Figure, Say
from portal.model.scalars import Angle
from portal.model.scope import Calibration, Optics, Scope, Setting
from portal.model.show import decimals_for, fixed
from portal.model.tolerance import Tolerance, tolerances
from portal.site.agreed import Agreed, agreed, criteria_in_force
from portal.site.desk import Desk
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class CalibrationLine:
    """One calibration of a setting."""

    id: str
    frame: str
    field: str
    """Width of the field."""
    x: str
    y: str
    artefact: str
    certificate: Say | None
    day: date
    until: date
    valid: bool
    state: Say
    by: str


@dataclass(frozen=True, slots=True)
class CheckLine:
    """A picture of the graticule, drawn over a stated length."""

    length: Say
    by: str
    day: date
    outcome: Say
    failed: bool


@dataclass(frozen=True, slots=True)
class SettingEntry:
    """One setting: its optics, calibrations, checks."""

    name: str
    optics: tuple[tuple[Say, Say | str], ...]
    calibrations: tuple[CalibrationLine, ...]
    checks: tuple[CheckLine, ...]
    return_u: Say | str
    distortion: Say | str


@dataclass(frozen=True, slots=True)
class GradeCell:
    """What a setting comes to for one agreed length; without a figure where nothing is measured by it."""

    grade: str
    word: Say
    expanded: str | None


@dataclass(frozen=True, slots=True)
class DemandRow:
    """One agreed length over the settings."""

    criterion: Agreed
    term: Say
    what: Say | None
    """Which of several lengths it is, and how wide what is agreed there."""
    cells: tuple[GradeCell, ...]


@dataclass(frozen=True, slots=True)
class ScopePage:
    """All that a microscope's page says."""

    title: Say
    name: str
    kind: Say
    path: Say | None
    tilt: Say | None
    working_distance: Say | None
    as_of: date
    settings: tuple[SettingEntry, ...]
    columns: tuple[str, ...]
    rows: tuple[DemandRow, ...]


def scope_page(desk: Desk, scope: Scope) -> ScopePage:
    """The page of a microscope."""
    speaker = desk.speaker()
    return ScopePage(
        title=Say.of("scope.title", scope=scope.id),
        name=scope.id,
        kind=Say.of(f"scope_type.{scope.type.value.replace(' ', '-').lower()}"),
        path=Say.of(f"camera_path.{scope.camera_path.value}") if scope.camera_path else None,
        tilt=_tilt(scope),
        working_distance=Say.of("criterion.length", length=scope.working_distance) if scope.working_distance else None,
        as_of=desk.site.as_of,
        settings=tuple(_setting(desk, scope, name, speaker) for name in scope.settings),
        columns=tuple(scope.settings),
        rows=tuple(_rows(desk, scope, speaker)),
    )


def _tilt(scope: Scope) -> Say | None:
    if scope.tilt is None:
        return None
    return Say.of("scope.tilt_of", angle=_degrees(scope.tilt.angle), u=_degrees(scope.tilt.u))


def _degrees(angle: Angle) -> Figure:
    return Figure(f"{angle.degrees:g}°")


def _as_written(number: str) -> Say:
    return Say.of("criterion.length", length=Figure(number))


def _checks(desk: Desk, scope: str, name: str, setting: Setting) -> Iterator[CheckLine]:
    """The check pictures of a setting, newest first, each with what it came to."""
    known = {each.index: each for each in desk.site.checks if (each.scope, each.setting) == (scope, name)}
    for index, each in sorted(enumerate(setting.checks), key=lambda pair: pair[1].at.order, reverse=True):
        found = known.get(index)
        yield CheckLine(
            length=Say.of("criterion.length", length=each.length),
            by=desk.person(each.by),
            day=each.at.day,
            outcome=_outcome(found),
            failed=found is not None and found.agrees is False,
        )


def _outcome(found: CheckResult | None) -> Say:
    if found is None:
        return Say.of("check.unseen")
    if found.measured is None:
        return Say.of("check.silent", why=found.reason or Say.of("title.none"))
    return Say.of("check.agrees" if found.agrees else "check.failed", measured=found.measured)


def _setting(desk: Desk, scope: Scope, name: str, speaker: Speaker) -> SettingEntry:
    setting = scope.settings[name]
    newest_first = sorted(setting.calibrations, key=lambda each: each.date, reverse=True)
    none = Say.of("title.none")
    failed = failed_on(scope, name, desk.site.checks, day=desk.site.as_of)
    return SettingEntry(
        name=name,
        optics=tuple(_optics(setting.optics)),
        calibrations=tuple(_calibration(desk, each, speaker, failed=failed) for each in newest_first),
        checks=tuple(_checks(desk, scope.id, name, setting)),
        return_u=_as_written(setting.return_u.text) if setting.return_u else none,
        distortion=_as_written(setting.distortion.text) if setting.distortion else none,
    )


def _optics(optics: Optics) -> Iterator[tuple[Say, Say | str]]:
    for key, value in (
        ("objective", optics.objective),
        ("auxiliary", optics.auxiliary),
        ("zoom", optics.zoom),
        ("click_stop", Say.of("check.yes" if optics.click_stop else "check.no")),
        ("adapter", optics.adapter),
        ("camera", optics.camera),
        ("binning", optics.binning),
    ):
        if value is not None:
            yield Say.of(f"optics.{key}"), value


def _calibration(desk: Desk, each: Calibration, speaker: Speaker, *, failed: date | None) -> CalibrationLine:
    day = desk.site.as_of
    in_doubt = failed is not None and each.date <= failed
    valid = each.date <= day <= each.valid_until and not in_doubt
    key = "valid" if valid else "not_yet" if day < each.date else "expired" if day > each.valid_until else "in_doubt"
    certificate = each.certificate
    return CalibrationLine(
        id=each.id,
        frame=f"{each.frame.width} × {each.frame.height}",
        field=speaker.about(each.frame.width * each.x.um, digits=3),
        x=speaker.number(per_pixel(each.x.um, 2 * each.u_x.um)),
        y=speaker.number(per_pixel(each.y.um, 2 * each.u_y.um)),
        artefact=each.artefact,
        certificate=Say.of("scope.certificate", number=certificate.number, u=certificate.u) if certificate else None,
        day=each.date,
        until=each.valid_until,
        valid=valid,
        state=Say.of(f"calibration.{key}"),
        by=desk.person(each.by),
    )


def per_pixel(um: float, expanded: float) -> str:
    """Micrometres per pixel with U, which is finer than any length that a page shows."""
    decimals = decimals_for(expanded)
    return f"{fixed(um, decimals)} µm ± {fixed(expanded, decimals)} µm"


def _rows(desk: Desk, scope: Scope, speaker: Speaker) -> Iterator[DemandRow]:
    known = {(each.setting, each.length_um): each for each in desk.site.fineness if each.scope == scope.id}
    day = desk.site.as_of
    wrong = {name for name in scope.settings if failed_on(scope, name, desk.site.checks, day=day)}
    for own, where in criteria_in_force(desk):
        several = tolerances(own)
        plain = len(several) == 1 and not any(limit.min and limit.max for limit in own.limits)
        for each in several:
            yield DemandRow(
                criterion=agreed(desk, own, where),
                term=Say.of("card.term", term=DefectTerm(own.defect)),
                what=None if plain else _what(each, speaker),
                cells=tuple(
                    _cell(known.get((name, each.length_um)), each, speaker, is_wrong=name in wrong)
                    for name in scope.settings
                ),
            )


def _what(each: Tolerance, speaker: Speaker) -> Say:
    name = Say.of(f"characteristic.{each.characteristic.value}")
    return Say.of("scope.demand", characteristic=name, width=speaker.about(each.width_um, digits=3))


def _cell(found: Fineness | None, each: Tolerance, speaker: Speaker, *, is_wrong: bool) -> GradeCell:
    if found is None:
        return GradeCell("none", Say.of("grade.wrong" if is_wrong else "grade.none"), None)
    grade = each.grade(found.expanded_um)
    shown = None if found.expanded_um is None else speaker.about(found.expanded_um, digits=2)
    return GradeCell(grade.value, Say.of(f"grade.{grade.value}"), shown)
