"""The facts of a picture file: its hash, its stored frame, its orientation, when it was taken."""

from pathlib import Path
from typing import overload

from portal.model.picture import Facts, PictureFacts, PictureUnreadable
from portal.pictures.header import BY_DECODER, MEGAPIXELS, kind_of, read_header
from portal.pictures.kinds import HEAD, Kind, sniff_movie
from portal.pictures.source import HELD, Data, OnDisk, sha256_of
from portal.problem import PortalError

MOST_BYTES = 4_000_000_000
_IN_PARTS = frozenset({Kind.PNG, Kind.TIFF})
"""Kinds of which a file needn't be held to be read."""


def read_facts(path: Path, *, megapixels: float = MEGAPIXELS, ranges: bool = True) -> PictureFacts | PictureUnreadable:
    """Read what a picture's file says of itself; never raises for what the file holds.

    No pixel is decoded, but of a movie one frame, since only that tells how it lies, and of deep samples all where the
    file doesn't say which of them is white, unless their `ranges` don't matter.
    """
    try:
        if is_movie(path):
            return _of_movie(path, megapixels)
        return _facts(read_data(path), megapixels, ranges=ranges)
    except PortalError as error:
        return PictureUnreadable(str(error), error.hint)


def facts_by_header(
    path: Path, *, megapixels: float = MEGAPIXELS, ranges: bool = True
) -> PictureFacts | PictureUnreadable | None:
    """The same, but None of a file that has to be decoded for it, which a crafted file might bring down."""
    try:
        if is_movie(path):
            return None
        data = read_data(path)
        return None if kind_of(data[:HEAD]) in BY_DECODER else _facts(data, megapixels, ranges=ranges, apart=True)
    except PortalError as error:
        return PictureUnreadable(str(error), error.hint)


def is_movie(path: Path) -> bool:
    """Whether a file begins as a movie does; PortalError where it can't be opened."""
    try:
        with path.open("rb") as file:
            return sniff_movie(file.read(HEAD)) is not None
    except OSError as error:
        raise PortalError(f"can't be opened: {error.strerror or error}") from error


def _of_movie(path: Path, megapixels: float) -> PictureFacts | PictureUnreadable:
    from portal.pictures.movie import movie_facts  # loads long, and few catalogues have a movie

    try:
        return movie_facts(path, megapixels=megapixels)
    except PortalError:
        raise
    except Exception as error:  # a crafted movie can raise anything in the reading library
        return PictureUnreadable(f"damaged file: it can't be read ({describe(error)})")


@overload
def _facts(data: Data, megapixels: float, *, ranges: bool) -> Facts: ...
@overload
def _facts(data: Data, megapixels: float, *, ranges: bool, apart: bool) -> Facts | None: ...
def _facts(data: Data, megapixels: float, *, ranges: bool, apart: bool = False) -> Facts | None:
    """None where a pixel has to be decoded and that is to be done elsewhere."""
    try:
        header = read_header(data, megapixels=megapixels)
    except PortalError as error:
        return PictureUnreadable(str(error), error.hint)
    except Exception as error:  # a crafted header can raise anything in the reading library
        return PictureUnreadable(f"damaged file: its header can't be read ({describe(error)})")
    if header.is_deep and ranges and apart:
        return None
    exif = header.exif
    return PictureFacts(
        sha256=sha256_of(data),
        stored=header.stored,
        orientation=exif.orientation,
        taken=exif.taken,
        declared=exif.declared if exif.declared != header.stored else None,
        written=header.written,
        camera=exif.camera,
        bits=_bits(data) if header.is_deep and ranges else None,
        is_unranged=header.is_deep and not ranges,
    )


def _bits(data: Data) -> int | None:
    from portal.pictures.decode import own_bits  # loads long, and few pictures are deep

    return own_bits(data)


def read_data(path: Path) -> Data:
    """The bytes of a file of a kind that is read; PortalError where it can't be opened or isn't of one."""
    try:
        with path.open("rb") as file:
            kind, size = kind_of(file.read(HEAD)), path.stat().st_size
            if size > MOST_BYTES:
                raise PortalError("the file is larger than 4 GB", hint="save a part of the picture at full size")
            if size > HELD and kind in _IN_PARTS:
                return OnDisk(path)
            file.seek(0)
            return file.read()
    except OSError as error:
        raise PortalError(f"can't be opened: {error.strerror or error}") from error


def describe(error: Exception) -> str:
    """What an exception of the reading library says, on one line."""
    return " ".join(str(error).split())[:200] or type(error).__name__
