"""Bitmaps as old capture programs write them: the right way up whatever their rows, headers and packing are.

Made by hand here, after the layout of BITMAPCOREHEADER (12 bytes) and BITMAPINFOHEADER (40 bytes); from memory.
"""

import struct
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.pictures.make import encoded, scene, seen, told

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


def packed(*runs_of: bytes) -> bytes:
    """A picture of 4 x 2 pixels whose packed rows are these."""
    palette = b"".join(bytes((each, each, each, 0)) for each in (0, 80, 160, 240))
    body = b"".join(runs_of)
    return _file(struct.pack("<IiiHHIIiiII", 40, 4, 2, 1, 8, 1, len(body), 0, 0, 4, 0) + palette, body)


ROW, SHORT, LONG = b"\4\1\0\0", b"\3\1\0\0", b"\5\1\0\0"
OPEN, STEP, STOP = b"\0\4\1\2\3\1\0\0", b"\2\1\0\2\2\0\4\2", b"\0\1"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (packed(ROW, ROW, STOP), ""),
        (packed(ROW, b"\4\2", STOP), ""),
        (packed(OPEN, OPEN, STOP), ""),
        (packed(STEP, b"\0\0", STOP), ""),
        (packed(ROW, SHORT, STOP), "doubtful"),
        (packed(ROW, ROW), "doubtful"),
        (packed(ROW, LONG, STOP), "damaged file: its runs of pixels go beyond the picture's side"),
        (packed(ROW, b"\0\5\1\2\3\1\1\0\0\0", STOP), "damaged file: its runs of pixels go beyond the picture's side"),
        (packed(ROW, ROW, STOP)[:-1], "damaged file: ends early"),
    ],
)
def test_runs_that_dont_come_to_their_rows_are_told(content: bytes, said: str, tmp_path: Path) -> None:
    """A changed byte makes a row too short or too long, and what follows is shifted; a jump leaves rows open."""
    assert told(tmp_path, content) == said


def test_a_gif_with_colours_beyond_its_palette_is_refused(tmp_path: Path) -> None:
    """The reading library shows them black."""
    whole = encoded(scene(30, 20).quantize(256), "GIF")
    assert whole[10] & 7 == 7, "a table of 256 colours"
    assert told(tmp_path, whole) == ""
    fewer = whole[:10] + bytes((whole[10] & ~7 | 5,)) + whole[11 : 13 + 3 * 64] + whole[13 + 3 * 256 :]
    assert told(tmp_path, fewer) == "damaged file: pixels have a colour that its palette doesn't hold"
