"""Bitmaps as old capture programs write them: the right way up whatever their rows, headers and packing are.

Made by hand here, after the layout of BITMAPCOREHEADER (12 bytes) and BITMAPINFOHEADER (40 bytes); from memory.
"""

import struct
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.pictures.make import seen

ROWS = np.array([[[250, 20, 20], [20, 250, 20], [20, 20, 250], [240, 240, 240]]] + [[[60, 60, 60]] * 4] * 2, np.uint8)
"""Red, green, blue, light in the first row; two dark rows below."""


def plain(pixels: NDArray[np.uint8], *, top_down: bool = False, core: bool = False) -> bytes:
    """Of 24 bits: blue, green, red, rows filled up to four bytes, the last row first unless the height is below 0."""
    height, width = pixels.shape[:2]
    rows = [row[:, ::-1].tobytes().ljust(-(-3 * width // 4) * 4, b"\0") for row in pixels]
    body = b"".join(rows if top_down else rows[::-1])
    if core:
        return _file(struct.pack("<IHHHH", 12, width, height, 1, 24), body)
    signed = -height if top_down else height
    return _file(struct.pack("<IiiHHIIiiII", 40, width, signed, 1, 24, 0, len(body), 0, 0, 0, 0), body)


def fields(pixels: NDArray[np.uint8]) -> bytes:
    """Of 16 bits: five for red, six for green, five for blue, as the masks behind the header say."""
    height, width = pixels.shape[:2]
    wide = pixels.astype(np.uint16)
    packed = (wide[..., 0] >> 3 << 11 | wide[..., 1] >> 2 << 5 | wide[..., 2] >> 3).astype("<u2")
    body = packed[::-1].tobytes()
    head = struct.pack("<IiiHHIIiiII", 40, width, height, 1, 16, 3, len(body), 0, 0, 0, 0)
    return _file(head + struct.pack("<III", 0xF800, 0x07E0, 0x001F), body)


def runs(pixels: NDArray[np.uint8]) -> bytes:
    """Of 8 bits with a palette, as runs of the same colour."""
    height, width = pixels.shape[:2]
    colours = sorted({tuple(int(each) for each in pixel) for pixel in pixels.reshape(-1, 3)})
    palette = b"".join(bytes((*colour[::-1], 0)) for colour in colours)
    body = b""
    for row in pixels[::-1]:
        body += b"".join(bytes((1, colours.index(tuple(int(each) for each in pixel)))) for pixel in row) + b"\0\0"
    body += b"\0\1"
    head = struct.pack("<IiiHHIIiiII", 40, width, height, 1, 8, 1, len(body), 0, 0, len(colours), 0)
    return _file(head + palette, body)


def _file(head: bytes, body: bytes) -> bytes:
    at = 14 + len(head)
    return b"BM" + struct.pack("<IHHI", at + len(body), 0, 0, at) + head + body


BITMAPS = {
    "bottom up": plain(ROWS),
    "top down": plain(ROWS, top_down=True),
    "old header": plain(ROWS, core=True),
    "bit fields": fields(ROWS),
    "runs": runs(ROWS),
}


@pytest.mark.parametrize("content", BITMAPS.values(), ids=BITMAPS)
def test_a_bitmap_is_shown_the_right_way_up(content: bytes, tmp_path: Path) -> None:
    """In its colours, within what its bits hold."""
    found = np.asarray(seen(tmp_path, content).image.convert("RGB"))
    assert found.shape == ROWS.shape
    assert np.abs(found.astype(int) - ROWS).max() <= 8
