"""Changes a person's file in place: what isn't changed stays as it was written, comments and `x-` keys too.

Every scalar is text here as well, so that `0123`, `no` or `1.10` come out as they stood. What was written is read
once more by the catalogue's own reader and has to say what was wanted; else nothing is given back.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from io import StringIO
from typing import Any

import yaml as plain
from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import CommentMark, YAMLError
from ruamel.yaml.nodes import ScalarNode
from ruamel.yaml.resolver import VersionedResolver
from ruamel.yaml.scalarstring import DoubleQuotedScalarString
from ruamel.yaml.tokens import CommentToken

from portal.catalog.tree import Document, parsed
from portal.problem import PortalError

_WIDE = 1_000_000
_COUNTED_ON = re.compile(r"^([ ]*)[^\s#][^\n]*:[ ]*(?:#[^\n]*)?\n(?:[ ]*(?:#[^\n]*)?\n)*([ ]*)- ", re.MULTILINE)
_YES_NO = re.compile(r"true|false|yes|no")
"""Words of our own fields that stand there without quotes, whatever else they may mean to other programs."""

_SLOT = {CommentedMap: 2, CommentedSeq: 0}
"""Where the YAML library keeps what comes behind a value."""


class _Text(VersionedResolver):
    """Takes every plain scalar for text."""

    def resolve(self, kind: Any, value: Any, implicit: Any) -> Any:
        if kind is ScalarNode and implicit[0]:
            return self.DEFAULT_SCALAR_TAG
        return super().resolve(kind, value, implicit)


def changed(text: str, change: Callable[[CommentedMap], None]) -> str:
    """The text of a file after a change of its top mapping; PortalError where it can't be changed faithfully."""
    windows, marked = "\r\n" in text, text.startswith("\ufeff")
    source = text.removeprefix("\ufeff").replace("\r\n", "\n")
    yaml = _yaml(source)
    try:
        data = yaml.load(source)
    except YAMLError as error:
        raise PortalError("the file on disk is no YAML, so nothing can be added to it") from error
    if not isinstance(data, CommentedMap):
        raise PortalError("the file on disk doesn't hold keys with values")
    change(data)
    written = StringIO()
    yaml.dump(data, written)
    made = written.getvalue()
    if parsed(made).data != _bare(data) or parsed(made).faults:
        raise PortalError("the file on disk is written in a way that can't be changed faithfully")
    return ("\ufeff" if marked else "") + (made.replace("\n", "\r\n") if windows else made)


@dataclass(frozen=True, slots=True)
class _Span:
    """An entry of a list: which it is, its lines, and how far its dash stands in; a new one has none yet."""

    place: int
    start: int
    stop: int
    indent: int

    @property
    def is_there(self) -> bool:
        """Whether there is such an entry."""
        return self.stop > self.start


def changed_entry(text: str, name: str, by: tuple[str, str], given: dict[str, Any] | None) -> str:
    """The text of a file in whose list of that name the entry with that key and value is merged with what is given,
    added behind the last one, or taken away where nothing is given; PortalError where it can't be changed faithfully.

    Only the lines of that entry are written anew, so that a long list costs no more than a short one. What stands
    between it and the next one isn't its own and stays.
    """
    marked, windows = text.startswith("\ufeff"), "\r\n" in text
    source = text.removeprefix("\ufeff").replace("\r\n", "\n")
    whole = parsed(source)
    entries = whole.data.get(name)
    span = _span(source, whole, name, by) if isinstance(entries, list) and whole.whole else None
    if span is None or not isinstance(entries, list) or (given is None and len(entries) <= 1):
        return changed(text, lambda data: put_among(data, name, by, given))
    if given is None and not span.is_there:
        return text
    lines = source.splitlines(keepends=True)
    body, entry = _entry(lines, span, name, by, given) if given is not None else ("", None)
    made = "".join((*lines[: span.start], body, *lines[span.stop :]))
    own = [] if entry is None else [entry]
    wanted = {**whole.data, name: [*entries[: span.place], *own, *entries[span.place + 1 :]]}
    if parsed(made).data != wanted or parsed(made).faults:
        return changed(text, lambda data: put_among(data, name, by, given))
    return ("\ufeff" if marked else "") + (made.replace("\n", "\r\n") if windows else made)


def _entry(lines: list[str], span: _Span, name: str, by: tuple[str, str], given: dict[str, Any]) -> tuple[str, Any]:
    """The lines of an entry as it is written anew, and what they say."""
    part = "".join(lines[span.start : span.stop]) if span.is_there else f"{' ' * span.indent}- x-: x\n"
    fresh = changed(f"{name}:\n{part}", lambda data: put_among(data, name, by, given))
    return "".join(fresh.splitlines(keepends=True)[1 if span.is_there else 2 :]), parsed(fresh).data[name][-1]


def _span(source: str, whole: Document, name: str, by: tuple[str, str]) -> _Span | None:
    """Where the entry with that key and value stands, else where a new one will; None where entries begin no lines."""
    entries, (key, value) = whole.data[name], by
    if not entries or not source.endswith("\n") or not all(isinstance(each, dict) for each in entries):
        return None
    starts = [whole.lines[name, str(n)] - 1 for n in range(len(entries))]
    lines = source.splitlines(keepends=True)
    if whole.lines[name,] - 1 >= starts[0] or any(not lines[each].lstrip(" ").startswith("- ") for each in starts):
        return None
    tops = [whole.lines[each,] - 1 for each in whole.data]
    stops = [*starts[1:], min((each for each in tops if each > starts[-1]), default=len(lines))]
    indent = len(lines[starts[0]]) - len(lines[starts[0]].lstrip(" "))
    place = next((n for n, each in enumerate(entries) if each.get(key) == value), None)
    last = len(entries) - 1 if place is None else place
    behind = stops[last]
    while _is_apart(lines[behind - 1], indent):
        behind -= 1
    return _Span(len(entries), behind, behind, indent) if place is None else _Span(place, starts[place], behind, indent)


def _is_apart(line: str, indent: int) -> bool:
    """Whether a line behind an entry isn't the entry's: an empty one, or a comment that doesn't stand further in."""
    bare = line.strip()
    return not bare or (bare.startswith("#") and len(line) - len(line.lstrip(" ")) <= indent)


def put_among(data: CommentedMap, name: str, by: tuple[str, str], given: dict[str, Any] | None) -> None:
    """Among the entries of a list the one that has that key and value: changed, added, or taken away."""
    entries = data.get(name)
    if not isinstance(entries, CommentedSeq):
        if given is None:
            return
        entries = CommentedSeq()
        data[name] = entries
    key, value = by
    found = (n for n, each in enumerate(entries) if isinstance(each, CommentedMap) and str(each.get(key, "")) == value)
    at = next(found, None)
    if given is None:
        if not entries or (at == 0 and len(entries) == 1):
            drop(data, name)
        elif at is not None:
            drop(entries, at)
    elif at is None:
        if not entries:
            entries.fa.set_block_style()
        entries.append(written(given))
    else:
        merge(entries[at], given)


def merge(old: Any, new: Any) -> Any:
    """New plain data over what stands there: equal values stay as written, `x-` keys stay, keys that went go."""
    if isinstance(old, CommentedMap) and isinstance(new, dict):
        for key in [each for each in old if each not in new and not str(each).startswith("x-")]:
            drop(old, key)
        for place, (key, value) in enumerate(new.items()):
            if key in old:
                _put(old, key, merge(old[key], value))
            else:
                old.insert(min(place, len(old)), key, written(value))
        return old
    if isinstance(old, CommentedSeq) and isinstance(new, list):
        for place in reversed(range(len(new), len(old))):
            drop(old, place)
        for place, value in enumerate(new):
            if place < len(old):
                _put(old, place, merge(old[place], value))
            else:
                old.append(written(value))
        return old
    return old if isinstance(new, str) and str(old) == new else written(new)


def drop(data: CommentedMap | CommentedSeq, key: Any) -> None:
    """Take away what has that key or place; comments on lines of their own behind it stay, before the next."""
    places = list(data) if isinstance(data, CommentedMap) else list(range(len(data)))
    if key not in places:
        return
    behind, at = _behind(data, key), places.index(key)
    del data[key]
    if at:
        _follow(data, places[at - 1], behind)


def _put(data: CommentedMap | CommentedSeq, key: Any, value: Any) -> None:
    """Put it in the place of what stands there, ahead of the comments behind that."""
    if data[key] is value:
        return
    behind = _behind(data, key) if isinstance(data[key], (CommentedMap, CommentedSeq)) else ""
    data[key] = value
    if behind and _behind(data, key) != behind:
        _follow(data, key, behind)


def _last(data: CommentedMap | CommentedSeq, key: Any) -> tuple[CommentedMap | CommentedSeq, Any]:
    """Where the last scalar of what has that key stands: the reader keeps there what comes behind it."""
    value = data[key]
    if not isinstance(value, (CommentedMap, CommentedSeq)) or not value or value.fa.flow_style():
        return data, key
    return _last(value, list(value)[-1] if isinstance(value, CommentedMap) else len(value) - 1)


def _behind(data: CommentedMap | CommentedSeq, key: Any) -> str:
    """The lines of comments behind what has that key; what stands on its own last line isn't one."""
    holder, own = _last(data, key)
    tokens = holder.ca.items.get(own) or []
    token = tokens[_SLOT[type(holder)]] if tokens else None
    return "" if token is None else str(token.value).partition("\n")[2]


def _follow(data: CommentedMap | CommentedSeq, key: Any, lines: str) -> None:
    """Lines of comments behind what has that key, after those that are there."""
    if not lines:
        return
    holder, own = _last(data, key)
    tokens = holder.ca.items.setdefault(own, [None] * 4)
    slot = _SLOT[type(holder)]
    there = tokens[slot] or CommentToken("\n", CommentMark(0))
    tokens[slot] = CommentToken(str(there.value) + lines, there.start_mark)


def written(value: Any) -> Any:
    """Plain data as it is written anew: lists of tables one below the other, what isn't plain text in quotes."""
    if isinstance(value, dict):
        return CommentedMap((key, written(each)) for key, each in value.items())
    if isinstance(value, list):
        made = CommentedSeq(written(each) for each in value)
        if not any(isinstance(each, (dict, list)) for each in value):
            made.fa.set_flow_style()
        return made
    text = str(value)
    return text if _YES_NO.fullmatch(text) or _is_plain(text) else DoubleQuotedScalarString(text)


def _is_plain(text: str) -> bool:
    """Whether other programs too take it for text without quotes, or for a whole number or a time that it is."""
    if re.fullmatch(r"[0-9a-f]{64}|[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.+-]+Z?", text):
        return True
    if re.fullmatch(r"[A-Za-z][\w ./-]*", text) is None:
        return False
    try:
        return isinstance(plain.safe_load(f"a: {text}")["a"], str)
    except plain.YAMLError:
        return False


def _yaml(source: str) -> YAML:
    yaml = YAML()
    yaml.Resolver = _Text
    yaml.preserve_quotes = True
    yaml.width = _WIDE
    yaml.allow_unicode = True
    found = _COUNTED_ON.search(source)
    offset = len(found.group(2)) - len(found.group(1)) if found else 2
    yaml.indent(mapping=2, sequence=offset + 2, offset=offset)
    return yaml


def _bare(data: Any) -> Any:
    if isinstance(data, dict):
        return {str(key): _bare(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_bare(value) for value in data]
    return "" if data is None else str(data)
