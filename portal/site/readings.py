"""What is measured of a class: how each characteristic has to be seen, and which views of the parts show it so."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from portal.model.part import Part
from portal.model.readable import by_gauge, read_in, shapes_for
from portal.model.say import Say, Several
from portal.model.standard import Criterion
from portal.model.terms import Characteristic, SeenAs
from portal.site.agreed import criteria_in_force
from portal.site.desk import Desk


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One characteristic: the view it needs, what is drawn for it, where the parts' views give it."""

    name: Say
    needs: Say
    drawn: Say
    views: tuple[tuple[str, str, Say], ...]
    """Part, address of its page, and its views that show it, or that none does."""


def reading_lines(desk: Desk, defect: str) -> tuple[ReadingLine, ...]:
    """The characteristics that criteria of the class limit or that were measured of it."""
    criteria = [(own, where) for own, where in criteria_in_force(desk) if own.defect == defect]
    wanted = {*(each for own, _ in criteria for each in characteristics_of(own)), *_measured(desk, defect)}
    parts = tuple(_parts(desk, [own for own, _ in criteria]))
    return tuple(_line(desk, each, parts) for each in Characteristic if each in wanted)


def characteristics_of(own: Criterion) -> tuple[Characteristic, ...]:
    """What a criterion limits."""
    counted = (Characteristic.COUNT,) if own.count else ()
    apart = (Characteristic.SPACING,) if own.spacing else ()
    return (*(limit.characteristic for limit in own.limits), *counted, *apart)


def needs(characteristic: Characteristic) -> Say:
    """How a view has to see the zone."""
    ways = read_in(characteristic)
    if ways == {SeenAs.PROFILE}:
        return Say.of("reading.profile")
    return Say.of("reading.plane" if len(ways) > 1 else "reading.face")


def _measured(desk: Desk, defect: str) -> Iterator[Characteristic]:
    for _, each in desk.by_defect.get(defect, ()):
        yield from each.characteristics


def _parts(desk: Desk, criteria: Iterable[Criterion]) -> Iterator[tuple[Part, frozenset[str]]]:
    """The parts with zones in which one of the criteria may hold, and those zones."""
    classes = {own.zone_class for own in criteria if own.zone_class}
    zones = {own.zone for own in criteria if own.zone}
    for part in desk.site.catalogue.parts.values():
        own = frozenset(name for name, zone in part.zones.items() if zone.class_ in classes or name in zones)
        if own:
            yield part, own


def _line(desk: Desk, each: Characteristic, parts: tuple[tuple[Part, frozenset[str]], ...]) -> ReadingLine:
    return ReadingLine(
        name=Say.of(f"characteristic.{each.value}"),
        needs=needs(each),
        drawn=_drawn(each),
        views=tuple((part.name, desk.addresses.part(part.id), _views(part, zones, each)) for part, zones in parts),
    )


def _drawn(each: Characteristic) -> Say:
    shapes = tuple(Say.of(f"shape.{kind.value}") for kind in shapes_for(each))
    if not shapes:
        return Say.of("reading.counted")
    return Say.of("reading.drawn_or_gauge" if by_gauge(each) else "reading.drawn", shapes=Several(shapes))


def _views(part: Part, zones: frozenset[str], each: Characteristic) -> Say:
    shown: dict[str, list[str]] = {}
    for name, view in part.views.items():
        for zone in zones:
            if zone in view.sees and view.sees[zone].as_ in read_in(each):
                shown.setdefault(name, []).append(zone)
    if not shown:
        return Say.of("reading.no_view", n=len(zones), zones=Several(tuple(sorted(zones))))
    listed = (
        Say.of("reading.view", view=view, n=len(found), zones=Several(tuple(sorted(found))))
        for view, found in shown.items()
    )
    return Say.of("told.list", all=Several(tuple(listed)))
