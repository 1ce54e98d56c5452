"""Reads the header of a picture of any kind, and refuses a picture that is too large before it is decoded."""

from dataclasses import dataclass

from portal.model.picture import WrittenScale
from portal.model.scalars import Frame
from portal.pictures.boxes import check_whole
from portal.pictures.exif import Exif, read_exif
from portal.pictures.filescale import written_scales
from portal.pictures.jpeg import ENDS_EARLY, read_jpeg
from portal.pictures.kinds import AS_WHAT, AS_WHICH, HEAD, Kind, describe_stranger, sniff
from portal.pictures.png import read_png
from portal.pictures.source import Data, held
from portal.pictures.tiff import read_tiff
from portal.pictures.webp import read_webp
from portal.problem import PortalError

MEGAPIXELS = 250
"""The largest picture that is decoded, of most forms."""
ROOM = 1_480_000_000
"""Bytes of memory that the pixels of a picture may take while it is decoded: with the program itself 1.5 GiB."""
_WHOLE = {Kind.WEBP: 16.5, Kind.AVIF: 9.3, Kind.HEIC: 7.3, Kind.BMP: 7.0}
"""Bytes a pixel of kinds that come whole from their decoders, which hold them in several forms; measured
(`tests/benchmarks/pictures.py --vast`)."""


@dataclass(frozen=True, slots=True)
class Header:
    """What the header of a picture says."""

    kind: Kind
    stored: Frame
    exif: Exif
    written: tuple[WrittenScale, ...] = ()
    is_deep: bool = False
    """Whether its samples are of 16 bits or more, and nothing tells which of their values is white."""


def read_header(data: Data, *, megapixels: float = MEGAPIXELS) -> Header:
    """Read a header; PortalError where the kind isn't read, the file is damaged or the picture too large."""
    kind = kind_of(data[:HEAD])
    if kind is Kind.PNG:
        header = _png(data, kind, megapixels)
    elif kind is Kind.TIFF:
        header = _tiff(data, kind, megapixels)
    else:
        header = _HEADERS.get(kind, _other)(held(data), kind, megapixels)
    check_size(header.stored, megapixels)
    check_room(header.stored, _WHOLE.get(kind, 1), megapixels)
    return header


def kind_of(head: bytes) -> Kind:
    """The kind of picture whose file begins so; PortalError where it isn't read."""
    kind = sniff(head)
    if kind is None:
        what = describe_stranger(head)
        hint = AS_WHICH if what.startswith("a movie") else AS_WHAT
        raise PortalError(f"this is {what}, which isn't read", hint=hint)
    return kind


def check_size(frame: Frame, megapixels: float) -> None:
    """Raise PortalError where a frame is empty or larger than the limit."""
    if not (frame.width and frame.height):
        raise PortalError(f"damaged file: its header says {frame} pixels")
    found = frame.width * frame.height / 1e6
    if found > megapixels:
        raise PortalError(
            f"its header says {frame} pixels, {found:.0f} megapixels, more than the {megapixels:g} that are read",
            hint="save a smaller picture, or a part of it at full size",
        )


def check_room(frame: Frame, bytes_a_pixel: float, megapixels: float) -> None:
    """Raise PortalError where the pixels of a form take more memory than is given, the more the larger the limit is."""
    most = ROOM / bytes_a_pixel / 1e6 * max(1, megapixels / MEGAPIXELS)
    found = frame.width * frame.height / 1e6
    if found > most:
        raise PortalError(
            f"its header says {frame} pixels, {found:.0f} megapixels, more than the {most:.0f} that are read so packed",
            hint="save it as a TIFF in strips or a JPEG that isn't progressive, or a smaller picture",
        )


def _jpeg(data: bytes, kind: Kind, megapixels: float) -> Header:
    found = read_jpeg(data)
    check_size(found.stored, megapixels)
    if found.ends_early:
        raise PortalError(ENDS_EARLY)
    check_room(found.stored, found.bytes_a_pixel, megapixels)
    return Header(kind, found.stored, read_exif(found.exif))


def _png(data: Data, kind: Kind, megapixels: float) -> Header:
    found = read_png(data)
    check_size(found.stored, megapixels)
    check_room(found.stored, found.bytes_a_pixel, megapixels)
    return Header(kind, found.stored, read_exif(found.exif), is_deep=found.bits == 16 and not found.has_profile)


def _tiff(data: Data, kind: Kind, megapixels: float) -> Header:
    found = read_tiff(data)
    if found.tile != Frame(0, 0):
        check_size(found.tile, megapixels)
    check_size(found.stored, megapixels)
    check_room(found.stored, found.bytes_a_pixel, megapixels)
    written = written_scales(found.directory, found.stored)
    return Header(kind, found.stored, found.exif, written, is_deep=found.bits >= 16 and not found.has_profile)


def _webp(data: bytes, kind: Kind, megapixels: float) -> Header:
    found = read_webp(data)
    return Header(kind, found.stored, read_exif(found.exif))


def _heic(data: bytes, kind: Kind, megapixels: float) -> Header:
    from portal.pictures.heic import read_heic

    check_whole(data)
    found = read_heic(data)
    return Header(kind, found.stored, found.exif)


def _avif(data: bytes, kind: Kind, megapixels: float) -> Header:
    check_whole(data)
    return _other(data, kind, megapixels)


def _other(data: bytes, kind: Kind, megapixels: float) -> Header:
    """The kinds whose headers the reading library reads without decoding; it is loaded for these only."""
    from portal.pictures.opening import open_as

    with open_as(kind, data) as image:
        exif = image.info.get("exif", b"")
        return Header(kind, Frame(*image.size), read_exif(exif.removeprefix(b"Exif\0\0")))


_HEADERS = {Kind.JPEG: _jpeg, Kind.WEBP: _webp, Kind.HEIC: _heic, Kind.AVIF: _avif}

BY_DECODER = frozenset({Kind.HEIC, Kind.AVIF})
"""Kinds of which a decoder, and no code of this package, reads the header."""
