"""The few values of an Exif block that matter here: orientation, when it was taken, how large it was.

Tags: Exif 2.32 (JEITA CP-3451). Whatever is wrong in a block, the picture is still read: then nothing is
known of it. Orientation is taken from Exif alone, as browsers do, and never from XMP.
"""

import re
from dataclasses import dataclass, replace
from datetime import datetime

from portal.model.scalars import Frame
from portal.pictures.ifd import BrokenDirectory, Directory, first_directory

ORIENTATION = 0x0112
_MODEL = 0x0110
_EXIF_DIRECTORY = 0x8769
_DATE_TIME_ORIGINAL = 0x9003
_OFFSET_TIME_ORIGINAL = 0x9011
_PIXEL_X, _PIXEL_Y = 0xA002, 0xA003

_TIME = re.compile(r"(\d{4})[:/-](\d\d)[:/-](\d\d)[ T](\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"Z|[+-]\d\d:\d\d")


@dataclass(frozen=True, slots=True)
class Exif:
    """What Exif says: orientation 1 to 8, the time as written, the size it declares, which camera it was."""

    orientation: int = 1
    taken: str | None = None
    declared: Frame | None = None
    camera: str | None = None
    """How the camera calls itself."""


def read_exif(block: bytes) -> Exif:
    """Read an Exif block that begins with its byte order; a broken one says nothing."""
    try:
        return exif_of(first_directory(block))
    except BrokenDirectory:
        return Exif()


def exif_of(main: Directory) -> Exif:
    """What a main directory and the Exif directory it points to say."""
    orientation = main.number(ORIENTATION, 1)
    said = _with_exif_directory(main, orientation if 1 <= orientation <= 8 else 1)
    return replace(said, camera=" ".join((main.text(_MODEL) or "").split()) or None)


def _with_exif_directory(main: Directory, orientation: int) -> Exif:
    pointer = main.number(_EXIF_DIRECTORY, 0)
    if not pointer:
        return Exif(orientation)
    try:
        exif = main.at(pointer)
    except BrokenDirectory:
        return Exif(orientation)
    width, height = exif.number(_PIXEL_X, 0), exif.number(_PIXEL_Y, 0)
    return Exif(orientation, _taken(exif), Frame(width, height) if width and height else None)


def _taken(exif: Directory) -> str | None:
    match = _TIME.fullmatch(exif.text(_DATE_TIME_ORIGINAL) or "")
    if match is None:
        return None
    try:
        written = datetime(*(int(part) for part in match.groups())).isoformat()  # type: ignore[arg-type]  # six of them
    except ValueError:
        return None
    offset = exif.text(_OFFSET_TIME_ORIGINAL) or ""
    return written + offset if _OFFSET.fullmatch(offset) else written
