"""HEIC pictures, as telephones make them.

How the picture is turned stands in the container, and the decoder turns it; an orientation in the Exif block is of
the camera's frame before that and is never applied again. So the stored frame is the upright one.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PIL import Image

from portal.model.scalars import Frame
from portal.pictures.exif import Exif, read_exif

if TYPE_CHECKING:
    from pillow_heif import HeifFile


@dataclass(frozen=True, slots=True)
class Heic:
    """What a HEIC file says before any pixel: its main picture's upright frame, and what Exif says beside that."""

    stored: Frame
    exif: Exif


def read_heic(data: bytes) -> Heic:
    """Read the container; what the library raises is the caller's to tell."""
    found = _opened(data)
    stored = Frame(*found.size)
    exif = replace(read_exif((found.info.get("exif") or b"").removeprefix(b"Exif\0\0")), orientation=1)
    declared = exif.declared
    if declared is not None and (declared.height, declared.width) == (stored.width, stored.height):
        exif = replace(exif, declared=stored)
    return Heic(stored, exif)


def decode_heic(data: bytes) -> tuple[Image.Image, bytes | None, bool]:
    """The main picture's pixels, its profile, and whether the file holds more pictures."""
    found = _opened(data)
    image = found.to_pillow()
    icc = found.info.get("icc_profile")
    image.info.clear()
    return image, icc if isinstance(icc, bytes) and icc else None, len(found) > 1


def _opened(data: bytes) -> "HeifFile":
    import pillow_heif

    return pillow_heif.open_heif(data, convert_hdr_to_8bit=True)
