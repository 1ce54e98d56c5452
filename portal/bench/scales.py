"""Calibrating and checking on the bench: the same reading, comparing and writing as on the command line."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TypeVar

from portal.bench.bodies import Check, Reading, WriteCalibration, WriteCheck
from portal.bench.index import NotThere
from portal.bench.lookingback import look_backs_of
from portal.bench.micrometers import Candidate, candidate, offered
from portal.bench.refused import Refused
from portal.bench.scaletold import calibrated, checked
from portal.bench.state import Bench
from portal.catalog.alone import tag_file
from portal.model.clock import zone_of
from portal.model.picture import PictureFacts
from portal.model.scalars import Length, read_day, read_length, read_points
from portal.problem import PortalError
from portal.site.words import Speaker
from portal.tasks import calibrate as calibrating
from portal.tasks import shiftcheck
from portal.tasks.micrometer import NotOne, Turned

T = TypeVar("T")
UNWRITTEN = "-"
"""Who checks while nothing is written yet."""
WORKED_AT_S = 600.0
"""Trials at which somebody worked so lately are looked into for a picture that just came."""


def scales(bench: Bench, speaker: Speaker) -> dict[str, object]:
    """Every setting with what it is calibrated to today, and the pictures that may be of a stage micrometer.

    One is proposed only where something speaks for it; else a person chooses.
    """
    for mould, trial in bench.asked_about(within_s=WORKED_AT_S) or _newest(bench):
        bench.refresh(mould, trial)
    return {
        "settings": [
            {"scope": scope.id, "setting": name, "said": _in_force(bench, scope.id, name, speaker)}
            for scope in bench.catalogue.scopes.values()
            for name in scope.settings
        ],
        "pictures": offered(bench, speaker),
        "until": _in_a_year(bench.today()).isoformat(),
    }


def read_pictures(bench: Bench, asked: Reading, speaker: Speaker) -> dict[str, object]:
    """What the pictures say, before anything is written."""
    used = [candidate(bench, key)[0] for key in _keys(bench, asked)]
    made = _said(speaker, lambda: _read(asked, [bench.folder / each.file for each in used]))
    return {"html": calibrated(bench, made, asked.scope, asked.setting, speaker), "marks": _marks(made)}


def write_calibration(bench: Bench, asked: WriteCalibration, speaker: Speaker) -> dict[str, object]:
    """Add it to the setting's file; with all that is to be looked back at by then."""
    keys = _keys(bench, asked)
    shown = asked.shown if len(asked.shown) == len(keys) else [""] * len(keys)
    used = [_used(bench, asked, key, each) for key, each in zip(keys, shown, strict=True)]
    made = _said(speaker, lambda: _read(asked, [each.path for each in used]))
    day = made.taken or datetime.now(zone_of(bench.catalogue.shop.time_zone)).date()
    into = calibrating.Into(
        scope=asked.scope,
        setting=asked.setting,
        artefact=asked.artefact,
        certificate=asked.certificate or None,
        u=_length(asked.u),
        day=day,
        valid_until=_day(asked.valid_until),
        by=asked.by,
    )
    id_ = _calibrated_before(bench, into, made.pictures)
    if id_ is None:
        _refuse_gone(used)
        id_ = calibrating.write(bench.folder, made, into)
    _take_out(bench, used)
    return {"id": id_, **look_backs_of(bench, speaker)}


def check(bench: Bench, asked: Check, speaker: Speaker) -> dict[str, object]:
    """Whether the setting still measures right, before anything is written."""
    each, own = candidate(bench, asked.picture)
    used = _Used(bench.folder / each.file, own, each)
    wanted = _said(speaker, lambda: _wanted(bench, asked, used, by=UNWRITTEN))
    found = shiftcheck.compare(bench.catalogue, wanted)
    return {
        "agrees": found.agrees,
        "points": wanted.line.points.text,
        "length": wanted.line.length.text,
        "html": checked(bench, found, speaker),
    }


def write_check(bench: Bench, asked: WriteCheck, speaker: Speaker) -> dict[str, object]:
    """Add the check to the setting's file; with all that is to be looked back at by then."""
    used = _used(bench, asked, asked.picture, asked.shown)
    wanted = _said(speaker, lambda: _wanted(bench, asked, used, by=asked.by))
    found = shiftcheck.compare(bench.catalogue, wanted)
    if not _is_checked_before(bench, wanted):
        _refuse_gone([used])
        shiftcheck.write_check(bench.folder, wanted)
    _take_out(bench, [used])
    return {"agrees": found.agrees, **look_backs_of(bench, speaker)}


def _calibrated_before(bench: Bench, into: calibrating.Into, pictures: tuple[Path, ...]) -> str | None:
    """The calibration that was written of these very pictures though the page never heard of it, and asks again."""
    bench.reread()
    _, setting = calibrating.setting_of(bench.catalogue, into.scope, into.setting)
    wanted = (into.artefact, into.certificate, into.valid_until, into.by)
    for each in setting.calibrations:
        number = each.certificate.number if each.certificate else None
        if (each.artefact, number, each.valid_until, each.by) == wanted and _is_of(bench, each.evidence, pictures):
            return each.id
    return None


def _is_checked_before(bench: Bench, wanted: shiftcheck.Wanted) -> bool:
    """Whether the check was written of this very picture, in the same way, before."""
    bench.reread()
    _, setting = calibrating.setting_of(bench.catalogue, wanted.scope, wanted.setting)
    line = (wanted.line.points.text, wanted.line.length.text, wanted.by)
    return any(
        (each.points.text, each.length.text, each.by) == line and _is_of(bench, (each.picture,), (wanted.picture,))
        for each in setting.checks
    )


def _is_of(bench: Bench, evidence: tuple[str, ...], pictures: tuple[Path, ...]) -> bool:
    """Whether the files that were kept beside a scope's file are these pictures, byte by byte."""
    kept = [bench.folder / "scopes" / each for each in evidence]
    if len(kept) != len(pictures) or not all(each.is_file() for each in kept):
        return False
    return all(mine.read_bytes() == other.read_bytes() for mine, other in zip(kept, pictures, strict=True))


def _keys(bench: Bench, asked: Reading) -> tuple[str, ...]:
    """The pictures of a calibration, those towards the corners last, each named once."""
    calibrating.setting_of(bench.catalogue, asked.scope, asked.setting)
    keys = (*asked.pictures, *asked.corners)
    if len(set(keys)) < len(keys):
        raise Refused("refused.twice", hint="refused.own_picture")
    return keys


def _read(asked: Reading, paths: list[Path]) -> calibrating.Calibrated:
    scale, corners = tuple(paths[: len(asked.pictures)]), tuple(paths[len(asked.pictures) :])
    return calibrating.calibrate(scale, pitch=_length(asked.pitch), u=_length(asked.u), corners=corners)


@dataclass(frozen=True, slots=True)
class _Used:
    """A picture by which something is written; no candidate any more where it was taken out, after that was written."""

    path: Path
    own: PictureFacts
    candidate: Candidate | None


def _used(bench: Bench, asked: Reading | Check, key: str, shown: str) -> _Used:
    """The picture of that key, else the very same one beside the scope's file; NotThere where there is neither."""
    try:
        each, own = candidate(bench, key)
    except NotThere:
        bench.reread()
        scope, setting = calibrating.setting_of(bench.catalogue, asked.scope, asked.setting)
        written = [each.picture for each in setting.checks]
        written += [file for each in setting.calibrations for file in each.evidence]
        for file in dict.fromkeys(scope.path_of(name) for name in written) if shown else ():
            kept = bench.facts.get(file)
            if isinstance(kept, PictureFacts) and kept.sha256 == shown:
                return _Used(bench.folder / file, kept, None)
        raise
    return _Used(bench.folder / each.file, own, each)


def _refuse_gone(used: list[_Used]) -> None:
    """By what was used before nothing else is written."""
    if not all(each.candidate for each in used):
        raise NotThere("refused.no_graticule")


def _wanted(bench: Bench, asked: Check, used: _Used, *, by: str) -> shiftcheck.Wanted:
    calibrating.setting_of(bench.catalogue, asked.scope, asked.setting)
    path, own = used.path, used.own
    if not asked.points:
        return shiftcheck.Wanted(
            asked.scope, asked.setting, path, shiftcheck.found_line(path, _length(asked.pitch)), by
        )
    try:
        points = read_points(asked.points)
    except ValueError as error:
        raise Refused("refused.fields", fields=(("", str(error)),)) from None
    length = _length(asked.length)
    if len(points.xy) != 2 or length.um <= 0:
        raise Refused("refused.check_line")
    if any(not (0 <= x <= own.upright.width and 0 <= y <= own.upright.height) for x, y in points.xy):
        raise Refused("refused.outside", frame=str(own.upright))
    return shiftcheck.Wanted(asked.scope, asked.setting, path, shiftcheck.Line(points, length), by)


def _said(speaker: Speaker, work: Callable[[], T]) -> T:
    """What some work gives; a picture that it refuses is told in the page's language."""
    try:
        return work()
    except NotOne as error:
        why = speaker.text(f"graticule.{error.key}")
        raise PortalError(speaker.text("graticule.refused", picture=error.name, why=why)) from error
    except Turned as error:
        raise PortalError(speaker.text("graticule.turned", picture=error.name)) from error


def _take_out(bench: Bench, every: list[_Used]) -> None:
    """What is kept as evidence by now shows no piece: it goes from where it lay, unless it was tagged meanwhile."""
    used = [each.candidate for each in every if each.candidate]
    for each in used:
        if each.trial is None or not (bench.folder / tag_file(each.file)).exists():
            (bench.folder / each.file).unlink(missing_ok=True)
    bench.reread()
    for mould, trial in {each.trial for each in used if each.trial}:
        bench.refresh(mould, trial)


def _marks(made: calibrating.Calibrated) -> list[list[list[float]]]:
    """Where the marks of each picture were read, to be shown on it."""
    return [[[round(each.x, 2), round(each.y, 2)] for each in reading.places] for reading in made.readings]


def _in_force(bench: Bench, scope: str, setting: str, speaker: Speaker) -> str:
    today = bench.today()
    known = bench.catalogue.scopes[scope].settings[setting].calibrations
    valid = [each for each in known if each.date <= today <= each.valid_until]
    if not valid:
        return speaker.text("scale.none_in_force")
    last = max(valid, key=lambda each: each.date)
    return speaker.text("scale.in_force", id=last.id, frame=str(last.frame), until=last.valid_until)


def _newest(bench: Bench) -> tuple[tuple[str, str], ...]:
    """The newest trial, where nobody works at any."""
    known = [(trial.date, mould.id, trial.id) for mould, trial in bench.catalogue.trials()]
    return tuple((mould, trial) for _, mould, trial in sorted(known)[-1:])


def _in_a_year(day: date) -> date:
    """The day before the same day of next year: what a certificate commonly says; common practice, no source."""
    return date.fromordinal(day.toordinal() + 364)


def _length(text: str) -> Length:
    try:
        return read_length(text)
    except ValueError as error:
        raise Refused("refused.length", text=text) from error


def _day(text: str) -> date:
    try:
        return read_day(text)
    except ValueError as error:
        raise Refused("refused.day", text=text) from error
