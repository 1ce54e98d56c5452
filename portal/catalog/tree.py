"""YAML to plain data and the line of each field; every scalar stays the text that stands in the file.

The events of PyYAML's parser are used and no resolver: `0123`, `12:30`, `1e3`, `no` and `1.10` are text here,
as keys too.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from portal.catalog.text import Fault
from portal.problem import FieldPath

Node = str | list[Any] | dict[str, Any]

DEEPEST = 40
MOST_NODES = 400_000

_Parser: Any = yaml.CBaseLoader if yaml.__with_libyaml__ else yaml.BaseLoader
"""Asked for events only, so that its resolver and its constructor never run."""


@dataclass(frozen=True, slots=True)
class Document:
    """What a YAML text says: data, lines, and what is wrong with it as YAML."""

    data: dict[str, Any]
    lines: dict[FieldPath, int]
    faults: tuple[Fault, ...]
    whole: bool = True
    """Whether all of the text could be read; else what is missing in the data says nothing."""


def parse(text: str, *, first_line: int = 1) -> Document:
    """Read one YAML mapping; `first_line` is the line of the file on which the text begins."""
    builder = _Builder(first_line)
    whole = False
    try:
        builder.build(text)
        whole = True
    except _Stop as stop:
        builder.faults.append(stop.fault)
    except yaml.YAMLError as error:
        builder.faults.append(_broken(error, text, first_line))
    data = builder.root if isinstance(builder.root, dict) else {}
    return Document(data, builder.lines, tuple(builder.faults), whole)


class _Stop(Exception):
    """The rest of the text can't be read for sense."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.message)
        self.fault = fault


@dataclass
class _Open:
    """A mapping or a list that isn't closed yet."""

    path: FieldPath
    items: list[Any] | dict[str, Any]
    key: str | None = None
    key_lines: dict[str, int] = field(default_factory=dict)


class _Builder:
    """Puts events together; no recursion, so that depth costs nothing."""

    def __init__(self, first_line: int) -> None:
        self.first_line = first_line
        self.root: Node | None = None
        self.lines: dict[FieldPath, int] = {}
        self.faults: list[Fault] = []
        self._open: list[_Open] = []
        self._nodes = 0

    def build(self, text: str) -> None:
        """Read all events of the text."""
        for event in _events(text):
            kind = event.__class__
            if kind is yaml.ScalarEvent:
                self._scalar(event)
            elif kind is yaml.MappingStartEvent:
                self._start(event, {})
            elif kind is yaml.SequenceStartEvent:
                self._start(event, [])
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                self._open.pop()
            elif kind is yaml.AliasEvent:
                raise _Stop(Fault(self._line(event), f"alias `*{event.anchor}`; write the value out"))
            elif kind is yaml.DocumentStartEvent and self.root is not None:
                raise _Stop(Fault(self._line(event), "a second document begins; one file holds one document"))
        if self.root is None or self.root == "":
            raise _Stop(Fault(self.first_line, "nothing is written here"))
        if not isinstance(self.root, dict):
            raise _Stop(Fault(self.lines.get((), self.first_line), "expected keys with values, as `name: …`"))

    def _line(self, event: Any) -> int:
        return int(event.start_mark.line) + self.first_line

    def _scalar(self, event: Any) -> None:
        if event.anchor is not None or event.tag is not None:
            self._refuse_marks(event)
        within = self._open[-1] if self._open else None
        if within is not None and within.key is None and within.items.__class__ is dict:
            self._key(within, event)
            return
        self._put(event, event.value)

    def _start(self, event: Any, items: list[Any] | dict[str, Any]) -> None:
        self._refuse_marks(event)
        within = self._open[-1] if self._open else None
        if within is not None and within.key is None and within.items.__class__ is dict:
            raise _Stop(Fault(self._line(event), "a key has to be one word or text"))
        if len(self._open) >= DEEPEST:
            raise _Stop(Fault(self._line(event), f"nested more than {DEEPEST} deep"))
        path = self._put(event, items)
        self._open.append(_Open(path, items))

    def _refuse_marks(self, event: Any) -> None:
        if event.anchor is not None:
            self.faults.append(Fault(self._line(event), f"anchor `&{event.anchor}`; write each value out"))
        if event.tag is not None and event.tag != "!":
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            self.faults.append(Fault(self._line(event), f"tag `{tag}`; values are plain text without a tag"))

    def _key(self, within: _Open, event: Any) -> None:
        key, line = event.value, self._line(event)
        if key in within.key_lines:
            message = f"`{key}` stands twice, in lines {within.key_lines[key]} and {line}; keep one"
            self.faults.append(Fault(line, message, path=(*within.path, key)))
        else:
            within.key_lines[key] = self.lines[(*within.path, key)] = line
        within.key = key

    def _put(self, event: Any, value: Node) -> FieldPath:
        self._nodes += 1
        if self._nodes > MOST_NODES:
            raise _Stop(Fault(self._line(event), f"more than {MOST_NODES:,} values in one file"))
        if not self._open:
            self.root, self.lines[()] = value, self._line(event)
            return ()
        within = self._open[-1]
        if isinstance(within.items, list):
            path: FieldPath = (*within.path, str(len(within.items)))
            within.items.append(value)
            self.lines[path] = self._line(event)
            return path
        key = within.key or ""
        within.key = None
        within.items.setdefault(key, value)
        return (*within.path, key)


def _events(text: str) -> Iterator[Any]:
    parser = _Parser(text)
    try:
        while (event := parser.get_event()) is not None:
            yield event
            if event.__class__ is yaml.StreamEndEvent:
                return
    finally:
        parser.dispose()


def _broken(error: yaml.YAMLError, text: str, first_line: int) -> Fault:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line = int(mark.line) if mark else 0
    rows = text.splitlines()
    row = rows[line] if line < len(rows) else ""
    if "\t" in row[: len(row) - len(row.lstrip())]:
        return Fault(line + first_line, "a tab can't indent; use blanks")
    said = getattr(error, "problem", None) or "it can't be read"
    return Fault(line + first_line, f"not YAML: {said}", "check quotes, colons and indents here and in the line above")
