"""A scale bar as a camera program burns it in: a pale line with ticks, its length above it."""

import numpy as np

from .scenes import Pixels

PALE, DARK = 250, 12
_THICK, _TICK, _DOT = 4, 22, 4
_ASIDE, _BELOW = 60, 70
_GLYPHS = {
    "0": ("01110", "10001", "10011", "10101", "11001", "10001", "01110"),
    "1": ("00100", "01100", "00100", "00100", "00100", "00100", "01110"),
    "2": ("01110", "10001", "00001", "00110", "01000", "10000", "11111"),
    "5": ("11111", "10000", "11110", "00001", "00001", "10001", "01110"),
    "µ": ("00000", "10010", "10010", "10010", "11101", "10000", "10000"),
    "m": ("00000", "00000", "11010", "10101", "10101", "10101", "10101"),
    " ": ("000",) * 7,
}


def ends(size: tuple[int, int], length_px: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the bar begins and ends, in a corner of a picture of that size."""
    right, y = float(size[0] - _ASIDE), float(size[1] - _BELOW)
    return (right - length_px, y), (right, y)


def burn_in(pixels: Pixels, length_um: int, length_px: float) -> Pixels:
    """The picture with a bar of that length, which covers what lay below it."""
    burned = pixels.copy()
    (left, y), (right, _) = ends((pixels.shape[1], pixels.shape[0]), length_px)
    row, first, last = round(y), round(left), round(right)
    marks = [(row - _THICK // 2, row + _THICK // 2, first, last)]
    marks += [(row - _TICK // 2, row + _TICK // 2, x - _THICK // 2, x + _THICK // 2) for x in (first, last)]
    for value, grown in ((DARK, 2), (PALE, 0)):
        for top, bottom, start, stop in marks:
            burned[top - grown : bottom + grown, start - grown : stop + grown] = value
    _written(burned, f"{length_um} µm", (first + last) // 2, row - _TICK)
    return burned


def _written(burned: Pixels, text: str, middle: int, bottom: int) -> None:
    rows = [[int(dot) for letter in text for dot in _GLYPHS[letter][line] + "0"] for line in range(7)]
    dots = np.kron(np.asarray(rows, np.uint8), np.ones((_DOT, _DOT), np.uint8)).astype(bool)
    height, width = dots.shape
    around = np.pad(dots, 2)
    for dy in range(-2, 3):
        for dx in range(-2, 3):
            around[2 + dy : 2 + dy + height, 2 + dx : 2 + dx + width] |= dots
    top, left = bottom - height, middle - width // 2
    burned[top - 2 : top + height + 2, left - 2 : left + width + 2][around] = DARK
    burned[top : top + height, left : left + width][dots] = PALE
