"""Where each field of a file stands, as a tree, once it was read as some bytes: most fields are never asked for."""

import marshal
from collections.abc import Iterator, Mapping
from typing import Any

from portal.problem import FieldPath

Below = dict[str, Any] | list[Any]
"""For each key or item its line, or its line and what is below it."""


class Lines(Mapping[FieldPath, int]):
    """The line of each field of one file, by its path; items of a list go by their number from 0."""

    __slots__ = ("_top",)

    def __init__(self, line: int = 1, below: Below | None = None) -> None:
        self._top = (line, below if below is not None else {})

    def folded(self) -> "Folded":
        """The same in a fifth of the room; to be kept of a file once all is done that it takes each line for."""
        return Folded(marshal.dumps(self._top))

    def __getitem__(self, path: FieldPath) -> int:
        entry: Any = self._top
        for step in path:
            entry = _step(entry, step)
            if entry is None:
                raise KeyError(path)
        return line_of_entry(entry)

    def __iter__(self) -> Iterator[FieldPath]:
        return _walk((), self._top)

    def __len__(self) -> int:
        return sum(1 for _ in self)


class Folded(Mapping[FieldPath, int]):
    """The lines of a file's fields as bytes, unfolded for whoever asks."""

    __slots__ = ("bytes",)

    def __init__(self, folded: bytes) -> None:
        self.bytes = folded

    def _lines(self) -> Lines:
        return Lines(*marshal.loads(self.bytes))

    def __getitem__(self, path: FieldPath) -> int:
        return self._lines()[path]

    def __iter__(self) -> Iterator[FieldPath]:
        return iter(self._lines())

    def __len__(self) -> int:
        return len(self._lines())


def line_of_entry(entry: Any) -> int:
    """The line of a field, whether or not there is something below it."""
    line: int = entry if entry.__class__ is int else entry[0]
    return line


def _step(entry: Any, step: str) -> Any:
    below = entry[1] if entry.__class__ is tuple else None
    if isinstance(below, list):
        return below[int(step)] if step.isascii() and step.isdigit() and int(step) < len(below) else None
    return below.get(step) if below is not None else None


def _walk(path: FieldPath, entry: Any) -> Iterator[FieldPath]:
    yield path
    if entry.__class__ is tuple:
        below = entry[1]
        steps = below.items() if isinstance(below, dict) else ((str(at), each) for at, each in enumerate(below))
        for step, inner in steps:
            yield from _walk((*path, step), inner)
