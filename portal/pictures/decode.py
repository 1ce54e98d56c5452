"""Decodes a picture file of any kind once, into the pixels and colours it stores: not yet upright, not yet sRGB."""

import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from typing import BinaryIO, cast

from PIL import Image, ImageFile

from portal.model.say import Say
from portal.pictures.bare import draws_over
from portal.pictures.bmp import has_doubtful_runs
from portal.pictures.colour import is_srgb
from portal.pictures.deep import Deep, Opened, Openings, deep_of, lower_mode, stacked
from portal.pictures.deepplanes import deep_planes
from portal.pictures.depth import range_note
from portal.pictures.facts import describe
from portal.pictures.header import kind_of
from portal.pictures.heic import decode_heic
from portal.pictures.jpeg import ENDS_EARLY, Inks, read_jpeg
from portal.pictures.kinds import HEAD, Kind
from portal.pictures.memory import roomy
from portal.pictures.opening import open_as
from portal.pictures.parts import BAND, WHOLE, parts_of
from portal.pictures.png import Png, read_png
from portal.pictures.pngrows import rows_of
from portal.pictures.source import Data, held
from portal.pictures.tiff import Tiff, read_tiff
from portal.pictures.tiffwhole import has_doubtful_parts
from portal.pictures.turbo import loaded, said_of
from portal.pictures.whole import ends_empty, is_doubtful
from portal.problem import PortalError

Notes = tuple[Say, ...]


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


@dataclass(frozen=True, slots=True)
class Depth:
    """What is asked of deep samples whose range isn't declared."""

    least_bits: int | None = None
    """They are shown by so many at least."""
    known_bits: int | None = None
    """So many hold the brightest, as was found before: nothing is decoded to find it, and it is checked on the way."""


def own_bits(data: Data) -> int | None:
    """How many bits hold the brightest of a picture's deep samples; None where their range is declared, or damaged."""
    kind = kind_of(data[:HEAD])
    try:
        with _told(data, kind):
            deep = _deep_png(data, read_png(data)) if kind is Kind.PNG else _deep_tiff(read_tiff(data))
            return deep.range().own_bits if deep else None
    except PortalError:
        return None


def decode(data: Data, *, least_bits: int | None = None, known_bits: int | None = None) -> Decoded:
    """Decode a picture file; PortalError where it is damaged or of a form that isn't read."""
    kind = kind_of(data[:HEAD])
    asked = Depth(least_bits, known_bits)
    with _told(data, kind):
        if kind is Kind.PNG:
            decoded = _png(data, asked)
        elif kind is Kind.TIFF:
            decoded = _tiff(data, asked)
        else:
            decoded = _DECODERS.get(kind, _other)(held(data), kind)
    end = read_tiff(data).pixels_end if kind is Kind.TIFF else len(data)
    if kind in _MARK_THEIR_END or not ends_empty(data, end):
        return decoded
    return replace(decoded, notes=(*decoded.notes, Say.of("picture.ends_empty")))


@contextmanager
def _told(data: Data, kind: Kind) -> Iterator[None]:
    """Within it whatever is raised becomes a PortalError."""
    try:
        with warnings.catch_warnings(action="ignore"):  # what it warns of is metadata, which is never used
            yield
    except PortalError:
        raise
    except MemoryError as error:
        raise PortalError("not enough memory to read it") from error
    except Exception as error:  # a crafted file can raise anything in the reading library
        if "truncated" in str(error) or (kind is Kind.TIFF and read_tiff(data).ends_early()):
            raise PortalError(ENDS_EARLY) from error
        raise PortalError(f"damaged file: can't be decoded ({describe(error)})") from error


def _jpeg(data: bytes, kind: Kind) -> Decoded:
    found = read_jpeg(data)
    clean = found.stripped(data)
    image = open_as(kind, clean)
    quickly = found.shown_everywhere and found.inks is Inks.YCC and image.mode == "RGB"
    without_a_word = quickly and loaded(image, clean)
    if not without_a_word:
        roomy(image)
        image.load()
    if found.lacks_scans(data):
        raise PortalError(ENDS_EARLY)
    doubtful = not without_a_word and is_doubtful(data, found, image.mode, image)
    plain = found.shown_everywhere and (found.icc is None or is_srgb(found.icc, image.mode))
    bare = plain and not draws_over(data, found.kept) and (without_a_word or not said_of(clean, image.mode))
    notes = (_DOUBTFUL,) if doubtful else ()
    return Decoded(image, None if plain else found.icc, notes, as_is=clean if bare else None)


def _png(data: Data, asked: Depth) -> Decoded:
    found = read_png(data)
    deep = _deep_png(data, found) if found.bits == 16 else None
    decoded = _mapped(deep, asked) if deep else _shallow(_load(found.stripped(data), Kind.PNG), bits=found.bits)
    if not found.profile_too_large:
        return decoded
    return replace(decoded, notes=(*decoded.notes, Say.of("picture.colour.profile_unusable")))


def _deep_png(data: Data, found: Png) -> Deep | None:
    opened = partial(open_as, Kind.PNG, found.stripped(data))
    deep = deep_of(lambda: iter((opened,)), (found.stored.width, found.stored.height), declared=16)
    other = lower_mode(opened())
    if deep is None or other is None or found.is_interlaced or found.stored.width * found.stored.height <= WHOLE:
        return deep
    return replace(deep, rows=partial(rows_of, data, found, other=other, band=BAND))


def _tiff(data: Data, asked: Depth) -> Decoded:
    tiff = read_tiff(data)
    deep = _deep_tiff(tiff) if tiff.bits > 8 else None
    if deep:
        decoded = _mapped(deep, asked)
    else:
        parts = (_loaded(opened) for opened in _openings(tiff)())
        decoded = _shallow(stacked(parts, (tiff.stored.width, tiff.stored.height)), bits=tiff.bits)
    notes = [*decoded.notes]
    if has_doubtful_parts(tiff):
        notes.append(_DOUBTFUL)
    if tiff.pages > 1:
        notes.append(Say.of("picture.page", page=tiff.page + 1, pages=tiff.pages))
    return replace(decoded, notes=tuple(notes))


def _deep_tiff(tiff: Tiff) -> Deep | None:
    if tiff.in_planes:
        return deep_planes(tiff)
    size = tiff.stored.width, tiff.stored.height
    return deep_of(_openings(tiff), size, declared=tiff.bits, white_is_zero=tiff.white_is_zero)


def _openings(tiff: Tiff) -> Openings:
    """Of a large TIFF its parts, else the file as it is."""
    parts = parts_of(tiff)
    if parts:
        return lambda: (partial(open_as, Kind.TIFF, content) for content in parts.files())
    unturned = tiff.unturned()

    def opened() -> ImageFile.ImageFile:
        image = open_as(Kind.TIFF, unturned)
        image.seek(tiff.page)
        image.info.pop("xmp", None)  # the reading library would turn the picture by it
        return image

    return lambda: iter((opened,))


def _other(data: bytes, kind: Kind) -> Decoded:
    image = _load(data, kind)
    if kind is Kind.GIF and image.mode == "P":
        _refuse_strange_colours(image)
    notes = (_DOUBTFUL,) if kind is Kind.BMP and has_doubtful_runs(data) else ()
    if getattr(image, "is_animated", False):
        notes = (Say.of("picture.first_of_several"),)
    return Decoded(image, _shallow(image).icc, notes)


def _refuse_strange_colours(image: Image.Image) -> None:
    """PortalError where a pixel's colour isn't in the palette, which the reading library would show black."""
    if cast(int, image.getextrema()[1]) >= len(image.getpalette() or ()) // 3:
        raise PortalError("damaged file: pixels have a colour that its palette doesn't hold")


def _heic(data: bytes, kind: Kind) -> Decoded:
    from portal.pictures.heicwhole import has_doubtful_tiles  # loads long, and few catalogues have a HEIC

    notes = (_DOUBTFUL,) if has_doubtful_tiles(data) else ()
    image, icc, has_more = decode_heic(data)
    return Decoded(image, icc, (*notes, Say.of("picture.first_of_several")) if has_more else notes)


def _load(data: bytes | BinaryIO, kind: Kind) -> ImageFile.ImageFile:
    image = open_as(kind, data)
    roomy(image)
    image.load()
    return image


def _loaded(opened: Opened) -> Image.Image:
    image = opened()
    image.load()
    return image


def _shallow(image: Image.Image, *, bits: int = 8) -> Decoded:
    """Pixels as they are; of deeper ones the reading library gave the upper eight bits."""
    return Decoded(image, image.info.get("icc_profile"), (range_note(16),) if bits > 8 else ())


def _mapped(deep: Deep, asked: Depth) -> Decoded:
    image, shown = deep.decoded(least=asked.least_bits, known=asked.known_bits)
    return Decoded(image, deep.icc, (shown.note,), own_bits=shown.own_bits)


_DOUBTFUL = Say.of("picture.doubtful")

_MARK_THEIR_END = {Kind.JPEG, Kind.PNG, Kind.GIF}

_DECODERS: dict[Kind, Callable[[bytes, Kind], Decoded]] = {Kind.JPEG: _jpeg, Kind.HEIC: _heic}
