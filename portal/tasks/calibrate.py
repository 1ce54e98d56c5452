"""`portal calibrate`: micrometres per pixel from pictures of a stage micrometer, and perhaps into the scope's file."""

import shutil
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import numpy.typing as npt

from portal.assess.pixels import Graticule, NoGraticule, PixelSize, pixel_size, read_graticule
from portal.catalog import read
from portal.catalog.alone import held, record_of
from portal.catalog.change import changed, written
from portal.catalog.write import write_whole
from portal.model.picture import PictureUnreadable
from portal.model.scalars import Length
from portal.model.scope import Scope
from portal.model.shop import Shop
from portal.pictures.facts import read_bytes, read_facts
from portal.pictures.upright import upright
from portal.problem import PortalError, did_you_mean
from portal.tasks.acting import party

WHY = {
    "even": "brightness changes in no direction more than in another",
    "no-divisions": "no divisions at equal distances stand out",
    "few": "there are fewer than six marks that can be read",
    "uneven": "its marks aren't at equal distances",
}


@dataclass(frozen=True, slots=True)
class Calibrated:
    """What the pictures say."""

    frame: str
    size: PixelSize
    readings: tuple[Graticule, ...]
    pictures: tuple[Path, ...]
    taken: date | None
    """The day on which the first picture was taken, as its file says."""


@dataclass(frozen=True, slots=True)
class Into:
    """Where a calibration is written, and what has to be said of it."""

    scope: str
    setting: str
    artefact: str
    certificate: str | None
    u: Length
    day: date
    valid_until: date
    by: str | None


def calibrate(pictures: tuple[Path, ...], *, pitch: Length, u: Length) -> Calibrated:
    """Read one picture, or two that are turned against each other; PortalError where one isn't of a graticule."""
    if pitch.um <= 0 or u.um < 0:
        raise PortalError("a division is longer than nothing, its uncertainty at least nothing", code=2)
    found = [_read(each) for each in pictures]
    frames = {frame for frame, _ in found}
    if len(frames) > 1:
        raise PortalError(f"the pictures have different sizes: {' and '.join(sorted(frames))} pixels")
    readings = tuple(reading for _, reading in found)
    second = readings[1] if len(readings) > 1 else None
    try:
        size = pixel_size(readings[0], second, pitch_um=pitch.um, artefact_u_um=u.um)
    except ValueError as error:
        hint = "turn the micrometer by about 90 degrees for the second picture"
        raise PortalError("in both pictures the marks run alike, so they give one axis only", hint=hint) from error
    return Calibrated(frames.pop(), size, readings, pictures, _taken(pictures[0]))


def _taken(picture: Path) -> date | None:
    facts = read_facts(picture)
    if isinstance(facts, PictureUnreadable) or not facts.taken:
        return None
    try:
        return date.fromisoformat(facts.taken[:10])
    except ValueError:
        return None


def _read(picture: Path) -> tuple[str, Graticule]:
    facts = read_facts(picture)
    if isinstance(facts, PictureUnreadable):
        raise PortalError(f"{picture.name} can't be read: {facts.reason}", hint=facts.hint)
    if facts.orientation != 1:
        hint = "a calibration belongs to the pixels as the camera stores them: take the picture without turning it"
        raise PortalError(f"{picture.name} says that it has to be turned to be seen upright", hint=hint)
    grey: npt.NDArray[np.uint8] = np.asarray(upright(read_bytes(picture), facts).image.convert("L"))
    found = read_graticule(grey)
    if isinstance(found, NoGraticule):
        raise PortalError(f"{picture.name} is no picture of a graticule: {WHY[found.key]}")
    return str(facts.stored), found


def write(folder: Path, made: Calibrated, into: Into) -> str:
    """Add the calibration to its setting, with the pictures as evidence beside the scope's file; gives its id."""
    catalogue = read(folder).catalogue
    if catalogue is None:
        raise PortalError("catalog.yaml can't be read", code=1)
    scope = catalogue.scopes.get(into.scope)
    if scope is None:
        raise PortalError(f"there is no scope `{into.scope}`", hint=did_you_mean(into.scope, catalogue.scopes))
    if into.setting not in scope.settings:
        hint = did_you_mean(into.setting, scope.settings)
        raise PortalError(f"scope `{scope.id}` has no setting `{into.setting}`", hint=hint)
    _acting(catalogue.shop, into.by)
    path = folder / scope.file
    with held(path):
        known = {each.id for setting in scope.settings.values() for each in setting.calibrations}
        id_ = next(name for name in _ids(into.day) if name not in known)
        evidence = tuple(
            f"{scope.id}/{id_}-{number}{each.suffix}" for number, each in enumerate(made.pictures, start=1)
        )
        text = _with(path.read_text(encoding="utf-8"), made, into, id_, evidence)
        _refuse_wrong(folder, scope, text)
        (path.parent / scope.id).mkdir(exist_ok=True)
        for name, picture in zip(evidence, made.pictures, strict=True):
            shutil.copyfile(picture, path.parent / name)
        write_whole(path, text.encode("utf-8"))
    return id_


def _acting(shop: Shop, by: str | None) -> None:
    party(shop, by, to="calibrate", engineer=False)


def _ids(day: date) -> list[str]:
    return [f"CAL-{day.isoformat()}", *(f"CAL-{day.isoformat()}-{number}" for number in range(2, 100))]


def _with(text: str, made: Calibrated, into: Into, id_: str, evidence: tuple[str, ...]) -> str:
    size = made.size
    entry = {
        "id": id_,
        "frame": made.frame,
        "x": f"{size.x_um:.5g} um",
        "u_x": f"{size.u_x_um:.2g} um",
        "y": f"{size.y_um:.5g} um",
        "u_y": f"{size.u_y_um:.2g} um",
        "artefact": into.artefact,
        **({"certificate": {"number": into.certificate, "u": into.u.text}} if into.certificate else {}),
        "date": into.day.isoformat(),
        "valid_until": into.valid_until.isoformat(),
        "by": into.by or "",
        "evidence": list(evidence),
    }
    return changed(text, lambda data: data["settings"][into.setting]["calibrations"].append(written(entry)))


def _refuse_wrong(folder: Path, scope: Scope, text: str) -> None:
    wrong = record_of(folder, Scope, scope.file, text, id=scope.id)
    if isinstance(wrong, tuple):
        raise PortalError("; ".join(f"{each.field}: {each.message}" for each in wrong), problems=wrong)
