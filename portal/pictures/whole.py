"""Whether a picture that could be decoded was there to its end.

A decoder shows what there is and makes up the rest: of a JPEG that was cut and got an end put behind it, grey. What is
missing can't be told from the pixels alone, but the decoder says where it ran out of bits. One that says nothing would
read on, so it comes to another picture where more bits follow, and one that had enough doesn't look at them.
"""

from PIL import Image, ImageChops

from portal.pictures.bare import SCAN
from portal.pictures.jpeg import ENDS_EARLY, Jpeg, read_jpeg
from portal.pictures.kinds import Kind
from portal.pictures.opening import open_as
from portal.pictures.source import Data
from portal.pictures.turbo import said_of
from portal.problem import PortalError

DAMAGED = "damaged file: its coded pixels make no sense from some place on"

_MADE_UP = {127, 128}
"""What a decoder fills up with, in every colour; inks are turned round."""
_SECTOR = 512
"""Bytes that a disk gives at least; of a copy that was broken off, those that weren't written are 0."""
_NOISE = bytes((171 * n + n * n // 7) % 251 for n in range(1, 97))
_MORE = _NOISE + b"".join(bytes((0xFF, 0xD0 + n % 8)) + _NOISE for n in range(16))
"""Bits that come to something, and the same behind each mark at which a decoder may begin anew: ITU-T T.81 E.1.4."""


def is_doubtful(data: bytes, found: Jpeg, mode: str, decoded: Image.Image | None = None) -> bool:
    """Whether a JPEG's coded pixels may have been changed; PortalError where they were, or some aren't there.

    A decoder that comes upon a code that there isn't, or to the end too early, lost its way before. One that is done
    before the coded pixels end may have, unless these end with bytes that only fill. Of a form that only the reading
    library knows, its pixels tell.
    """
    clean = found.stripped(data)
    said = said_of(clean, mode) if found.decoded_by_huffman else ""  # others leave out an end of zeros on purpose
    if not said.startswith((*_LOST, _MIXED_UP)):
        if said and decoded:
            _refuse_made_up(decoded, clean, found)
        return False
    if said.startswith(_LOST) and _TOO_MANY not in said:
        if _PREMATURE in said.lower():
            raise PortalError(ENDS_EARLY)
        raise PortalError(DAMAGED)
    unfilled = _unfilled(data, found)
    return bool(said_of(read_jpeg(unfilled).stripped(unfilled), mode))


def _refuse_made_up(image: Image.Image, clean: bytes, found: Jpeg) -> None:
    """PortalError where a JPEG's decoder made up some of these pixels, more than in the block at their very end."""
    corner = image.getpixel((image.width - 1, image.height - 1))
    levels = corner if isinstance(corner, tuple) else (corner,)
    if found.in_one_scan and not _MADE_UP.issuperset(levels):
        return  # what is missing is missing down to here
    more = open_as(Kind.JPEG, clean[:-2] + _MORE + clean[-2:])
    if ImageChops.difference(image, more).getbbox():
        raise PortalError(ENDS_EARLY)


_LOST = ("Corrupt JPEG data", "Premature end of JPEG file")
_TOO_MANY, _PREMATURE, _MIXED_UP = "extraneous bytes", "premature end", "Inconsistent progression"
"""How the messages of the decoder begin, and what they have in them."""


def _unfilled(data: bytes, found: Jpeg) -> bytes:
    """A JPEG without the zeros at the end of its scans."""
    parts, at = [], 0
    for scan in (each for each in found.kept if each.marker == SCAN):
        end = scan.start + len(data[scan.start : scan.end].rstrip(b"\0"))
        end += data[end - 1] == 0xFF  # a byte that is stuffed behind it is no filling
        parts.append(data[at:end])
        at = scan.end
    return b"".join((*parts, data[at:]))


def ends_empty(data: Data, end: int) -> bool:
    """Whether coded pixels that end there, of a kind that has no mark of it, end with bytes that were never written."""
    last = data[max(0, end - _SECTOR) : end]
    return len(last) == _SECTOR and not any(last)
