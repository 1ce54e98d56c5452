"""Writes what was drawn into the picture's tag file, without losing what somebody else wrote meanwhile."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ruamel.yaml.comments import CommentedMap, CommentedSeq

from portal.bench.bodies import Place, Save
from portal.bench.drawing import as_text, facts_of, finding_of, now, tag_of
from portal.bench.ids import new_id, used_in
from portal.bench.index import Spot
from portal.bench.state import Bench
from portal.catalog.alone import held, keep_beside, record_of, tag_file
from portal.catalog.change import changed, merge, written
from portal.catalog.write import write_whole
from portal.model.digest import digest
from portal.model.picture import PictureFacts
from portal.model.tag import Tag
from portal.problem import PortalError

Data = Mapping[str, Any]
Change = Callable[[CommentedMap], None]


_ORDER = ("characteristic", "shape", "base", "point", "points", "edge", "drawn", "height_difference")
"""In which a shape's keys are written."""


@dataclass(frozen=True, slots=True)
class Saved:
    """What came of it: the finding's id, the picture as it is now, or the file in which the loser was kept."""

    id: str
    spot: Spot
    conflict: str | None = None


def digest_of(data: Any) -> str:
    """The digest of a finding or of a picture's place, by which the page says what it was given; empty for none."""
    return digest(as_text(data)) if data else ""


def place_of(tag: Tag | None) -> dict[str, str]:
    """What a tag says of its picture's place, as the page has it; empty texts where it says nothing."""
    given = tag.written() if tag else {}
    return {name: str(given.get(name, "")) for name in Place.model_fields}


def save(bench: Bench, asked: Save) -> Saved:
    """Write a finding, or take one away; what was changed on disk since the page was given it is never written over.

    PortalError where it can't be written.
    """
    if asked.by not in bench.catalogue.shop.people:
        raise PortalError(f"`{asked.by}` is not among `people` in catalog.yaml")
    with bench.lock:
        spot = bench.index.spot(asked.picture)
        own = facts_of(spot, bench.facts)
        if spot.picture.tag_broken:
            raise PortalError(f"the tag file can't be read ({spot.picture.tag_broken}); mend it first")
        bench.logs.refuse_sent(_touched(asked, spot))
        id_ = asked.id or (
            new_id(used_in(bench.catalogue) | bench.logs.ids() | bench.reserved) if asked.finding else ""
        )
        tag_of(spot, asked.place, own)
        finding = _finding(asked, id_, own, bench)
        path = bench.tag_path(spot.picture)
        with held(path):
            conflict = _write(bench, spot, path, asked, (id_, finding), own)
        bench.reserved.update({id_} - {""})
        return Saved(id_, bench.put(spot), conflict)


def _touched(asked: Save, spot: Spot) -> set[str]:
    """The findings whose basis would be another: the one itself, and all of the picture where its place changes."""
    own = {asked.id} if asked.id else set()
    tag = spot.picture.tag
    if tag is None or place_of(tag) == asked.place.model_dump():
        return own
    return own | {each.id for each in tag.findings} | {each.finding for each in tag.also}


def _finding(asked: Save, id_: str, own: PictureFacts, bench: Bench) -> dict[str, Any] | None:
    if asked.finding is None:
        return None
    data = {name: value for name, value in asked.finding.items() if name not in {"id", "by", "at"}}
    at = now(bench.catalogue.shop.time_zone)
    made = finding_of(data, id_=id_, by=asked.by, at=at, frame=own.upright)
    given: dict[str, Any] = as_text(made.given())
    if made.shapes:
        given["shapes"] = [{name: each[name] for name in sorted(each, key=_ORDER.index)} for each in given["shapes"]]
    return given


def _write(
    bench: Bench, spot: Spot, path: Path, asked: Save, wanted: tuple[str, dict[str, Any] | None], own: PictureFacts
) -> str | None:
    """Write the tag, or what lost beside it; gives the name of the latter."""
    there = path.read_bytes().decode("utf-8") if path.exists() else None
    change = _change(asked, wanted)
    base = there if there is not None else _empty(own)
    file = tag_file(spot.picture.file)
    clash = there is not None and _clashes(there, asked, own, bench, file)
    if not clash:
        text = changed(base, change)
        _refuse_wrong(bench, file, text)
        write_whole(path, text.encode("utf-8"))
        return None
    last = _last(spot, own)
    return keep_beside(path, changed(last, change).encode("utf-8")).name


def _change(asked: Save, wanted: tuple[str, dict[str, Any] | None]) -> Change:
    id_, finding = wanted

    def change(data: CommentedMap) -> None:
        _place(data, asked.place)
        findings = data.get("findings")
        if not isinstance(findings, CommentedSeq):
            if finding is None:
                return
            findings = CommentedSeq()
            data["findings"] = findings
        at = next((place for place, each in enumerate(findings) if _id(each) == id_), None)
        if finding is None:
            if at is not None:
                del findings[at]
            if not findings:
                del data["findings"]
        elif at is None:
            if not findings:
                findings.fa.set_block_style()
            findings.append(written(finding))
        else:
            merge(findings[at], finding)

    return change


def _place(data: CommentedMap, place: Place) -> None:
    """Set what the picture shows; keys that the page leaves empty go."""
    ahead = [name for name in ("format", "picture", "taken") if name in data]
    for name, value in place.model_dump().items():
        if not value:
            data.pop(name, None)
        elif name not in data:
            data.insert(_behind(data, ahead), name, _written(name, value))
        elif str(data[name]) != value:
            data[name] = _written(name, value)
        if name in data:
            ahead.append(name)


def _written(name: str, value: str) -> Any:
    """A shot is a number, also where other programs read the file; anything else is text."""
    return value if name == "shot" and value.isdigit() else written(value)


def _behind(data: CommentedMap, ahead: list[str]) -> int:
    keys = list(data)
    return max((keys.index(name) + 1 for name in ahead if name in data), default=0)


def _id(finding: object) -> str:
    return str(finding.get("id", "")) if isinstance(finding, CommentedMap) else ""


def _clashes(there: str, asked: Save, own: PictureFacts, bench: Bench, file: str) -> bool:
    """Whether what the page was given isn't what stands on disk now; what others added elsewhere is no clash."""
    tag = record_of(bench.folder, Tag, file, there)
    if isinstance(tag, tuple):
        return True
    if tag.picture.sha256 != own.sha256:
        raise PortalError("this is another picture than the one that was tagged under this name")
    place = place_of(tag)
    if digest_of(place) != asked.place_seen and place != asked.place.model_dump():
        return True
    stands = next((each for each in tag.findings if each.id == asked.id), None)
    return digest_of(stands.written() if stands else None) != asked.seen


def _last(spot: Spot, own: PictureFacts) -> str:
    """The tag as this bench last read it."""
    if spot.picture.tag is None:
        return _empty(own)

    def fill(data: CommentedMap) -> None:
        assert spot.picture.tag is not None
        merge(data, as_text(spot.picture.tag.written()))

    return changed(_empty(own), fill)


def _empty(own: PictureFacts) -> str:
    return f"format: 1\npicture: {{sha256: {own.sha256}, stored: {own.stored}}}\n"


def _refuse_wrong(bench: Bench, file: str, text: str) -> None:
    """Nothing is written that the catalogue's own reader wouldn't take."""
    made = record_of(bench.folder, Tag, file, text)
    if isinstance(made, tuple):
        raise PortalError("; ".join(f"{each.field}: {each.message}" for each in made), problems=made)
