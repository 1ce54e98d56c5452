"""Who wrote which line of a reply: the one who answers, we, or somebody else.

Our own text stands between two marks. A line that a reply quotes is somebody else's, unless it was typed into our
text, and that text is the first that is quoted: then it is the answerer's where it isn't found in what we sent.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum

from portal.log.heads import head_at, is_unmarked
from portal.log.typed import plain
from portal.model.reply import Mark, read_mark

_TURN = re.compile(r"\r\n|[\r\n\f\v\x85\u2028\u2029]")
_PREFIX = re.compile(r"[ \t\xa0]*[A-Za-z]{0,3}>(?:[ \t\xa0]*>)*[ \t\xa0]?")
_SIGNATURE = re.compile(r"--[ \xa0]?")


class Whose(Enum):
    """Who wrote a line, as far as its place in the mail tells."""

    OWN = "the one who answers"
    IN_OURS = "within our text: ours, or typed into it"
    QUOTED = "quoted from somebody"
    SIGNATURE = "below the signature"
    FRAME = "what a mail program put there, or a mark of ours"


@dataclass(frozen=True, slots=True)
class Line:
    """A line without its quotation marks."""

    text: str
    """As it stands."""
    plain: str
    whose: Whose
    depth: int
    after_quoted: bool
    """Whether the line before it is a quoted one."""


@dataclass(frozen=True, slots=True)
class _Raw:
    depth: int
    text: str
    plain: str


def lines_of(text: str) -> tuple[Line, ...]:
    """Every line of a reply with whose it is."""
    return _Walk([_raw(each) for each in _TURN.split(text)]).lines()


def _raw(line: str) -> _Raw:
    match = _PREFIX.match(line)
    rest = line[match.end() :] if match else line
    return _Raw(match.group().count(">") if match else 0, rest.rstrip("\n"), plain(rest))


@dataclass
class _Walk:
    """Goes down a mail line by line."""

    raw: Sequence[_Raw]
    begun: dict[int, int] = field(default_factory=dict)
    """By depth of quotation marks, how many mails were begun there that stand without marks of their own."""
    ours: int | None = None
    """How deep our text stands, while it lasts; -1 where it stands in somebody's mail."""
    signed: bool = False
    quoted: bool = False
    """Whether anything was quoted so far that isn't ours."""

    def lines(self) -> tuple[Line, ...]:
        found: list[Line] = []
        pairs = [(each.depth, each.plain) for each in self.raw]
        head_until = 0
        for index, raw in enumerate(self.raw):
            if index >= head_until and (length := head_at(pairs, index)):
                head_until = index + length
                if is_unmarked(pairs, index, length):
                    self.begun[raw.depth] = self.begun.get(raw.depth, 0) + 1
            whose = self.whose_frame() if index < head_until else self.whose(raw)
            before = self.raw[index - 1] if index else None
            after = before is not None and before.depth > raw.depth and bool(before.plain)
            found.append(Line(raw.text.rstrip(), raw.plain, whose, self.depth(raw), after))
        return tuple(found)

    def depth(self, raw: _Raw) -> int:
        return raw.depth + sum(count for at, count in self.begun.items() if at <= raw.depth)

    def whose_frame(self) -> Whose:
        self.signed = False
        return Whose.FRAME

    def whose(self, raw: _Raw) -> Whose:
        if raw.plain:
            self.begun = {at: count for at, count in self.begun.items() if at <= raw.depth}
        depth = self.depth(raw)
        mark = read_mark(raw.plain)
        if mark is not None:
            self.turn(mark, depth, raw.depth)
            return Whose.FRAME
        if self.ours is not None and depth == self.ours:
            return Whose.IN_OURS
        if depth:
            self.signed = False
            self.quoted = self.quoted or bool(raw.plain)
            return Whose.QUOTED
        self.signed = self.signed or bool(_SIGNATURE.fullmatch(raw.text))
        return Whose.SIGNATURE if self.signed else Whose.OWN

    def turn(self, mark: Mark, depth: int, marks: int) -> None:
        """Our text begins, or ends and with it what a head without quotation marks began."""
        self.signed = False
        if not mark.ends:
            self.ours = -1 if self.quoted or depth > 1 else depth
            return
        self.ours = None
        if self.begun.get(marks):
            self.begun[marks] -= 1
