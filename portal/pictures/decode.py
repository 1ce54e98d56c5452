"""Decodes a picture file of any kind once, into the pixels and colours it stores: not yet upright, not yet sRGB."""

import sys
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from PIL import Image, ImageFile

from portal.model.say import Say
from portal.pictures.bare import draws_over
from portal.pictures.colour import is_srgb
from portal.pictures.depth import U8, U16, bits_for, range_note, real_to_8_bits, table_of, whole_to_8_bits
from portal.pictures.facts import describe
from portal.pictures.header import kind_of
from portal.pictures.heic import decode_heic
from portal.pictures.jpeg import ENDS_EARLY, Inks, read_jpeg
from portal.pictures.kinds import AS_WHAT, HEAD, Kind
from portal.pictures.opening import open_as
from portal.pictures.png import read_png
from portal.pictures.tiff import read_tiff
from portal.pictures.turbo import loaded, nothing_beside
from portal.pictures.whole import ends_empty, refuse_cut
from portal.problem import PortalError

_BAND = 256
"""Rows of a deep picture that are taken at once."""

Notes = tuple[Say, ...]
Args = tuple[Any, ...] | str | None


@dataclass(frozen=True, slots=True)
class Decoded:
    """Stored pixels of 8 bits, their profile, and what has to be said of them."""

    image: Image.Image
    icc: bytes | None
    notes: Notes = ()
    as_is: bytes | None = None
    """A clean file that shows these very pixels, where they need no change of colour."""
    own_bits: int | None = None
    """Of deep samples whose range isn't declared: how many bits hold the brightest."""


def own_bits(data: bytes) -> int | None:
    """How many bits hold the brightest of a picture's deep samples; None where their range is declared, or damaged."""
    try:
        return decode(data).own_bits
    except PortalError:
        return None


def decode(data: bytes, *, least_bits: int | None = None) -> Decoded:
    """Decode a picture file; PortalError where it is damaged or of a form that isn't read.

    Deep samples whose range isn't declared are shown by so many bits at least.
    """
    kind = kind_of(data[:HEAD])
    try:
        with warnings.catch_warnings(action="ignore"):  # what it warns of is metadata, which is never used
            decoded = _DECODERS.get(kind, _other)(data, kind, least_bits)
    except PortalError:
        raise
    except MemoryError as error:
        raise PortalError("not enough memory to read it") from error
    except Exception as error:  # a crafted file can raise anything in the reading library
        if "truncated" in str(error) or (kind is Kind.TIFF and read_tiff(data).ends_early()):
            raise PortalError(ENDS_EARLY) from error
        raise PortalError(f"damaged file: can't be decoded ({describe(error)})") from error
    end = read_tiff(data).pixels_end if kind is Kind.TIFF else len(data)
    if kind in _MARK_THEIR_END or not ends_empty(data, end):
        return decoded
    return replace(decoded, notes=(*decoded.notes, Say.of("picture.ends_empty")))


def _jpeg(data: bytes, kind: Kind, least: int | None) -> Decoded:
    found = read_jpeg(data)
    clean = found.stripped(data)
    image = _open(clean, kind)
    quickly = found.shown_everywhere and found.inks is Inks.YCC and image.mode == "RGB"
    without_a_word = quickly and loaded(image, clean)
    if not without_a_word:
        image.load()
    refuse_cut(image, data, found)
    plain = found.shown_everywhere and (found.icc is None or is_srgb(found.icc, image.mode))
    bare = plain and not draws_over(data, found.kept) and (without_a_word or nothing_beside(clean, image.mode))
    return Decoded(image, None if plain else found.icc, as_is=clean if bare else None)


def _png(data: bytes, kind: Kind, least: int | None) -> Decoded:
    found = read_png(data)
    clean = found.stripped(data)
    if found.bits < 16:
        decoded = _shallow(_load(clean, kind))
    else:
        decoded = _deep(lambda: _open(clean, kind), declared=16, least=least)
    if not found.profile_too_large:
        return decoded
    return replace(decoded, notes=(*decoded.notes, Say.of("picture.colour.profile_unusable")))


def _tiff(data: bytes, kind: Kind, least: int | None) -> Decoded:
    tiff = read_tiff(data)
    if tiff.bits > 8 and tiff.in_planes:
        raise PortalError("a TIFF of more than 8 bits with each colour by itself, which isn't read", hint=AS_WHAT)
    unturned = tiff.unturned()

    def reopen() -> ImageFile.ImageFile:
        image = _open(unturned, kind)
        image.seek(tiff.page)
        image.info.pop("xmp", None)  # the reading library would turn the picture by it
        return image

    if tiff.bits > 8:
        decoded = _deep(reopen, declared=tiff.bits, white_is_zero=tiff.white_is_zero, least=least)
    else:
        image = reopen()
        image.load()
        decoded = _shallow(image)
    if tiff.pages == 1:
        return decoded
    note = Say.of("picture.page", page=tiff.page + 1, pages=tiff.pages)
    return replace(decoded, notes=(*decoded.notes, note))


def _other(data: bytes, kind: Kind, least: int | None) -> Decoded:
    image = _load(data, kind)
    moving = getattr(image, "is_animated", False)
    decoded = _shallow(image)
    return Decoded(image, decoded.icc, (Say.of("picture.first_of_several"),) if moving else ())


def _heic(data: bytes, kind: Kind, least: int | None) -> Decoded:
    image, icc, has_more = decode_heic(data)
    return Decoded(image, icc, (Say.of("picture.first_of_several"),) if has_more else ())


def _open(data: bytes, kind: Kind) -> ImageFile.ImageFile:
    return open_as(kind, data)


def _load(data: bytes, kind: Kind) -> ImageFile.ImageFile:
    image = _open(data, kind)
    image.load()
    return image


def _shallow(image: Image.Image) -> Decoded:
    return Decoded(image, image.info.get("icc_profile"))


def _deep(
    reopen: Callable[[], ImageFile.ImageFile], *, declared: int, white_is_zero: bool = False, least: int | None = None
) -> Decoded:
    """Decode samples of more than 8 bits."""
    image = reopen()
    swapped = _swapped(image)
    image.load()
    icc = image.info.get("icc_profile")
    if image.mode in {"I", "F"}:
        mapped = real_to_8_bits(np.asarray(image), white_is_zero=white_is_zero, least=least)
    elif image.mode.startswith("I;16"):
        values = _values(image)
        del image
        mapped = whole_to_8_bits(
            values, declared=declared, for_display=icc is not None, white_is_zero=white_is_zero, least=least
        )
    elif swapped and icc is None:
        alpha = image.getchannel("A") if image.mode == "RGBA" else None
        upper = _colours(image)
        del image
        return _two_bytes(upper, alpha, reopen(), swapped, least)
    else:
        return Decoded(image, icc, (range_note(16),))
    return Decoded(Image.fromarray(mapped.pixels), icc, (mapped.note,), own_bits=mapped.own_bits)


def _values(image: Image.Image) -> U16:
    """The values of a deep picture, taken some rows at a time: on the way they are held twice beside the picture."""
    values: U16 = np.empty((image.height, image.width), np.uint16)
    for top in range(0, image.height, _BAND):
        below = min(top + _BAND, image.height)
        values[top:below] = np.asarray(image.crop((0, top, image.width, below)), dtype=np.uint16)
    return values


def _colours(image: Image.Image) -> U8:
    """The codes of a picture's colours, in three bytes a pixel and no longer in four."""
    codes: U8 = np.empty((image.height, image.width, 3), np.uint8)
    for rows, band in _bands(image):
        codes[rows] = band
    return codes


def _bands(image: Image.Image) -> Iterator[tuple[slice, U8]]:
    for top in range(0, image.height, _BAND):
        below = min(top + _BAND, image.height)
        yield slice(top, below), np.asarray(image.crop((0, top, image.width, below)))[..., :3]


def _two_bytes(
    codes: U8, alpha: Image.Image | None, again: ImageFile.ImageFile, swapped: str, least: int | None
) -> Decoded:
    """Colours of 16 bits, of which the reading library gives only the upper byte: it is made to take the lower for it.

    Transparency uses all 16 bits, so its upper byte is enough. The upper bytes alone tell the range, whose steps are
    whole numbers of them; they are replaced by what is shown, since of 200 megapixels they take 600 MB.
    """
    own = bits_for(int(codes.max()) << 8 | 0xFF)
    bits = max(own, least or 0)
    table = table_of(bits)
    again.tile = [tile._replace(args=_with_raw_mode(tile.args, swapped)) for tile in again.tile]
    again.load()
    for rows, lower in _bands(again):
        codes[rows] = table[codes[rows].astype(np.uint16) << np.uint16(8) | lower]
    del again
    image = Image.fromarray(codes)
    if alpha is not None:
        image.putalpha(alpha)
    return Decoded(image, None, (range_note(bits, of_view=bool(least)),), own_bits=own)


def _swapped(image: ImageFile.ImageFile) -> str | None:
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

_MARK_THEIR_END = {Kind.JPEG, Kind.PNG, Kind.GIF}

_DECODERS: dict[Kind, Callable[[bytes, Kind, int | None], Decoded]] = {
    Kind.JPEG: _jpeg,
    Kind.PNG: _png,
    Kind.TIFF: _tiff,
    Kind.HEIC: _heic,
}
