"""Problems in files, where records stand, and the one exception a user can cause."""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

FieldPath = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong (or, as a warning, doubtful) in a file."""

    file: str
    line: int
    field: str
    message: str
    hint: str | None = None
    warning: bool = False

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line else self.file
        what = f"{self.field}: {self.message}" if self.field else self.message
        return printable(f"{where}: {what}") + (f"\n    {printable(self.hint)}" if self.hint else "")

    @property
    def order(self) -> tuple[str, int, str, str]:
        """By file, then line."""
        return (self.file, self.line, self.field, self.message)


def printable(text: str) -> str:
    """Text as a terminal may show it: what steers a terminal or turns the line is written as its code."""
    return "".join(each if each.isprintable() else each.encode("unicode_escape").decode("ascii") for each in text)


@dataclass
class Places:
    """The line of each field of each file, so that any room can name where a value stands."""

    lines: dict[str, Mapping[FieldPath, int]] = field(default_factory=dict)

    def line(self, file: str, path: FieldPath = ()) -> int:
        """The line of that field, else of the nearest field above it, else 1."""
        known = self.lines.get(file, {})
        while path and path not in known:
            path = path[:-1]
        return known.get(path, 1)


class PortalError(Exception):
    """What a user can cause: a sentence, a hint, the exit code it comes to (2 wrong use, 3 refused), the places."""

    def __init__(
        self, message: str, *, hint: str | None = None, code: int = 3, problems: Iterable[Problem] = ()
    ) -> None:
        super().__init__(message)
        self.hint = hint
        self.code = code
        self.problems = tuple(problems)


def did_you_mean(found: str, candidates: Iterable[str]) -> str | None:
    """A hint that names the nearest candidate, or all of them where there are few."""
    known = list(candidates)
    near = difflib.get_close_matches(found, known, n=1, cutoff=0.6)
    if near:
        return f"did you mean `{near[0]}`?"
    return f"known: {', '.join(f'`{each}`' for each in known)}" if 0 < len(known) <= 12 else None
