"""A check of a setting's scale by a picture of the graticule: drawn or found by itself, told, and written.

What it comes to is worked out as a build works it out from the scope's file, so that both say the same.
"""

import re
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from ruamel.yaml.comments import CommentedMap, CommentedSeq

from portal.assess.graticule import Compared, compared
from portal.catalog import read
from portal.catalog.alone import held, record_of
from portal.catalog.change import changed, written
from portal.catalog.write import write_whole
from portal.model.catalogue import Catalogue
from portal.model.clock import zone_of
from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.scalars import Length, Moment, Points, read_points
from portal.model.scope import ScaleCheck, Scope
from portal.model.slug import slug
from portal.pictures.facts import read_facts
from portal.problem import PortalError
from portal.tasks.acting import party
from portal.tasks.calibrate import setting_of
from portal.tasks.micrometer import read_picture


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line over something of known length."""

    points: Points
    length: Length


@dataclass(frozen=True, slots=True)
class Wanted:
    """A check as somebody wants it: which setting, by which picture, and what was drawn on it."""

    scope: str
    setting: str
    picture: Path
    line: Line
    by: str


def found_line(picture: Path, pitch: Length) -> Line:
    """From the first mark that can be read to the last, as far as the line between them lies in the picture.

    PortalError where it is no picture of a graticule.
    """
    if pitch.um <= 0:
        raise PortalError("a division is longer than nothing", code=2)
    frame, reading = read_picture(picture)
    divisions, *ends = reading.within(frame.width, frame.height)
    points = read_points(" ".join(f"{x:.2f},{y:.2f}" for x, y in ends))
    um = divisions * pitch.um
    return Line(points, Length(um, f"{um / 1000:.10g} mm" if um >= 1000 else f"{um:.10g} um"))


def compare(catalogue: Catalogue, wanted: Wanted) -> Compared:
    """What the check would say once it is written, by the calibration in force on its day."""
    scope, setting = setting_of(catalogue, wanted.scope, wanted.setting)
    own = _facts(wanted.picture)
    check = _check(wanted, name="-", at=taken_at(own, catalogue))
    trial = setting.model_copy(update={"checks": (*setting.checks, check)})
    made = scope.model_copy(update={"settings": {**scope.settings, wanted.setting: trial}})
    fresh = replace(catalogue, scopes={**catalogue.scopes, scope.id: made})
    found = compared(made, wanted.setting, len(setting.checks), {made.path_of("-"): own}, fresh)
    if found is None:
        raise PortalError(f"{wanted.picture.name} can't be read")
    return found


def write_check(folder: Path, wanted: Wanted) -> int:
    """Add the check to its setting, with its picture beside the scope's file; gives its number among the checks."""
    catalogue = read(folder).catalogue
    if catalogue is None:
        raise PortalError("catalog.yaml can't be read", code=1)
    scope, _ = setting_of(catalogue, wanted.scope, wanted.setting)
    party(catalogue.shop, wanted.by, to="check a scale", engineer=False)
    at = taken_at(_facts(wanted.picture), catalogue)
    path = folder / scope.file
    content = wanted.picture.read_bytes()
    with held(path):
        text = path.read_bytes().decode("utf-8")
        name = _free_name(path.parent, scope.id, wanted, at)
        check = _check(wanted, name=f"{scope.id}/{name}", at=at)
        after = changed(text, lambda data: _append(data, wanted.setting, check))
        made = record_of(folder, Scope, scope.file, after, id=scope.id)
        if isinstance(made, tuple):
            raise PortalError("; ".join(f"{each.field}: {each.message}" for each in made), problems=made)
        (path.parent / scope.id).mkdir(exist_ok=True)
        write_whole(path.parent / scope.id / name, content)
        write_whole(path, after.encode("utf-8"))
    return len(made.settings[wanted.setting].checks) - 1


def taken_at(own: PictureFacts, catalogue: Catalogue) -> Moment:
    """When the picture was taken, as its file says; else now, on the shop's clock."""
    told = re.fullmatch(r"([0-9]{4}-[0-9]{2}-[0-9]{2})[T ]([0-9]{2}:[0-9]{2})(.*)", own.taken or "")
    if told:
        with suppress(ValueError):
            return Moment(datetime.fromisoformat(f"{told[1]}T{told[2]}").isoformat(timespec="minutes"))
    return Moment(datetime.now(zone_of(catalogue.shop.time_zone)).isoformat(timespec="minutes")[:16])


def _check(wanted: Wanted, *, name: str, at: Moment) -> ScaleCheck:
    line = wanted.line
    return ScaleCheck(picture=name, points=line.points, length=line.length, at=at, by=wanted.by)


def _facts(picture: Path) -> PictureFacts:
    own = read_facts(picture)
    if isinstance(own, PictureUnreadable):
        raise PortalError(f"{picture.name} can't be read: {own.reason}", hint=own.hint)
    return own


def _free_name(folder: Path, scope: str, wanted: Wanted, at: Moment) -> str:
    """A name for the picture that nobody has yet."""
    stem = f"{slug(wanted.setting)}-{at.day}"
    names = (f"{stem}{more}{wanted.picture.suffix}" for more in ("", *(f"-{number}" for number in range(2, 1000))))
    return next(name for name in names if not (folder / scope / name).exists())


def _append(data: CommentedMap, setting: str, check: ScaleCheck) -> None:
    own = data["settings"][setting]
    if not own.get("checks"):
        own["checks"] = CommentedSeq()
        own["checks"].fa.set_block_style()
    own["checks"].append(
        written(
            {
                "picture": check.picture,
                "points": check.points.text,
                "length": check.length.text,
                "at": check.at.text,
                "by": check.by,
            }
        )
    )
