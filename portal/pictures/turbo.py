"""Decodes JPEGs of three colours by a library that does nothing else, in three quarters of the time.

It gives the very pixels that the reading library gives, since the same decoder works in both; it is never asked to make
anything of a damaged file. `tests/pictures/test_turbo.py` holds both against each other.
"""

from PIL import ImageFile

from portal.pictures.kinds import PIXEL
from portal.pictures.memory import lay, room


def loaded(image: ImageFile.ImageFile, data: bytes) -> bool:
    """Whether the pixels of an opened JPEG could be decoded from its data without a word; else it is as it was."""
    from simplejpeg import decode_jpeg  # takes a while, and most of what is read of pictures needs no pixels

    pixels = room(PIXEL * image.width * image.height)
    try:
        made = decode_jpeg(data, "RGBX", buffer=pixels, strict=True)
        if made.shape != (image.height, image.width, PIXEL):
            return False
        lay(image, pixels)
    except (ValueError, TypeError, AttributeError):  # damaged, of a rare form, or a reading library of another make
        return False
    image.tile = []  # nothing of it is left to be read
    return True


def said_of(data: bytes, mode: str) -> str:
    """What the decoder says of a JPEG while it decodes it, empty where it says nothing.

    Nothing said: its scans hold the bits that its pixels need. A decoder passes over what lies behind them, before each
    mark at which it begins anew as well, and says so. Of less than eight bytes it may say nothing, as they were read
    along.
    """
    from simplejpeg import decode_jpeg

    try:
        small = {"min_height": 1, "min_width": 1, "min_factor": 1, "fastdct": True, "fastupsample": True}
        decode_jpeg(data, _AS.get(mode, "RGBX"), strict=True, **small)
    except ValueError as error:
        return str(error) or "a warning without words"
    return ""


_AS = {"L": "GRAY", "CMYK": "CMYK"}
"""As which colours a picture of some mode is decoded; any other as colours."""
