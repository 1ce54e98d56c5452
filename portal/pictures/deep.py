"""Decodes samples of more than 8 bits: which range they have, and then, some rows at a time, what is shown of them.

The reading library gives only the upper byte of colours of 16 bits. It is made to take the lower for it, so such a
picture is decoded twice. Transparency uses all 16 bits, so its upper byte is enough.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFile

from portal.pictures.depth import U8, BeyondRange, Ends, Range, declared_range, fitting_range, whole_range
from portal.pictures.memory import new_image

_BAND = 256
"""Rows that are taken at once: what they take on the way is held beside the picture."""

Args = tuple[Any, ...] | str | None
Opened = Callable[[], ImageFile.ImageFile]
"""Opens a picture, or some rows of it, each time anew."""
Openings = Callable[[], Iterator[Opened]]
"""The parts of a picture from above, once more each time; most pictures are one."""


class Shown(Protocol):
    """Some rows of a picture whose samples are known."""

    def shown(self, by: Range, ends: Ends) -> Image.Image:
        """What is shown of them; the ends of their samples are noted on the way."""


@dataclass(slots=True)
class Rows:
    """Some rows of a picture as they were decoded; what is shown of them takes the place of the samples."""

    image: Image.Image
    """The samples; of colours the lower byte of each."""
    upper: list[U8] = field(default_factory=list)
    """Of colours the upper bytes, with transparency where there is some, in bands."""

    def shown(self, by: Range, ends: Ends) -> Image.Image:
        """What is shown of them; the ends of their samples are noted on the way."""
        return self._colours(by, ends) if self.upper else self._greys(by, ends)

    def _greys(self, by: Range, ends: Ends) -> Image.Image:
        codes: U8 = np.empty((self.image.height, self.image.width), np.uint8)
        for top, values in bands(self.image):
            ends.take(values)
            by.check(ends)
            codes[top : top + len(values)] = by.codes(values)
        return Image.fromarray(codes)

    def _colours(self, by: Range, ends: Ends) -> Image.Image:
        for top, lower in bands(self.image):
            upper = self.upper.pop(0)
            ends.take(whole_colours(upper))
            by.check(ends)
            values = upper[..., :3].astype(np.uint16) << np.uint16(8) | lower[..., :3]
            codes = np.concatenate((by.codes(values), upper[..., 3:]), axis=-1)
            self.image.paste(Image.fromarray(codes), (0, top))
        self.image.info.clear()
        return self.image


@dataclass(frozen=True)
class Deep:
    """A picture of deep samples that isn't decoded yet."""

    size: tuple[int, int]
    mode: str
    declared: int
    """Bits of a sample as the file says it."""
    icc: bytes | None
    white_is_zero: bool
    uppers: Callable[[], Iterator[Image.Image]]
    """All of it decoded, from above: its samples, or of colours the upper bytes only."""
    rows: Callable[[], Iterator[Shown]]
    """All of it decoded, from above."""

    def range(self, *, least: int | None = None) -> Range:
        """What is shown of it: by `least` bits at least where the file doesn't declare how many."""
        if self.mode.startswith("I;16") and (self.declared < 16 or self.icc is not None):
            return declared_range(self.declared, white_is_zero=self.white_is_zero)
        ends = Ends()
        for image in self.uppers():
            if self.mode[0] in "IF":
                for _, values in bands(image):
                    ends.take(values)
            else:
                # a pair for each of several colours, which its stubs don't tell from the one of greys
                ends.take(whole_colours(np.array([most for _, most in image.getextrema()], np.uint8)))  # type: ignore[misc]
        return fitting_range(ends, white_is_zero=self.white_is_zero, least=least)

    def decoded(self, *, least: int | None = None, known: int | None = None) -> tuple[Image.Image, Range]:
        """Its pixels of 8 bits, and what is shown: where it is known how many bits hold the brightest, by these."""
        if known is None or self.mode in {"I", "F"}:
            shown = self.range(least=least)
            return self._shown(shown, Ends()), shown
        shown, ends = whole_range(known, white_is_zero=self.white_is_zero, least=least), Ends()
        try:
            image = self._shown(shown, ends)
        except BeyondRange:
            return self.decoded(least=least)
        found = fitting_range(ends, white_is_zero=self.white_is_zero, least=least)
        return (image, shown) if found.own_bits == known else (self._shown(found, Ends()), found)

    def _shown(self, by: Range, ends: Ends) -> Image.Image:
        return stacked((rows.shown(by, ends) for rows in self.rows()), self.size)


def stacked(parts: Iterator[Image.Image], size: tuple[int, int]) -> Image.Image:
    """A picture of parts that lie below each other; the very one that has all of it."""
    first = next(parts)
    if first.size == size:
        return first
    whole, top = new_image(first.mode, size), first.height
    whole.info = first.info
    whole.paste(first, (0, 0))
    del first
    for part in parts:
        whole.paste(part, (0, top))
        top += part.height
    return whole


def deep_of(openings: Openings, size: tuple[int, int], *, declared: int, white_is_zero: bool = False) -> Deep | None:
    """A picture of deep samples; None where the reading library gives no more than eight bits of them."""
    first = next(openings())()
    icc = first.info.get("icc_profile")
    other = lower_mode(first)
    if first.mode[0] not in "IF" and (other is None or icc is not None):
        return None
    held: list[Image.Image] = []

    def uppers() -> Iterator[Image.Image]:
        for opened in openings():
            image = opened()
            image.load()
            if image.size == size:
                held.append(image)
            yield image

    def rows() -> Iterator[Rows]:
        for opened in openings():
            if held:
                image = held.pop()
            else:
                image = opened()
                image.load()
            if other is None:
                yield Rows(image)
            else:
                upper = [values for _, values in bands(image)]
                del image
                yield Rows(lower(opened(), other), upper)

    return Deep(size, first.mode, declared, icc, white_is_zero, uppers, rows)


def bands(image: Image.Image) -> Iterator[tuple[int, NDArray[Any]]]:
    """The samples of a picture, some rows at a time, and in which row these begin."""
    for top in range(0, image.height, _BAND):
        values = np.asarray(image.crop((0, top, image.width, min(top + _BAND, image.height))))
        yield top, values.astype(np.uint16, copy=False) if values.dtype.kind == "u" and values.itemsize == 2 else values


def whole_colours(upper: U8) -> NDArray[np.uint16]:
    """The largest colour that has such an upper byte: all steps of ranges are whole numbers of them."""
    return np.array([int(upper[..., :3].max()) << 8 | 0xFF], np.uint16)


def lower(image: ImageFile.ImageFile, mode: str) -> Image.Image:
    """A picture decoded by the raw mode that takes the lower bytes."""
    image.tile = [tile._replace(args=_with_raw_mode(tile.args, mode)) for tile in image.tile]
    image.load()
    return image


def lower_mode(image: ImageFile.ImageFile) -> str | None:
    """The raw mode that reads the lower byte of each 16-bit colour, for the modes that have one."""
    name, _, order = _raw_mode(image.tile[0].args).partition(";16")
    if name not in {"RGB", "RGBA", "RGBX"} or order not in _OTHER_BYTE:
        return None
    return f"{name};16{_OTHER_BYTE[order]}"


def _raw_mode(args: Args) -> str:
    return args if isinstance(args, str) else str(args[0]) if args else ""


def _with_raw_mode(args: Args, mode: str) -> Args:
    return (mode, *args[1:]) if isinstance(args, tuple) else mode


_OTHER_BYTE = {"L": "B", "B": "L", "N": "B" if sys.byteorder == "little" else "L"}
"""The byte order that takes the lower byte of a 16-bit sample for its upper one; N is the machine's own."""
