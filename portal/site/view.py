"""A picture as a page shows it: the field, where its pixels go, the lines over it, the scale bar."""

import math
from dataclasses import dataclass

from portal.model.ladder import bar_for
from portal.model.say import Say
from portal.site.crop import Cut
from portal.site.desk import Desk, Image
from portal.site.drawn import Line
from portal.site.rect import Point, Rect

_TICK = 0.014
"""Half the length of a dimension's end tick, of the field's width."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A scale bar: its label, and its length in percent of the picture's width."""

    label: str
    percent: float


@dataclass(frozen=True, slots=True)
class Path:
    """A line as SVG path data, in the unit of the field."""

    d: str
    kind: str


@dataclass(frozen=True, slots=True)
class View:
    """One picture on a page; numbers are in the unit of its field."""

    field: Rect
    aspect: str
    """`a32`, `a54` ...: the class that gives the frame its shape."""
    alt: Say | str
    image: Image | None
    placed: Rect
    """Where the derived picture lies."""
    paths: tuple[Path, ...] = ()
    bar: Bar | None = None
    missing: Say | str | None = None
    """Why there is no picture."""
    pixel: Point | None = None
    """Width and height of a pixel of the upright picture."""
    smaller: Image | None = None
    """The same picture for a telephone."""


def view_of(
    desk: Desk,
    part: Cut | None,
    *,
    alt: Say,
    aspect: str,
    unit: str | None,
    lines: tuple[Line, ...] = (),
    file: str = "",
) -> View:
    """The view of a crop; `unit` is `mm` or `in`, or None where the picture has no scale."""
    image = desk.image(part.file, part.want) if part else None
    if part is None or image is None:
        empty = Rect(0, 0, 3, 2)
        return View(empty, aspect, alt, None, empty, missing=desk.why_unreadable(part.file if part else file))
    left, top = part.want.box[0] * part.x, part.want.box[1] * part.y
    width, height = image.width * image.divide * part.x, image.height * image.divide * part.y
    return View(
        field=part.field,
        aspect=aspect,
        alt=alt,
        image=image,
        placed=Rect(left, top, left + width, top + height),
        paths=tuple(path for line in lines for path in paths_of(line, part)),
        bar=bar_of(part.field.width, unit) if unit else None,
        pixel=(part.x, part.y),
        smaller=desk.image(part.file, part.smaller) if part.smaller else None,
    )


def bar_of(width_um: float, unit: str) -> Bar:
    """The scale bar of a picture that is so wide."""
    rung = bar_for(width_um, unit)
    return Bar(rung.label, 100 * rung.um / width_um)


def paths_of(line: Line, part: Cut) -> tuple[Path, ...]:
    """A line over a picture, as path data in the unit of its field."""
    points = [(x * part.x, y * part.y) for x, y in line.points]
    if line.kind == "dimension":
        return (Path(_dimension(points[0], points[1], part, aside=line.aside), "dimension"),)
    if line.kind == "direct":
        return (Path(_measured(points[0], points[1], part.field), "dimension"),)
    if line.kind == "spot":
        return (spot_path(points[0], part.field),)
    return (Path(path_data(points, closed=line.closed), line.kind),)


def spot_path(at: Point, field: Rect) -> Path:
    """A cross at a spot, in the unit of the field."""
    return Path(_cross(at, field), "outline")


def path_data(points: list[Point], *, closed: bool) -> str:
    """Points as SVG path data."""
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + ("Z" if closed else "")


def _dimension(foot: Point, tip: Point, part: Cut, *, aside: float | None) -> str:
    """A dimension beside what it measures, as on a drawing: two extension lines and the line between them."""
    _, across = _direction(foot, tip)
    reach = (aside or 0.0) * part.x
    reach = reach if across[0] >= 0 else -reach
    limit = (part.field.right - foot[0] if reach * across[0] > 0 else foot[0] - part.field.left) * 0.94
    reach = math.copysign(min(abs(reach), limit), reach)
    dx, dy, near, over = across[0] * reach, across[1] * reach, 0.08, 1.07
    lines = [
        f"M{_n(x + dx * near)} {_n(y + dy * near)}L{_n(x + dx * over)} {_n(y + dy * over)}" for x, y in (foot, tip)
    ]
    return "".join([*lines, _measured((foot[0] + dx, foot[1] + dy), (tip[0] + dx, tip[1] + dy), part.field)])


def _measured(a: Point, b: Point, field: Rect) -> str:
    """A line with a tick at right angles at either end."""
    _, across = _direction(a, b)
    tick = field.width * _TICK
    ticks = [
        f"M{_n(x - across[0] * tick)} {_n(y - across[1] * tick)}L{_n(x + across[0] * tick)} {_n(y + across[1] * tick)}"
        for x, y in (a, b)
    ]
    return f"M{_n(a[0])} {_n(a[1])}L{_n(b[0])} {_n(b[1])}" + "".join(ticks)


def _cross(at: Point, field: Rect) -> str:
    arm = field.width * _TICK * 1.6
    x, y = at
    return f"M{_n(x - arm)} {_n(y)}H{_n(x + arm)}M{_n(x)} {_n(y - arm)}V{_n(y + arm)}"


def _direction(a: Point, b: Point) -> tuple[Point, Point]:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    if length == 0:
        return (0.0, -1.0), (1.0, 0.0)
    return (dx / length, dy / length), (-dy / length, dx / length)


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
