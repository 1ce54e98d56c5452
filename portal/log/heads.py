"""Where in a mail another mail begins: heads and lines that mail programs put before what they quote."""

import re
from collections.abc import Sequence

_NAMED = re.compile(r"[-_=*]{2,}.{0,30}(?:original|ursprüngliche|forwarded|weitergeleitete).{0,30}[-_=*]{2,}", re.I)
_FROM = re.compile(r"\*{0,2}(?:from|von)\*{0,2} ?:", re.I)
_FURTHER = re.compile(r"\*{0,2}(?:sent|date|gesendet|datum|to|an|cc|subject|betreff)\*{0,2} ?:", re.I)
_WROTE = re.compile(r"(?=.*[0-9@<]).{4,300}\b(?:wrote|schrieb)\b.{0,120}:", re.I)
_BEGUN = re.compile(r"(?:on|am) .{4,300}", re.I)
_NEAR = 8
"""So many lines below is a head looked for."""


def head_at(lines: Sequence[tuple[int, str]], index: int) -> int:
    """How many lines, of (depth, text), are a head that begins at that index; 0 where none does."""
    depth, line = lines[index]
    if not line:
        return 0
    if _NAMED.fullmatch(line):
        below = _next(lines, index + 1)
        more = head_at(lines, below) if below is not None and _FROM.match(lines[below][1]) else 0
        return below + more - index if below is not None and more else 1
    if _FROM.match(line):
        return _length(lines, index)
    if _WROTE.fullmatch(line):
        return 1
    if index + 1 < len(lines) and lines[index + 1][0] == depth and _BEGUN.fullmatch(line):
        return 2 if _WROTE.fullmatch(f"{line} {lines[index + 1][1]}") else 0
    return 0


def is_unmarked(lines: Sequence[tuple[int, str]], head: int, length: int) -> bool:
    """Whether what follows a head stands there without quotation marks."""
    below = _next(lines, head + length)
    return below is not None and lines[below][0] <= lines[head][0]


def _next(lines: Sequence[tuple[int, str]], start: int) -> int | None:
    """The next line that isn't blank, if it is near."""
    return next((at for at in range(start, min(start + _NEAR, len(lines))) if lines[at][1]), None)


def _length(lines: Sequence[tuple[int, str]], index: int) -> int:
    """Lines of `From:` with at least two more of their kind below."""
    depth, last, found = lines[index][0], index, 0
    for at in range(index + 1, min(index + 1 + _NEAR, len(lines))):
        if lines[at][0] != depth:
            break
        if _FURTHER.match(lines[at][1]):
            last, found = at, found + 1
    return last - index + 1 if found >= 2 else 0
