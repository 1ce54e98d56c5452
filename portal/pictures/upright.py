"""The picture as everybody sees it: upright, in sRGB, on white, 8 bits."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from PIL import Image

from portal.model.picture import PictureFacts
from portal.model.say import Say
from portal.pictures.colour import on_white, to_srgb
from portal.pictures.decode import Decoded, decode
from portal.pictures.memory import give_back, new_image, seen_as
from portal.pictures.source import Data
from portal.problem import PortalError

TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

_TURNED_WHOLE = 24_000_000
"""Pixels of the largest picture that is turned at once, in half the time, though it is held twice meanwhile."""

_SIDEWAYS = {TURNS[number] for number in (5, 6, 7, 8)}
_FROM_THE_END = {TURNS[number] for number in (3, 4, 6, 7)}
"""By which the last row comes to be the first, or the first column."""
_BAND = 256
"""Rows of a vast picture that are taken at once."""
_GREYS = {"L", "LA", "La"}


@dataclass(frozen=True)
class Upright:
    """Upright pixels of mode L or RGB in sRGB, and what has to be said of how they came about."""

    image: Image.Image
    notes: tuple[Say, ...] = ()
    as_is: bytes | None = None
    """A clean JPEG of these very pixels that was never decoded, where the file has one."""
    masks: Sequence[Sequence[tuple[float, float]]] = ()
    """The regions of it that were made black."""

    def divided(self, divide: int) -> Image.Image:
        """The mean over squares of so many pixels.

        Of even sides an even number is always taken from the half, whatever else is wanted of the picture, so that the
        same want gives the same bytes: that reads a quarter as much, and moves a mean by less than one code.
        """
        if divide == 1 or divide % 2 or self.image.width % 2 or self.image.height % 2:
            return self.image.reduce(divide)
        return self.half if divide == 2 else self.half.reduce(divide // 2)

    @cached_property
    def half(self) -> Image.Image:
        """The mean over squares of two pixels."""
        return self.image.reduce(2)


def upright(data: Data, facts: PictureFacts) -> Upright:
    """Decode a picture file and set it upright; PortalError where it is damaged or of a form that isn't read."""
    decoded = decode(data, least_bits=facts.shown_bits, known_bits=facts.bits)
    del data  # it may be as large as its pixels
    if decoded.image.size != (facts.stored.width, facts.stored.height):
        raise PortalError("damaged file: its header and its pixels differ in size")
    image, notes = _flat_in_place(decoded) or _flat(decoded)
    turn = TURNS.get(facts.orientation)
    as_is = decoded.as_is if turn is None else None
    if turn is not None and image.width * image.height <= _TURNED_WHOLE:
        image = image.transpose(turn)
    elif turn is not None:
        del decoded
        held = [image]
        del image
        image = _turned(held, turn)
    image.info.clear()  # the writing library would copy a comment from it
    return Upright(image, notes, as_is)


def _turned(held: list[Image.Image], turn: Image.Transpose) -> Image.Image:
    """The picture in that list turned, and given up on the way, so that it is never held twice."""
    image = held.pop()
    if seen_as(image, image.mode) is None:
        bands, turned = list(image.split()), []
        del image
        while bands:
            turned.append(bands.pop(0).transpose(turn))
        return turned[0] if len(turned) == 1 else Image.merge("RGB", turned)
    size = image.size[::-1] if turn in _SIDEWAYS else image.size
    whole = new_image(image.mode, size)
    for top in range(0, image.height, _BAND):
        below = min(top + _BAND, image.height)
        part = image.crop((0, top, image.width, below)).transpose(turn)
        at = image.height - below if turn in _FROM_THE_END else top
        whole.paste(part, (at, 0) if turn in _SIDEWAYS else (0, at))
        give_back(image, top, below)
    return whole


def _flat_in_place(decoded: Decoded) -> tuple[Image.Image, tuple[Say, ...]] | None:
    """What `_flat` gives, written over the pixels of a vast picture; None of one that has to be copied for it."""
    image = decoded.image
    if image.mode == "RGB" and decoded.icc is None and "transparency" not in image.info:
        return image, decoded.notes
    whole = seen_as(image, "RGB")
    if whole is None:
        return None
    notes: dict[Say, None] = {}
    for top in range(0, image.height, _BAND):
        box = (0, top, image.width, min(top + _BAND, image.height))
        part, said = _flat(replace(decoded, image=image.crop(box)))
        notes |= dict.fromkeys(said)
        whole.paste(part, box)
    return whole, tuple(notes)


def _flat(decoded: Decoded) -> tuple[Image.Image, tuple[Say, ...]]:
    base, alpha = _split(decoded.image)
    image, notes = to_srgb(base, decoded.icc)
    notes = decoded.notes + notes
    if alpha is None:
        return image, notes
    return on_white(image, alpha), (*notes, Say.of("picture.on_white"))


def _split(image: Image.Image) -> tuple[Image.Image, Image.Image | None]:
    """A picture as L, RGB, CMYK or LAB, and its transparency where it has some."""
    if image.mode in {"L", "RGB", "CMYK", "LAB"} and "transparency" not in image.info:
        return image, None
    if image.mode == "1":
        return image.convert("L"), None
    if not image.has_transparency_data:
        return image.convert("RGB"), None
    rgba = (image.convert("LA") if image.mode == "La" else image).convert("RGBA")
    base, alpha = rgba.getchannel("R") if image.mode in _GREYS else rgba.convert("RGB"), rgba.getchannel("A")
    return base, None if alpha.getextrema() == (255, 255) else alpha
