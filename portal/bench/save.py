"""Writes what was drawn into the picture's tag file, without losing what somebody else wrote meanwhile."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ruamel.yaml.comments import CommentedMap

from portal.bench.bodies import Place, Save
from portal.bench.drawing import as_text, drawn_on, tag_of
from portal.bench.ids import new_id, used_in
from portal.bench.index import Spot
from portal.bench.refused import Refused, unwritable
from portal.bench.state import Bench
from portal.bench.targets import OF_KNOWN_LENGTH, Target, digest_of, target_of
from portal.bench.unknown import refuse_unknown
from portal.catalog.alone import Busy, held, keep_beside, put_over, record_of, tag_file
from portal.catalog.change import changed, drop, merge, written
from portal.model.picture import PictureFacts
from portal.model.tag import Tag
from portal.problem import Problem


@dataclass(frozen=True, slots=True)
class Saved:
    """What came of it: the finding's id, and what stands there now by the digests that a page holds it by."""

    id: str
    spot: Spot
    """The picture as it is now."""
    seen: str
    place_seen: str
    conflict: str | None = None
    """The file in which the loser was kept."""
    taken: bool = False
    """Nothing was written: somebody else's finding has the id that the page gave."""


def place_of(tag: Tag | None) -> dict[str, str]:
    """What a tag says of its picture's place, as the page has it; empty texts where it says nothing."""
    given = tag.written() if tag else {}
    return {name: str(given.get(name, "")) for name in Place.model_fields}


def save(bench: Bench, asked: Save) -> Saved:
    """Write what was drawn, or take it away; PortalError where it can't be written.

    What was changed on disk since the page was given it is never written over. What stands there already, since the
    page sent it before and never heard of it, isn't written twice.
    """
    if asked.by not in bench.catalogue.shop.people:
        raise Refused("refused.person", name=asked.by)
    with bench.lock:
        spot = bench.fresh(asked.picture)
        own = drawn_on(spot, bench.facts, asked.shown)
        if spot.picture.tag_broken:
            raise Refused("refused.tag_broken", where=spot.picture.tag_broken)
        id_ = asked.id or (_new_id(bench) if asked.finding and asked.what == "finding" else "")
        tag_of(spot, asked.place, own)
        target = target_of(bench, spot, asked, id_, own)
        with held(bench.tag_path(spot.picture)):
            return _saved(bench, spot, asked, target, own)


def _saved(bench: Bench, spot: Spot, asked: Save, target: Target, own: PictureFacts) -> Saved:
    """Write it while nobody else does."""
    path, file = bench.tag_path(spot.picture), tag_file(spot.picture.file)
    there = path.read_bytes() if path.exists() else None
    tag = None if there is None else _tag_in(bench, file, there)
    conflict = None
    if not _is_written(tag, asked, target):
        if _is_taken(bench, tag, asked, target):
            return Saved(target.id, spot, "", "", taken=True)
        bench.logs.refuse_sent(_touched(asked, spot))
        conflict = _write(bench, spot, _There(path, there, tag), asked, target, own)
    bench.reserved.update({target.id} - {""})
    spot = bench.put(spot)
    now = spot.picture.tag
    seen, place_seen = (digest_of(target.stands(now)), digest_of(place_of(now))) if now else ("", "")
    return Saved(target.id, spot, seen, place_seen, conflict)


def _tag_in(bench: Bench, file: str, content: bytes) -> Tag | tuple[Problem, ...]:
    """The tag of a file as it is on disk, or what is wrong with it; Busy while somebody may still be writing it."""
    try:
        made = record_of(bench.folder, Tag, file, content.decode("utf-8"))
    except UnicodeDecodeError:
        made = (Problem(file, 0, "", "not UTF-8"),)
    if isinstance(made, tuple) and bench.may_be_half(file):
        raise Busy(f"{file} is being written", hint="try again in a moment")
    return made


@dataclass(frozen=True, slots=True)
class _There:
    """A tag's file as it is on disk while it is held: its bytes, and what the catalogue's reader makes of them."""

    path: Path
    content: bytes | None
    tag: Tag | tuple[Problem, ...] | None


def _is_written(tag: Tag | tuple[Problem, ...] | None, asked: Save, target: Target) -> bool:
    """Whether it stands there as it is asked for, but for the moment at which it was written.

    A server or a page that ends between writing and hearing of it would else leave what was drawn once in the file
    twice, or take its own words for another's.
    """
    if not isinstance(tag, Tag) or place_of(tag) != asked.place.model_dump():
        return False
    return bool(_timeless(target.stands(tag)) == _timeless(target.given))


def _timeless(data: Any) -> Any:
    """Plain data as text, without the moment at which it was written."""
    plain = as_text(data) if data else None
    return {name: value for name, value in plain.items() if name != "at"} if isinstance(plain, dict) else plain


def _is_taken(bench: Bench, tag: Tag | tuple[Problem, ...] | None, asked: Save, target: Target) -> bool:
    """Whether an id that the page gave to a new finding is that of another finding."""
    if asked.what != "finding" or not asked.id or not asked.finding or asked.seen:
        return False
    if isinstance(tag, Tag) and target.stands(tag):
        return False
    return asked.id in _used(bench)


def _new_id(bench: Bench) -> str:
    return new_id(_used(bench))


def _used(bench: Bench) -> set[str]:
    return used_in(bench.catalogue) | bench.logs.ids() | bench.reserved


def _touched(asked: Save, spot: Spot) -> set[str]:
    """The findings whose basis would be another: the one itself, and all of a picture whose place or scale changes."""
    own = {asked.id} if asked.id else set()
    tag = spot.picture.tag
    if tag is None or (place_of(tag) == asked.place.model_dump() and asked.what not in OF_KNOWN_LENGTH):
        return own
    return own | {each.id for each in tag.findings} | {each.finding for each in tag.also}


def _write(bench: Bench, spot: Spot, there: _There, asked: Save, target: Target, own: PictureFacts) -> str | None:
    """Write the tag, or what lost beside it; gives the name of the latter."""

    base, tag = there.content.decode("utf-8") if there.content is not None else _empty(own), there.tag
    if tag is None or not _clashes(tag, asked, target, own):
        text = _changed(base, tag, asked, target)
        made = _read(bench, tag_file(spot.picture.file), text)
        refuse_unknown(bench, spot, made, before=tag if isinstance(tag, Tag) else None, id_=target.id)
        put_over(there.path, text.encode("utf-8"), there.content)
        return None
    return keep_beside(there.path, _changed(_last(spot, own), None, asked, target).encode("utf-8")).name


def _changed(text: str, tag: Tag | tuple[Problem, ...] | None, asked: Save, target: Target) -> str:
    """A tag's text with what the picture shows and what was drawn."""
    if not isinstance(tag, Tag) or place_of(tag) != asked.place.model_dump():
        text = changed(text, lambda data: _place(data, asked.place))
    return target.put_alone(text) or changed(text, target.put)


def _place(data: CommentedMap, place: Place) -> None:
    """Set what the picture shows; keys that the page leaves empty go."""
    ahead = [name for name in ("format", "picture", "taken") if name in data]
    for name, value in place.model_dump().items():
        if not value:
            drop(data, name)
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


def _clashes(tag: Tag | tuple[Problem, ...], asked: Save, target: Target, own: PictureFacts) -> bool:
    """Whether what the page was given isn't what stands on disk now; what others added elsewhere is no clash."""
    if isinstance(tag, tuple):
        return True
    if tag.picture.sha256 != own.sha256:
        raise Refused("refused.another_picture", hint="refused.holds_too")
    place = place_of(tag)
    if digest_of(place) != asked.place_seen and place != asked.place.model_dump():
        return True
    return digest_of(target.stands(tag)) != asked.seen


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


def _read(bench: Bench, file: str, text: str) -> Tag:
    """Nothing is written that the catalogue's own reader wouldn't take."""
    made = record_of(bench.folder, Tag, file, text)
    if isinstance(made, tuple):
        raise unwritable(made)
    return made
