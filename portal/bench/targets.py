"""What of a tag a save is about: a finding, more of one that is written elsewhere, its masks, its known feature."""

from collections.abc import Mapping
from typing import Any, Protocol

from ruamel.yaml.comments import CommentedMap, CommentedSeq

from portal.bench.bodies import Save
from portal.bench.drawing import as_text, finding_of, now, unfit
from portal.bench.index import Spot
from portal.bench.refused import Refused
from portal.bench.state import Bench
from portal.catalog.change import changed_entry, drop, merge, put_among, written
from portal.catalog.validate import validate
from portal.model.digest import digest
from portal.model.picture import PictureFacts
from portal.model.scalars import Points, read_points
from portal.model.tag import BurnedInBar, Finding, Reference, Tag

_ORDER = ("characteristic", "shape", "base", "point", "points", "edge", "drawn", "height_difference")
"""In which a shape's keys are written."""
OF_KNOWN_LENGTH = {"reference": "reference", "bar": "burned_in_bar"}
"""What is of known length in a picture, by the tag's key."""
UNNAMED = {"defect": "-", "zone": "-", "seen": "not checked"}
"""What a finding's reader wants beside shapes, where only these are asked about."""


def digest_of(data: Any) -> str:
    """The digest of a finding or of a picture's place, by which the page says what it was given; empty for none."""
    return digest(as_text(data)) if data else ""


class Target(Protocol):
    """Where in a tag something stands, and how it is put there."""

    id: str
    """Of the finding, where it is one."""
    given: Any
    """What shall stand there, as plain data; nothing where it is taken away."""

    def stands(self, tag: Tag) -> Any:
        """What a tag holds of it, as plain data; nothing where it holds none."""

    def put(self, data: CommentedMap) -> None:
        """Write it into a tag's file, or take it away."""

    def put_alone(self, text: str) -> str | None:
        """The file's text with it, where nothing else of the file changes; None where that is no quicker."""


class OfFinding:
    """A finding that is written under this picture."""

    def __init__(self, id_: str, given: dict[str, Any] | None) -> None:
        self.id = id_
        self.given = given

    def stands(self, tag: Tag) -> Any:
        """The finding."""
        return next((each.written() for each in tag.findings if each.id == self.id), None)

    def put(self, data: CommentedMap) -> None:
        """Among the findings; without an id there is none."""
        if self.id:
            put_among(data, "findings", ("id", self.id), self.given)

    def put_alone(self, text: str) -> str | None:
        """Its own lines."""
        return changed_entry(text, "findings", ("id", self.id), self.given) if self.id else None


class OfMore:
    """Shapes of a finding that is written under another picture of the same piece."""

    def __init__(self, id_: str, given: dict[str, Any] | None) -> None:
        self.id = id_
        self.given = given

    def stands(self, tag: Tag) -> Any:
        """What this picture adds."""
        return next((each.written() for each in tag.also if each.finding == self.id), None)

    def put(self, data: CommentedMap) -> None:
        """Below `also`."""
        put_among(data, "also", ("finding", self.id), self.given)

    def put_alone(self, text: str) -> str | None:
        """Its own lines."""
        return changed_entry(text, "also", ("finding", self.id), self.given)


class OfPicture:
    """What the picture has one of: its masks, the known feature drawn on it."""

    id = ""

    def __init__(self, name: str, given: Any) -> None:
        self._name = name
        self.given = given

    def stands(self, tag: Tag) -> Any:
        """All of them, or it."""
        return tag.written().get(self._name)

    def put(self, data: CommentedMap) -> None:
        """Below its name, ahead of what was found."""
        if not self.given:
            drop(data, self._name)
        elif self._name in data:
            data[self._name] = merge(data[self._name], self.given)
        else:
            made = written(self.given)
            if isinstance(made, CommentedMap):
                made.fa.set_flow_style()
            if isinstance(made, CommentedSeq):
                made.fa.set_block_style()
            keys = list(data)
            data.insert(
                min([keys.index(each) for each in ("findings", "also") if each in keys] or [len(keys)]),
                self._name,
                made,
            )

    def put_alone(self, text: str) -> str | None:
        """It is short."""
        return None


def target_of(bench: Bench, spot: Spot, asked: Save, id_: str, own: PictureFacts) -> Target:
    """What a save is about, checked; PortalError where it is nothing that can be written."""
    if asked.what == "masks":
        return OfPicture("masks", [each.text for each in _masks(asked.finding, own)])
    if asked.what == "known":
        return OfPicture("known", _known(bench, spot, asked, own))
    if asked.what in ("reference", "bar"):
        return OfPicture(OF_KNOWN_LENGTH[asked.what], _length(asked, own))
    if asked.what == "also":
        return OfMore(id_, _more(bench, spot, asked, own))
    return OfFinding(id_, _finding(bench, asked, id_, own))


def drawn_shapes(data: Mapping[str, Any], own: PictureFacts) -> Finding:
    """Shapes without a finding of their own, checked as a finding's are."""
    return finding_of(
        {**UNNAMED, "shapes": data.get("shapes", [])}, id_="0000", by="-", at="2000-01-01T00:00", frame=own.upright
    )


def home_of(spot: Spot, id_: str) -> Finding:
    """The finding of another picture of this trial to which this picture adds; PortalError where there is none."""
    for picture in spot.trial.pictures:
        for finding in picture.tag.findings if picture.tag and picture.file != spot.picture.file else ():
            if finding.id == id_ and spot.mould.may_share_part(picture, spot.picture):
                return finding
    raise Refused("refused.no_home", finding=id_)


def _finding(bench: Bench, asked: Save, id_: str, own: PictureFacts) -> dict[str, Any] | None:
    if asked.finding is None:
        return None
    data = {name: value for name, value in asked.finding.items() if name not in {"id", "by", "at"}}
    at = now(bench.catalogue.shop.time_zone)
    return _ordered(as_text(finding_of(data, id_=id_, by=asked.by, at=at, frame=own.upright).given()))


def _more(bench: Bench, spot: Spot, asked: Save, own: PictureFacts) -> dict[str, Any] | None:
    home = home_of(spot, asked.id)
    if asked.finding is None:
        return None
    given = _ordered(as_text(drawn_shapes(asked.finding, own).given()))
    at = now(bench.catalogue.shop.time_zone)
    return {"finding": home.id, "shapes": given["shapes"], "by": asked.by, "at": at}


def _ordered(given: dict[str, Any]) -> dict[str, Any]:
    if "shapes" in given:
        given["shapes"] = [{name: each[name] for name in sorted(each, key=_ORDER.index)} for each in given["shapes"]]
    return given


def _masks(given: Mapping[str, Any] | None, own: PictureFacts) -> list[Points]:
    masks = (given or {}).get("masks", [])
    if not isinstance(masks, list):
        raise Refused("refused.masks")
    return [_points(each, own, least=3) for each in masks]


def _known(bench: Bench, spot: Spot, asked: Save, own: PictureFacts) -> dict[str, str] | None:
    if asked.finding is None:
        return None
    part = bench.catalogue.parts.get(bench.catalogue.part_of(spot.mould, asked.place.cavity or None) or "")
    view = part.views.get(asked.place.view) if part else None
    if view is None or view.known_feature is None:
        raise Refused("refused.no_feature")
    return {"feature": view.known_feature.name, "points": _points(asked.finding.get("points"), own, least=2).text}


def _length(asked: Save, own: PictureFacts) -> dict[str, str] | None:
    """A reference, or the bar that a camera program drew, from end to end."""
    if asked.finding is None:
        return None
    record: type[Reference | BurnedInBar] = Reference if asked.what == "reference" else BurnedInBar
    points = _points(asked.finding.get("points"), own, least=2).text
    names: list[str] = [name for name in ("length", "u", "source") if name in record.model_fields]
    known = {name: str(asked.finding.get(name, "")).strip() for name in names}
    made = validate(record, {**known, "points": points}, {}, given={})
    if isinstance(made, tuple):
        raise unfit(made)
    if made.length.um <= 0 or (isinstance(made, Reference) and made.u.um <= 0):
        raise Refused("refused.nothing_long")
    return {name: value for name, value in (*known.items(), ("points", points)) if value}


def _points(given: Any, own: PictureFacts, *, least: int) -> Points:
    try:
        points = read_points(str(given))
    except ValueError as error:
        raise Refused("refused.fields", fields=(("", str(error)),)) from error
    if len(points.xy) < least:
        raise Refused("refused.few_points", least=str(least))
    if any(not (0 <= x <= own.upright.width and 0 <= y <= own.upright.height) for x, y in points.xy):
        raise Refused("refused.outside", frame=str(own.upright))
    return points
