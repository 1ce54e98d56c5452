"""Places short texts beside their marks on a ruler so that none meets another or leaves the paper.

Positions are a share of the ruler's width, so the ruler may grow; offsets and text widths are in pixels. What
fits at the least width fits at every larger one, because labels stand in the order of their marks.
"""

from collections.abc import Sequence
from dataclasses import dataclass

FONT_PX, SMALL_PX = 14.0, 13.0
"""The sizes of the style: a ruler's words, and those below it."""
GAP = 8
_NARROW, _WIDE = set("iljt.,'|:;!()[] 1"), set("mwMW@%±−–&")


def text_width(text: str, size: float = FONT_PX) -> float:
    """More than any common sans-serif needs for that text."""
    return size * sum(0.66 if letter in "1t" else 0.42 if letter in _NARROW else 1.0 if letter in _WIDE else 0.64
                      for letter in text)  # fmt: skip


def _size(kind: str) -> float:
    return SMALL_PX if kind == "turn" else FONT_PX


@dataclass(frozen=True, slots=True)
class Wish:
    """A text that wants to stand at a mark; `anchors` in the order in which it likes them."""

    text: str
    at: float
    kind: str
    clear: float = 6
    """How far from its mark it stands where it doesn't stand centred."""
    anchors: tuple[str, ...] = ("start", "end", "middle")
    row: int = 0
    """The row that it likes best."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A text with its place: share of the width, offset in pixels, and which end of it is there."""

    text: str
    at: float
    dx: float
    anchor: str
    row: int
    kind: str

    def span(self, width: float) -> tuple[float, float]:
        """From where to where it reaches on a ruler of that width."""
        x, size = self.at * width + self.dx, text_width(self.text, _size(self.kind))
        left = {"start": x, "middle": x - size / 2, "end": x - size}[self.anchor]
        return left, left + size


def place(
    wishes: Sequence[Wish], *, least: float, margin: float, rows: int, lines: Sequence[float] = ()
) -> tuple[Placed, ...]:
    """A place for every wish, in the given rows first and in further ones where they are full.

    `least` is the least width in pixels, `margin` what a text may stand out at either end, `lines` are marks
    (shares of the width) that no text may cross except its own.
    """
    placed: list[Placed] = []
    for wish in wishes:
        placed.append(_fit(wish, placed, least=least, margin=margin, rows=rows, lines=lines))
    return tuple(placed)


def _fit(
    wish: Wish, placed: Sequence[Placed], *, least: float, margin: float, rows: int, lines: Sequence[float]
) -> Placed:
    row = 0
    for row in (wish.row, *(each for each in range(rows + len(placed) + 1) if each != wish.row)):
        crossing = lines if row < rows else ()
        for here in (*(_at(wish, anchor, row) for anchor in wish.anchors), _pushed(wish, row, least, margin)):
            if _inside(here, least, margin) and _free(here, placed, least) and uncrossed(here, crossing, least):
                return here
    return _pushed(wish, row, least, margin)


def _at(wish: Wish, anchor: str, row: int) -> Placed:
    dx = {"start": wish.clear, "middle": 0.0, "end": -wish.clear}[anchor]
    return Placed(wish.text, wish.at, dx, anchor, row, wish.kind)


def _pushed(wish: Wish, row: int, least: float, margin: float) -> Placed:
    """Centred on its mark, and pushed in from the ruler's end as far as it must be."""
    x, size = wish.at * least, text_width(wish.text, _size(wish.kind))
    left = max(-margin, min(x - size / 2, least + margin - size))
    return Placed(wish.text, wish.at, left - x, "start", row, wish.kind)


def _inside(here: Placed, least: float, margin: float) -> bool:
    left, right = here.span(least)
    return left >= -margin and right <= least + margin


def _free(here: Placed, placed: Sequence[Placed], least: float) -> bool:
    for other in placed:
        if other.row != here.row:
            continue
        first, second = sorted((here, other), key=lambda each: (each.at, each.span(least)[0]))
        if first.span(least)[1] + GAP > second.span(least)[0]:
            return False
    return True


def uncrossed(here: Placed, lines: Sequence[float], least: float) -> bool:
    """Whether no line meets that text at the least width or changes its side at a larger one."""
    left, right = here.span(least)
    for line in lines:
        x = line * least
        if left - 3 < x < right + 3:
            return False
        if (line - here.at) * (x - (left + right) / 2) < 0:
            return False
    return True
