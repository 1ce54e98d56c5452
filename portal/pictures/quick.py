"""A small copy of a JPEG in a fraction of the time, for a first look: what is coded fine in it isn't worked out.

It is for the eye while somebody works: nothing is measured in it and nothing made of it leaves. A derived file of the
same size (`derive.py`) is the mean over squares of the full pixels.
"""

from io import BytesIO

from PIL import Image

from portal.model.picture import PictureFacts
from portal.pictures.colour import is_srgb
from portal.pictures.header import kind_of
from portal.pictures.jpeg import read_jpeg
from portal.pictures.kinds import HEAD, Kind
from portal.pictures.opening import open_as
from portal.pictures.source import Data, held, sha256_of
from portal.pictures.upright import TURNS

QUALITY = 85


def quick_copy(source: Data, facts: PictureFacts, *, divide: int) -> bytes | None:
    """A JPEG of the upright picture, each side divided by 2, 4 or 8; None where it has to be made the long way.

    That is: another kind of file, other colours than sRGB, something blacked out, damage.
    """
    if kind_of(source[:HEAD]) is not Kind.JPEG or facts.masks or sha256_of(source) != facts.sha256:
        return None
    data = held(source)
    try:
        found = read_jpeg(data)
        if not found.shown_everywhere:
            return None
        image: Image.Image = open_as(Kind.JPEG, found.stripped(data))
        if image.size != (facts.stored.width, facts.stored.height):
            return None
        if image.mode not in {"L", "RGB"} or (found.icc is not None and not is_srgb(found.icc, image.mode)):
            return None
        wanted = (-(-image.width // divide), -(-image.height // divide))
        image.draft(None, (image.width // divide, image.height // divide))
        image.load()
    except Exception:  # whatever is wrong with it is told by the long way
        return None
    if image.size != wanted:
        return None
    turn = TURNS.get(facts.orientation)
    image = image.transpose(turn) if turn is not None else image
    image.info.clear()
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=QUALITY)
    return buffer.getvalue()
