"""YAML to plain data and the line of each field; every scalar stays the text that stands in the file.

The events of PyYAML's parser are used and no resolver: `0123`, `12:30`, `1e3`, `no` and `1.10` are text here,
as keys too.
"""

from dataclasses import dataclass
from functools import lru_cache
from sys import intern
from typing import Any

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from portal.catalog.lines import Lines, line_of_entry
from portal.catalog.text import Fault

DEEPEST = 40
MOST_NODES = 100_000
_OFTEN = 32
"""Letters: shorter words are written in a thousand files, and are held once."""

_Parser: Any = yaml.CBaseLoader if yaml.__with_libyaml__ else yaml.BaseLoader
"""Asked for events only, so that its resolver and its constructor never run."""


@dataclass(frozen=True, slots=True)
class Document:
    """What a YAML text says: data, lines, and what is wrong with it as YAML."""

    data: dict[str, Any]
    lines: Lines
    faults: tuple[Fault, ...]
    whole: bool = True
    """Whether all of the text could be read; else what is missing in the data says nothing."""


def parse(text: str, *, first_line: int = 1) -> Document:
    """Read one YAML mapping; `first_line` is the line of the file on which the text begins."""
    builder = _Builder(first_line)
    parser = _Parser(text)
    try:
        builder.build(parser)
        return Document(*builder.top(), tuple(builder.faults))
    except _Stop as stop:
        last = stop.fault
    except yaml.YAMLError as error:
        last = _broken(error, text, first_line)
    finally:
        parser.dispose()
    return Document({}, Lines(), (*builder.faults, last), whole=False)


@lru_cache(maxsize=8)
def parsed(text: str) -> Document:
    """The same, of files that are read again and again while people work on them; nobody changes what it gives."""
    return parse(text)


class _Stop(Exception):
    """The rest of the text can't be read for sense."""

    def __init__(self, line: int, message: str) -> None:
        super().__init__(message)
        self.fault = Fault(line, message)


class _Builder:
    """Puts events together; no recursion, so that depth costs nothing.

    The document is item 0 of an outermost list. `items` is the list or mapping that is open, `lines` what `Lines`
    keeps of it, `key` the key whose value comes next.
    """

    def __init__(self, first_line: int) -> None:
        self.first_line = first_line
        self.faults: list[Fault] = []
        self.items: Any = []
        self.lines: Any = []
        self.key: str | None = None
        self.outer: list[tuple[Any, Any]] = []
        self.opened = 0

    def top(self) -> tuple[dict[str, Any], Lines]:
        """The document's mapping and its lines."""
        if not self.items or self.items[0] == "":
            raise _Stop(self.first_line, "nothing is written here")
        if not isinstance(self.items[0], dict):
            raise _Stop(line_of_entry(self.lines[0]), "expected keys with values, as `name: …`")
        return self.items[0], Lines(*self.lines[0])

    def build(self, parser: Any) -> None:
        """Read all events; a big catalogue has millions of plain values, so these are seen to in one loop."""
        get, first_line, nodes = parser.get_event, self.first_line, 0
        items, lines, key = self.items, self.lines, self.key
        while (kind := (event := get()).__class__) is not StreamEndEvent:
            if kind is not ScalarEvent:
                self.key = key
                self._turn(event)
                items, lines, key = self.items, self.lines, self.key
                continue
            nodes += 1
            line = event.start_mark.line + first_line
            if event.tag is not None or event.anchor is not None or nodes > MOST_NODES:
                self._refuse(event, nodes)
            value = event.value
            if len(value) <= _OFTEN:
                value = intern(value)
            if key is not None:
                items.setdefault(key, value)
                key = None
            elif items.__class__ is list:
                items.append(value)
                lines.append(line)
            else:
                key = value
                if key in lines:
                    self._note_twice(key, line)
                else:
                    lines[key] = line

    def _turn(self, event: Any) -> None:
        """A list or mapping begins or ends, or something that has no place here."""
        kind = event.__class__
        if kind is MappingStartEvent:
            self._open(event, {}, {})
        elif kind is SequenceStartEvent:
            self._open(event, [], [])
        elif kind is MappingEndEvent or kind is SequenceEndEvent:
            self.items, self.lines = self.outer.pop()
        elif kind is AliasEvent:
            raise _Stop(self._line(event), f"alias `*{event.anchor}`; write the value out")
        elif kind is DocumentStartEvent and self.items:
            raise _Stop(self._line(event), "a second document begins; one file holds one document")

    def _open(self, event: Any, items: Any, lines: Any) -> None:
        line = self._line(event)
        self.opened += 1
        self._refuse(event, self.opened)
        if len(self.outer) >= DEEPEST:
            raise _Stop(line, f"nested more than {DEEPEST} deep")
        if self.items.__class__ is list:
            self.items.append(items)
            self.lines.append((line, lines))
        elif self.key is None:
            raise _Stop(line, "a key has to be one word or text")
        elif self.key not in self.items:
            self.items[self.key] = items
            self.lines[self.key] = (self.lines[self.key], lines)
        self.outer.append((self.items, self.lines))
        self.items, self.lines, self.key = items, lines, None

    def _note_twice(self, key: str, line: int) -> None:
        message = f"`{key}` stands twice, in lines {line_of_entry(self.lines[key])} and {line}; keep one"
        self.faults.append(Fault(line, message, path=(*self._path(), key)))

    def _path(self) -> tuple[str, ...]:
        """Where the open mapping stands; only asked for where something is wrong."""
        path, inner = [], self.items
        for items, _ in reversed(self.outer):
            steps = enumerate(items) if isinstance(items, list) else items.items()
            path.append(next((str(step) for step, value in steps if value is inner), "?"))
            inner = items
        return tuple(path[-2::-1])

    def _refuse(self, event: Any, nodes: int) -> None:
        """Note what has no place beside a plain value or a list; stop where there is too much of all."""
        if nodes > MOST_NODES:
            raise _Stop(self._line(event), f"more than {MOST_NODES:,} values in one file")
        if event.anchor is not None:
            self.faults.append(Fault(self._line(event), f"anchor `&{event.anchor}`; write each value out"))
        if event.tag is not None and event.tag != "!":
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            self.faults.append(Fault(self._line(event), f"tag `{tag}`; values are plain text without a tag"))

    def _line(self, event: Any) -> int:
        return int(event.start_mark.line) + self.first_line


def _broken(error: yaml.YAMLError, text: str, first_line: int) -> Fault:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line = int(mark.line) if mark else 0
    rows = text.splitlines()
    row = rows[line] if line < len(rows) else ""
    if "\t" in row[: len(row) - len(row.lstrip())]:
        return Fault(line + first_line, "a tab can't indent; use blanks")
    if "nesting depth" in str(error):
        return Fault(line + first_line, f"nested more than {DEEPEST} deep")
    said = getattr(error, "problem", None) or "it can't be read"
    return Fault(line + first_line, f"not YAML: {said}", "check quotes, colons and indents here and in the line above")
