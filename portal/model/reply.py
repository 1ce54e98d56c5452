"""What a reply in plain text is held against, what it comes to, and the marks by which our own text is known in it."""

import re
from dataclasses import dataclass
from typing import NamedTuple

from portal.model.answer import AskKind, Bound, Given, OwnQuestion, Unclear
from portal.model.terms import Answer


@dataclass(frozen=True, slots=True)
class Asked:
    """An ask as a review put it: what an answer to it may be and about what."""

    number: int
    """In the review."""
    ask: str
    """Hash of the event that asked."""
    kind: AskKind
    offers: tuple[Answer, ...]
    findings: tuple[Bound, ...]
    """As shown in that review."""

    @property
    def takes_words(self) -> bool:
        """Whether words are an answer to it."""
        return self.kind is AskKind.QUESTION

    @property
    def ids(self) -> tuple[str, ...]:
        """Its findings."""
        return tuple(each.finding for each in self.findings)


@dataclass(frozen=True, slots=True)
class Reply:
    """What a reply says: what can be taken, and what can't be taken as it stands."""

    answers: tuple[Given, ...] = ()
    questions: tuple[OwnQuestion, ...] = ()
    unclear: tuple[Unclear, ...] = ()
    answered_by: str | None = None
    """The name that a line `Answered by: NAME` gives."""


class Mark(NamedTuple):
    """A line that begins or ends our own text."""

    code: str
    ends: bool


WIDTH = 66
"""Our plain-text mails have no longer line, so that no program wraps them again when it quotes them."""
_MARK = re.compile(r"\[review ([0-9a-f]{8})( ends)?\]", re.IGNORECASE)


def begin_mark(code: str) -> str:
    """The first line of what we write into a mail."""
    return f"[review {code}]"


def end_mark(code: str) -> str:
    """The last line of what we write into a mail."""
    return f"[review {code} ends]"


def read_mark(line: str) -> Mark | None:
    """The mark that a line is, if it is one."""
    match = _MARK.fullmatch(" ".join(line.split()))
    return Mark(match.group(1).lower(), bool(match.group(2))) if match else None


def option_line(letter: Answer, words: str) -> str:
    """How our mail offers a letter: in brackets, as no answer is written."""
    return f"[{letter}] {words}"
