"""Opens a picture in the reading library, as one kind and no other."""

from io import BytesIO
from typing import BinaryIO

from PIL import Image, ImageFile, UnidentifiedImageError

from portal.pictures.kinds import AS_WHAT, Kind
from portal.problem import PortalError

Image.MAX_IMAGE_PIXELS = None  # our own limit is checked by the header first, and its message says what to do


def open_as(kind: Kind, data: bytes | BinaryIO) -> ImageFile.ImageFile:
    """Open a picture in the reading library as just that kind; PortalError where it says that it doesn't read it so."""
    try:
        return Image.open(BytesIO(data) if isinstance(data, bytes) else data, formats=[kind.value])
    except OSError as error:
        if isinstance(error, UnidentifiedImageError) or "nsupported" in str(error):
            what = "an AVIF" if kind is Kind.AVIF else f"a {kind.value}"
            raise PortalError(f"{what} of a form that isn't read", hint=AS_WHAT) from error
        raise
