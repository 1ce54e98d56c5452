"""`portal calibrate`: micrometres per pixel from pictures of a stage micrometer, and perhaps into the scope's file."""

import math
import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from ruamel.yaml.comments import CommentedMap

from portal.assess.pixels import Distortion, Graticule, PixelSize, distortion, pixel_size
from portal.catalog import read
from portal.catalog.alone import held, record_of
from portal.catalog.change import changed, written
from portal.catalog.write import write_whole
from portal.model.catalogue import Catalogue
from portal.model.picture import PictureUnreadable
from portal.model.scalars import Frame, Length
from portal.model.scope import Scope, Setting
from portal.pictures.facts import read_facts
from portal.problem import PortalError, did_you_mean
from portal.tasks.acting import party
from portal.tasks.micrometer import read_picture


@dataclass(frozen=True, slots=True)
class Calibrated:
    """What the pictures say."""

    frame: Frame
    size: PixelSize
    distortion: Distortion
    readings: tuple[Graticule, ...]
    """One for each picture; the scale is that of the first one or two."""
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


def calibrate(pictures: tuple[Path, ...], *, pitch: Length, u: Length, corners: tuple[Path, ...] = ()) -> Calibrated:
    """Read one picture, or two that are turned against each other; PortalError where one isn't of a graticule.

    `corners` are pictures of the same micrometer moved towards the corners of the field, for the distortion.
    """
    if pitch.um <= 0 or u.um < 0:
        raise PortalError("a division is longer than nothing, its uncertainty at least nothing", code=2)
    found = [read_picture(each) for each in (*pictures, *corners)]
    frames = {str(frame): frame for frame, _ in found}
    if len(frames) > 1:
        raise PortalError(f"the pictures have different sizes: {', '.join(sorted(frames))} pixels")
    frame = next(iter(frames.values()))
    readings = tuple(reading for _, reading in found)
    second = readings[1] if len(pictures) > 1 else None
    try:
        size = pixel_size(readings[0], second, pitch_um=pitch.um, artefact_u_um=u.um)
    except ValueError as error:
        hint = "turn the micrometer by about 90 degrees for the second picture"
        raise PortalError("in both pictures the marks run alike, so they give one axis only", hint=hint) from error
    field = distortion(readings, size, pitch_um=pitch.um, frame=(frame.width, frame.height))
    return Calibrated(frame, size, field, readings, (*pictures, *corners), _taken(pictures[0]))


def _taken(picture: Path) -> date | None:
    facts = read_facts(picture)
    if isinstance(facts, PictureUnreadable) or not facts.taken:
        return None
    try:
        return date.fromisoformat(facts.taken[:10])
    except ValueError:
        return None


def setting_of(catalogue: Catalogue, scope: str, setting: str) -> tuple[Scope, Setting]:
    """A scope with one of its settings; refused where there is none, with what may have been meant."""
    known = catalogue.scopes.get(scope)
    if known is None:
        raise PortalError(f"there is no scope `{scope}`", hint=did_you_mean(scope, catalogue.scopes))
    if setting not in known.settings:
        raise PortalError(f"scope `{scope}` has no setting `{setting}`", hint=did_you_mean(setting, known.settings))
    return known, known.settings[setting]


def stated_distortion(setting: Setting) -> float | None:
    """What the setting says of its distortion by now, as a share."""
    return setting.distortion.value if setting.distortion else None


def write(folder: Path, made: Calibrated, into: Into) -> str:
    """Add the calibration to its setting, with the pictures as evidence beside the scope's file; gives its id.

    A distortion for which the budget has no room is written too, so that every measurement carries it.
    """
    catalogue = read(folder).catalogue
    if catalogue is None:
        raise PortalError("catalog.yaml can't be read", code=1)
    scope, setting = setting_of(catalogue, into.scope, into.setting)
    party(catalogue.shop, into.by, to="calibrate", engineer=False)
    path = folder / scope.file
    with held(path):
        text = path.read_bytes().decode("utf-8")
        known = set(re.findall(r"CAL-[0-9]{4}-[0-9]{2}-[0-9]{2}(?:-[0-9]+)?", text))
        id_ = next(name for name in _ids(into.day) if name not in known)
        evidence = tuple(
            f"{scope.id}/{id_}-{number}{each.suffix}" for number, each in enumerate(made.pictures, start=1)
        )
        carried = made.distortion.exceeds(stated_distortion(setting), made.size)
        text = _with(text, made, into, id_, evidence, carried=carried)
        _refuse_wrong(folder, scope, text)
        (path.parent / scope.id).mkdir(exist_ok=True)
        for name, picture in zip(evidence, made.pictures, strict=True):
            write_whole(path.parent / name, picture.read_bytes())
        write_whole(path, text.encode("utf-8"))
    return id_


def _ids(day: date) -> list[str]:
    return [f"CAL-{day.isoformat()}", *(f"CAL-{day.isoformat()}-{number}" for number in range(2, 100))]


def _with(text: str, made: Calibrated, into: Into, id_: str, evidence: tuple[str, ...], *, carried: bool) -> str:
    def change(data: CommentedMap) -> None:
        setting = data["settings"][into.setting]
        if not setting["calibrations"]:
            setting["calibrations"].fa.set_block_style()
        setting["calibrations"].append(written(_entry(made, into, id_, evidence)))
        if carried:
            setting["distortion"] = share_text(made.distortion.half_width)

    return changed(text, change)


def share_text(share: float) -> str:
    """A share as a scope's file has it, in percent, rounded up so that nothing is lost of it.

    >>> share_text(0.003141)
    '0.32 %'
    """
    return f"{math.ceil(share * 1e4 - 1e-9) / 100:g} %"


def um_text(um: float, *, digits: int) -> str:
    """A length as a scope's file has it: never with an exponent, which no length of a catalogue has.

    >>> um_text(0.0000634, digits=2)
    '0.000063 um'
    """
    return f"{Decimal(f'{um:.{digits}g}'):f} um"


def _entry(made: Calibrated, into: Into, id_: str, evidence: tuple[str, ...]) -> dict[str, object]:
    size = made.size
    return {
        "id": id_,
        "frame": str(made.frame),
        "x": um_text(size.x_um, digits=5),
        "u_x": um_text(size.u_x_um, digits=2),
        "y": um_text(size.y_um, digits=5),
        "u_y": um_text(size.u_y_um, digits=2),
        "artefact": into.artefact,
        **({"certificate": {"number": into.certificate, "u": into.u.text}} if into.certificate else {}),
        "date": into.day.isoformat(),
        "valid_until": into.valid_until.isoformat(),
        "by": into.by or "",
        "evidence": list(evidence),
    }


def _refuse_wrong(folder: Path, scope: Scope, text: str) -> None:
    wrong = record_of(folder, Scope, scope.file, text, id=scope.id)
    if isinstance(wrong, tuple):
        raise PortalError("; ".join(f"{each.field}: {each.message}" for each in wrong), problems=wrong)
