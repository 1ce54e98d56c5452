"""A view's reference picture with the zones outlined, one of them emphasised.

A page holds the outlines of a view once, however many of its cards show them: `outlined` says of which views.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from portal.model.part import Part
from portal.model.say import Say
from portal.model.scalars import Frame
from portal.pictures.derive import Whole
from portal.site.desk import Desk, Image
from portal.site.rect import Point, Rect
from portal.site.view import path_data

MAP_PIXELS = 760


@dataclass(frozen=True, slots=True)
class ZoneOutline:
    """One zone's outline, and where its name stands (percent of the picture)."""

    id: str
    """By which maps of a page name it, the same on every page of the part."""
    name: str
    d: str
    edge: str
    """The outline without edges that are walked twice, as those that join a ring's two rims."""
    here: bool
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class ZoneMap:
    """The reference picture of a view with its zones."""

    id: str
    """By which maps of a page name the outlines of that view."""
    view: str
    image: Image
    width: int
    height: int
    outlines: tuple[ZoneOutline, ...]
    alt: Say
    mark: str | None
    """What stands beside the emphasised zone's name."""


def reference_file(part: Part, view: str) -> str | None:
    """The file of a view's reference picture."""
    known = part.views.get(view)
    return f"parts/{part.id}/{known.reference}" if known and known.reference else None


def map_want(desk: Desk, file: str) -> Whole | None:
    """What is wanted of a reference picture."""
    facts = desk.facts(file)
    return Whole(max(1, facts.upright.width // MAP_PIXELS)) if facts else None


def zone_map(
    desk: Desk, part: Part, view: str | None, *, zone: str | None = None, mark: str | None = None
) -> ZoneMap | None:
    """The map of a view; None where it has no reference picture that can be shown."""
    file = reference_file(part, view) if view else None
    facts = desk.facts(file) if file else None
    want = map_want(desk, file) if file else None
    if view is None or file is None or facts is None or want is None:
        return None
    image = desk.image(file, want)
    if image is None:
        return None
    frame, here = facts.upright, _zones(zone)
    id_ = f"z{list(part.views).index(view)}"
    outlines = tuple(
        _outline(f"{id_}-{number}", name, sees.outline.xy, frame, here=name in here)
        for number, (name, sees) in enumerate(part.views[view].sees.items())
        if sees.outline and len(sees.outline.xy) > 2
    )
    shown = zone is not None and any(each.here for each in outlines)
    alt = Say.of("zonemap.alt_zone", view=view, zone=zone or "") if shown else Say.of("zonemap.alt", view=view)
    return ZoneMap(id_, view, image, frame.width, frame.height, outlines, alt, mark if shown else None)


def outlined(desk: Desk, part: Part, views: Iterable[str | None]) -> tuple[ZoneMap, ...]:
    """The maps of some views, each once and in the part's order, whose outlines a page has to hold."""
    wanted = set(views)
    found = (zone_map(desk, part, view) for view in part.views if view in wanted)
    return tuple(each for each in found if each and each.outlines)


def _zones(zone: str | None) -> set[str]:
    return {zone, *(each.strip() for each in zone.split("/"))} if zone else set()


def _outline(id_: str, name: str, points: tuple[Point, ...], frame: Frame, *, here: bool) -> ZoneOutline:
    x, y = _inside(points)
    d, edge = path_data(list(points), closed=True), _edge(points)
    return ZoneOutline(id_, name, d, edge, here, round(100 * x / frame.width, 2), round(100 * y / frame.height, 2))


def _edge(points: tuple[Point, ...]) -> str:
    sides = list(zip(points, (*points[1:], points[0]), strict=True))
    walked = set(sides)
    runs: list[list[Point]] = []
    for a, b in sides:
        if a == b or (b, a) in walked:
            continue
        if runs and runs[-1][-1] == a:
            runs[-1].append(b)
        else:
            runs.append([a, b])
    return "".join(path_data(run, closed=run[0] == run[-1]) for run in runs)


def _inside(points: tuple[Point, ...]) -> Point:
    """A place for a name: the middle of the widest stretch inside the outline, on the line halfway down."""
    box = Rect.around(points)
    y = box.centre[1]
    edges = zip(points, (*points[1:], points[0]), strict=True)
    cuts = sorted(ax + (y - ay) * (bx - ax) / (by - ay) for (ax, ay), (bx, by) in edges if (ay > y) != (by > y))
    stretches = [(right - left, (left + right) / 2) for left, right in zip(cuts[::2], cuts[1::2], strict=False)]
    return (max(stretches)[1], y) if stretches else box.centre
