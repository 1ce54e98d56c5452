"""How alike two pictures look, whatever their brightness and contrast, and however slightly one was shifted or cut.

A look is the brightness of 16 by 16 fields. What one would be if it were made brighter, given more contrast, shifted or
stretched by a little is taken out of the other, by least squares; what is left of it, as a share of its contrast (the
standard deviation), is how far they are apart. That a small shift is the shift times the slope: Lucas and Kanade, "An
iterative image registration technique with an application to stereo vision", IJCAI 1981; cited from memory.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

SIDE = 16
_SEEN = 255
_HIDDEN = "--"
"""What stands for the brightness of a field of which some is blacked out."""
_LOW, _BARE = 25.0, 5.0
"""Codes of contrast. A look of less than the first is taken to have as much, else its grain would tell it from a copy;
in one of less than the second it counts how bright it is."""
_TWICE, _AND_ONE = 2.0, 1.0
"""What a copy's contrast is at most: so many times the other's, and so many codes."""
_ROUGHLY = 0.01
"""How far from 1 the correlation of two looks may be that are compared further, the more the less they vary: a picture
that was shifted by half a hundredth of its side is nearer."""
_LEAST = 40
"""Fields, with those around them, that have to be seen in both pictures."""
_MOST_PATTERNS = 16
"""Ways of blacking out that are compared with each other; pictures blacked out in rarer ones aren't compared."""
_AT_ONCE = 64
"""Looks that are held against all others at once: more take memory and no less time."""

Codes = NDArray[np.uint8]
Reals = NDArray[np.float64]
Near = tuple[float, tuple[int, ...]]


def look_of(grey: Image.Image, seen: Image.Image | None) -> str:
    """The look of a grey picture, in hexadecimal; `seen` is white where it isn't blacked out."""
    size = (SIDE, SIDE)
    codes = np.asarray(grey.resize(size, Image.Resampling.BOX), np.uint8).tobytes().hex()
    if seen is None:
        return codes
    hidden = np.asarray(seen.resize(size, Image.Resampling.BOX)).ravel() < _SEEN
    return "".join(_HIDDEN if hides else codes[2 * at : 2 * at + 2] for at, hides in enumerate(hidden))


def apart(one: str, other: str) -> float | None:
    """How far the other look is apart from the one, from 0; None where nothing can be told, or far too far."""
    found = nearest([one, other], within=float("inf"))[0]
    return found[0] if found else None


def nearest(looks: Sequence[str], *, within: float) -> list[Near | None]:
    """For each look how far the nearest others are, as `apart` tells it, and which; None where none is within that."""
    found: list[Near | None] = [None] * len(looks)
    if len(looks) < 2:
        return found
    shape, text = (len(looks), SIDE, SIDE), "".join(looks)
    codes = np.frombuffer(bytes.fromhex(text.replace("-", "0")), np.uint8).reshape(shape)
    seen = (np.frombuffer(text.encode("ascii"), np.uint8)[::2] != ord("-")).reshape(shape)
    inner = _inner(seen)
    numbers: dict[bytes, int] = {}
    which = np.array([numbers.setdefault(row.tobytes(), len(numbers)) for row in inner])
    patterns = [inner[np.argmax(which == number)] for number in range(len(numbers))]
    usual = np.argsort(-np.bincount(which), kind="stable")[:_MOST_PATTERNS]
    members = {number: np.flatnonzero(which == number) for number in usual}
    for first in usual:
        for second in usual:
            cells = patterns[first] & patterns[second]
            if cells.sum() >= _LEAST:
                for place, far, near in _compared(codes, members[first], members[second], cells, within):
                    known = found[place]
                    if known is None or far < known[0]:
                        found[place] = (far, near)
                    elif far == known[0]:
                        found[place] = (far, tuple(sorted((*known[1], *near))))
    return found


def _inner(seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which fields are seen with their four neighbours, but those at the edge."""
    inner = seen[:, 1:-1, 1:-1] & seen[:, :-2, 1:-1] & seen[:, 2:, 1:-1] & seen[:, 1:-1, :-2] & seen[:, 1:-1, 2:]
    return inner.reshape(len(seen), -1)


def _compared(
    codes: Codes, mine: NDArray[np.intp], theirs: NDArray[np.intp], cells: NDArray[np.bool_], within: float
) -> Iterator[tuple[int, float, tuple[int, ...]]]:
    """For each of mine that has some: how far the nearest of theirs are, and which."""
    own = _about(codes[mine], cells)
    other = own if mine is theirs else _about(codes[theirs], cells)
    for first in range(0, len(mine), _AT_ONCE):
        few = slice(first, first + _AT_ONCE)
        rough = own.values[few] @ other.values.T > 1 - _ROUGHLY / np.maximum(other.shares, 0.01) ** 2
        rough &= (mine[few, None] != theirs) & (other.spread < _TWICE * own.spread[few, None] + _AND_ONE)
        rough &= own.spread[few, None] < _TWICE * other.spread + _AND_ONE
        rows = np.flatnonzero(rough.any(axis=1))
        bases, _ = np.linalg.qr(_made_of(codes[mine[first + rows]].astype(np.float64), cells))
        for row, basis in zip(rows, bases, strict=True):
            at, near = first + row, np.flatnonzero(rough[row])
            left: Reals = 1 - ((other.values[near] @ basis) ** 2).sum(axis=1)
            bare = np.maximum(0, 1 - other.spread[near] / _BARE)
            lighter = bare * (other.means[near] - own.means[at]) / _LOW
            far: Reals = np.sqrt(other.shares[near] ** 2 * np.maximum(left, 0) + lighter**2).round(3)
            if (least := float(far.min())) < within:
                yield int(mine[at]), least, tuple(int(each) for each in theirs[near[far == least]])


@dataclass(frozen=True, slots=True)
class _About:
    """Fields of some looks about their mean, of length 1, with the mean and the spread that they had."""

    values: Reals
    means: Reals
    spread: Reals

    @property
    def shares(self) -> Reals:
        """Their spread as a share of a contrast, at most 1."""
        return np.minimum(self.spread / _LOW, 1)


def _about(codes: Codes, cells: NDArray[np.bool_]) -> _About:
    values = codes[:, 1:-1, 1:-1].reshape(len(codes), -1)[:, cells].astype(np.float64)
    means: Reals = values.mean(axis=1)
    values -= means[:, None]
    spread: Reals = np.sqrt(np.einsum("ij,ij->i", values, values) / values.shape[1])
    values /= np.maximum(spread * np.sqrt(values.shape[1]), 1e-9)[:, None]
    return _About(values, means, spread)


def _made_of(codes: Reals, cells: NDArray[np.bool_]) -> Reals:
    """What small changes of some pictures are made of, each about its mean: contrast, shifts and stretches both ways.

    Codes of shape (n, `SIDE`, `SIDE`) give (n, fields, 5).
    """
    inner = codes[:, 1:-1, 1:-1]
    down = (codes[:, 2:, 1:-1] - codes[:, :-2, 1:-1]) / 2
    across = (codes[:, 1:-1, 2:] - codes[:, 1:-1, :-2]) / 2
    y, x = np.mgrid[1 : SIDE - 1, 1 : SIDE - 1] / SIDE
    parts = np.stack([inner, down, across, down * y, across * x], axis=-1).reshape(len(codes), cells.size, 5)[:, cells]
    about: Reals = parts - parts.mean(axis=1, keepdims=True)
    return about
