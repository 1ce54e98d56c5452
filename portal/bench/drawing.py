"""What the browser drew, as a record: checked as a file of the catalogue would be, and against the picture."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from portal.bench.bodies import Place
from portal.bench.index import Spot
from portal.bench.refused import Refused, unreadable
from portal.catalog.text import Fault
from portal.catalog.validate import validate
from portal.model.clock import zone_of
from portal.model.picture import Facts, PictureFacts
from portal.model.scalars import Frame, Points
from portal.model.tag import BaseAndPoint, Finding, Shape, Tag

UNSAVED = "0000"
"""The id under which a finding is judged before it is written."""


def now(time_zone: str) -> str:
    """The moment as the shop's clock shows it."""
    return datetime.now(zone_of(time_zone)).isoformat(timespec="seconds")


def unfit(faults: Iterable[Fault]) -> Refused:
    """What a record's reader says is wrong with what was sent."""
    fields = tuple(dict.fromkeys((".".join(each.path), each.message) for each in faults))
    return Refused("refused.fields", fields=fields)


def facts_of(spot: Spot, facts: Mapping[str, Facts]) -> PictureFacts:
    """What the picture's file says of itself; refused where it can't be read."""
    own = facts.get(spot.picture.file)
    if own is None:
        raise Refused("refused.gone", picture=spot.picture.name)
    if not isinstance(own, PictureFacts):
        raise unreadable(own, spot.picture.name)
    return own


def drawn_on(spot: Spot, facts: Mapping[str, Facts], shown: str) -> PictureFacts:
    """The same for something that was drawn; refused where the file isn't the one that the page shows any more."""
    own = facts_of(spot, facts)
    if shown and own.sha256 != shown:
        raise Refused("refused.replaced", hint="refused.open_again", picture=spot.picture.name)
    return own


def finding_of(data: Mapping[str, Any], *, id_: str, by: str, at: str, frame: Frame) -> Finding:
    """The finding as a record; refused with what is wrong with it."""
    whole = {**data, "id": id_, "by": by, "at": at}
    made = validate(Finding, whole, {}, given={})
    if isinstance(made, tuple):
        raise unfit(made)
    for shape in made.shapes:
        for points in _points(shape):
            if any(not (0 <= x <= frame.width and 0 <= y <= frame.height) for x, y in points.xy):
                raise Refused("refused.outside", frame=str(frame))
    return made


def tag_of(spot: Spot, place: Place, own: PictureFacts) -> Tag:
    """The picture's tag with what the page says of its place."""
    base: dict[str, Any] = spot.picture.tag.written() if spot.picture.tag else {"format": "1"}
    if spot.picture.tag is None:
        base["picture"] = {"sha256": own.sha256, "stored": str(own.stored)}
    given = {name: value for name, value in place.model_dump().items() if value}
    kept = {name: value for name, value in base.items() if name not in Place.model_fields}
    made = validate(Tag, as_text({**kept, **given}), {}, given={"file": ""})
    if isinstance(made, tuple):
        raise unfit(made)
    return made


def as_text(data: Any) -> Any:
    """Plain data as a catalogue's file holds it: every value is text."""
    if isinstance(data, Mapping):
        return {str(key): as_text(value) for key, value in data.items()}
    if isinstance(data, (list, tuple)):
        return [as_text(each) for each in data]
    return str(data).lower() if isinstance(data, bool) else str(data)


def _points(shape: Shape) -> Iterator[Points]:
    if isinstance(shape, BaseAndPoint):
        yield shape.base
        yield shape.point
    else:
        yield shape.points
