"""The memory that pictures are decoded into: that of the last one again, where nobody needs its pixels any more.

To be given memory anew, and have the system clear it, takes longer than to write a picture's pixels into it.

A vast picture lies in memory that is given back to the system row by row, as what is made of it grows, and that can be
seen as other colours: what takes the place of its pixels is written over them.
"""

import mmap
from collections.abc import Iterator
from contextlib import contextmanager
from threading import local
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from portal.pictures.kinds import PIXEL

_MOST_BYTES = 96_000_000
"""More isn't kept: what 24 megapixels take, four bytes each."""
_COLOURS = {"RGB", "RGBA", "RGBX", "CMYK", "LAB"}
_OWN = "_own_memory"

Bytes = NDArray[np.uint8]


class Kept:
    """Memory for one picture after the other."""

    def __init__(self) -> None:
        self._bytes: Bytes | None = None

    def room(self, count: int) -> Bytes:
        """So many bytes of any content."""
        if count > _MOST_BYTES:
            self._bytes = None
            return np.frombuffer(mmap.mmap(-1, count), np.uint8)
        if self._bytes is None or self._bytes.size < count:
            self._bytes = None  # before there is more, so that both are never held together
            self._bytes = np.empty(count, np.uint8)
        return self._bytes[:count]


class _Own(local):
    """What this thread keeps, so that no other one decodes into it, and what the next picture is decoded into."""

    def __init__(self) -> None:
        self.kept = Kept()
        self.free: Kept | None = None


_own = _Own()


@contextmanager
def reused(kept: Kept | None = None) -> Iterator[None]:
    """Within it one picture is decoded into memory that is kept; when it ends, nobody may need its pixels any more.

    With some `kept` elsewhere, nobody may need them once that is given again.
    """
    _own.free = kept or _own.kept
    try:
        yield
    finally:
        _own.free = None


def room(count: int) -> Bytes:
    """So many bytes of any content, which nobody else writes to as long as they are needed."""
    kept, _own.free = _own.free, None
    return np.empty(count, np.uint8) if kept is None else kept.room(count)


def roomy(image: Image.Image) -> None:
    """Have a vast picture of colours, of which no pixel is there yet, decoded into memory of ours."""
    if image.mode in _COLOURS and PIXEL * image.width * image.height > _MOST_BYTES:
        lay(image, np.frombuffer(mmap.mmap(-1, PIXEL * image.width * image.height), np.uint8))


def lay(image: Image.Image, pixels: Bytes) -> None:
    """Let a picture of colours have its pixels there; where it had others, it is as it was if this can't be."""
    image.im = _core().map_buffer(pixels, image.size, "raw", 0, (image.mode, 0, 1))
    image.readonly = 0  # else the library would copy it before it writes into it, or codes it
    if pixels.size > _MOST_BYTES:
        setattr(image, _OWN, pixels)


def new_image(mode: str, size: tuple[int, int]) -> Image.Image:
    """A picture of any pixels, all of which are to be written."""
    image = Image.new(mode, (1, 1))
    if mode not in _COLOURS or PIXEL * size[0] * size[1] <= _MOST_BYTES:
        return Image.new(mode, size, None)
    pixels: Bytes = np.frombuffer(mmap.mmap(-1, PIXEL * size[0] * size[1]), np.uint8)
    made = image._new(_core().map_buffer(pixels, size, "raw", 0, (mode, 0, 1)))
    setattr(made, _OWN, pixels)
    return made


def seen_as(image: Image.Image, mode: str) -> Image.Image | None:
    """The same pixels as other colours, where they lie in memory of ours: what is written to one is in the other."""
    pixels = getattr(image, _OWN, None)
    if pixels is None:
        return None
    made = Image.new(mode, (1, 1))._new(_core().map_buffer(pixels, image.size, "raw", 0, (mode, 0, 1)))
    setattr(made, _OWN, pixels)
    return made


def give_back(image: Image.Image, top: int, below: int) -> None:
    """Nobody needs these rows of a vast picture any more; where the system doesn't take them, they stay as they are."""
    pixels = getattr(image, _OWN, None)
    if pixels is None or not hasattr(mmap, "MADV_DONTNEED"):
        return
    row = PIXEL * image.width
    start = -(-top * row // mmap.PAGESIZE) * mmap.PAGESIZE
    end = below * row // mmap.PAGESIZE * mmap.PAGESIZE
    held = pixels.base
    while isinstance(held, np.ndarray | memoryview):
        held = held.base if isinstance(held, np.ndarray) else held.obj
    if isinstance(held, mmap.mmap) and end > start:
        held.madvise(mmap.MADV_DONTNEED, start, end - start)


def _core() -> Any:
    return Image.core  # type: ignore[attr-defined]  # its stubs leave it out
