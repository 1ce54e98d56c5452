"""The files derived from a picture: itself at full size, divided by whole numbers, and parts of it.

Nothing of the original's metadata is in any of them. A JPEG that needs no change keeps its coded pixels, and
of the rest what they need (`bare.py`), unless something lies among them that a decoder passes over. Everything else
becomes a JPEG of quality 90 without colour subsampling, also what came as PNG or TIFF: a derived file is for
the eye, points are drawn and measured in the original's pixels, and a lossless copy would be ten times as large.
That coding moves a pixel's colour by 0.3 to 0.9 on average (CIEDE2000), by 1.7 where it is all dark grain, and the mean
of 8 by 8 pixels by less than 0.5: more than the conversion of a profile does, which is right within its rounding.

A divided picture is the mean over squares of `divide` pixels, so its scale is exactly `divide` times coarser. Where
the size is no multiple, the last column and row are means over what is left: they stand for fewer pixels than the
others, and a page that lays the copy over the original's frame gives it `divide * width` pixels, not the frame's.
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from io import BytesIO
from pathlib import Path
from typing import Literal

import PIL
from PIL import Image

from portal.model.picture import Hints, PictureFacts, PictureUnreadable
from portal.model.say import Say
from portal.model.scalars import Frame
from portal.pictures.facts import read_data, read_facts
from portal.pictures.hints import as_file, hints_of
from portal.pictures.mask import masked
from portal.pictures.source import Data, changed, sha256_of
from portal.pictures.store import keep
from portal.pictures.upright import Upright, upright
from portal.problem import PortalError

PICTURES_VERSION = 9
"""Raised whenever the same picture comes out as other bytes, or something else is said of it."""

QUALITY = 90

Box = tuple[int, int, int, int]
"""left, top, right, bottom in pixels of the upright picture; right and bottom are outside."""


@dataclass(frozen=True, slots=True)
class Whole:
    """The whole picture, each side divided by a whole number."""

    divide: int = 1


@dataclass(frozen=True, slots=True)
class Crop:
    """A part of the picture, each side divided by a whole number; what lies outside of the picture is left out."""

    box: Box
    divide: int = 1


@dataclass(frozen=True, slots=True)
class Still:
    """One of some frames of a movie that are spread evenly over it, in small; the first is number 0."""

    number: int
    of: int


@dataclass(frozen=True, slots=True)
class Play:
    """A movie itself, in a form that browsers play."""

    form: Literal["movie"] = "movie"


@dataclass(frozen=True, slots=True)
class Hinted:
    """The numbers of a picture that an inspector may want to look at, where something was drawn of that alone."""

    regions: tuple[Box, ...]


Want = Whole | Crop | Still | Play | Hinted
"""Of a movie, the whole picture and its parts are those of the frame that stands for it."""


@dataclass(frozen=True, slots=True)
class Derived:
    """A derived file: its name and size in pixels, and the part of the upright picture that it shows."""

    want: Want
    name: str
    width: int
    height: int
    divide: int
    box: Box
    sha256: str
    bytes: int
    notes: tuple[Say, ...] = ()
    """What has to be said of how the pixels came about, such as the range of values that is shown."""
    hints: Hints | None = None
    """Of the numbers of a picture: these."""

    @property
    def ending(self) -> str:
        """How its name ends, with the dot."""
        return self.name[self.name.rindex(".") :]


def want_key(facts: PictureFacts, want: Want) -> str:
    """A name for what a want of a source comes to: the same key means the same bytes."""
    masked = f"/{sha256(repr(facts.masks).encode()).hexdigest()[:20]}" if facts.masks else ""
    deep = f"/{facts.shown_bits}" if facts.shown_bits else ""
    movie = facts.movie
    moving = f"/{_reader()}/{movie.poster_second:g}/{movie.keeps_sound}" if movie else ""
    return f"{PICTURES_VERSION}/{PIL.__version__}/{_decoder()}/{facts.sha256}/{_what(want)}{masked}{deep}{moving}"


def _what(want: Want) -> str:
    match want:
        case Whole(divide):
            return f"whole/{divide}"
        case Crop(box, divide):
            return f"{','.join(str(side) for side in box)}/{divide}"
        case Still(number, of):
            return f"still/{number}/{of}"
        case Play():
            return "movie"
        case Hinted(regions):
            return f"hints/{sha256(repr(regions).encode()).hexdigest()[:20]}"


@cache
def _decoder() -> str:
    """The version of the library that decodes most JPEGs, found without loading it."""
    return version("simplejpeg")


@cache
def _reader() -> str:
    """The version of the library that reads movies, found without loading it."""
    return version("av")


def derive(
    path: Path, facts: PictureFacts, wants: Sequence[Want], out: Path, *, seconds: float = float("inf")
) -> tuple[Derived, ...] | PictureUnreadable:
    """Write every wanted file of a picture into a folder, decoding it once; a damaged picture gives its reason.

    A movie that isn't coded anew within so many seconds becomes a file to be taken away.
    """
    if facts.movie is not None:
        from portal.pictures.moving import derive_movie  # loads long, and few catalogues have a movie

        return derive_movie(path, facts, wants, out, seconds=seconds)
    picture = decoded(path, facts)
    if isinstance(picture, PictureUnreadable):
        return picture
    return tuple(derive_one(picture, want, out) for want in wants)


def verify(path: Path) -> PictureUnreadable | None:
    """Decode a picture to its end, and tell what is wrong with it."""
    facts = read_facts(path)
    if isinstance(facts, PictureUnreadable) or facts.movie is not None:
        return facts if isinstance(facts, PictureUnreadable) else None
    found = decoded(path, facts)
    return found if isinstance(found, PictureUnreadable) else None


def decoded(path: Path, facts: PictureFacts, *, beside: bool = False) -> Upright | PictureUnreadable:
    """A picture's upright pixels with what was blacked out, or what is wrong with it.

    Where somebody waits for it and another processor is idle, its file is hashed `beside` its decoding.
    """
    try:
        data = read_data(path)
        return masked((_upright_beside if beside else _upright)(data, facts), facts.masks)
    except PortalError as error:
        return PictureUnreadable(str(error), error.hint)


def _upright(data: Data, facts: PictureFacts) -> Upright:
    _refuse_changed(data, facts)
    return upright(data, facts)


def _upright_beside(data: Data, facts: PictureFacts) -> Upright:
    with ThreadPoolExecutor(1) as other:
        hashed = other.submit(_refuse_changed, data, facts)
        try:
            return upright(data, facts)
        finally:
            hashed.result()  # of a file that changed nothing else is to be told


def _refuse_changed(data: Data, facts: PictureFacts) -> None:
    if sha256_of(data) != facts.sha256:
        raise changed()


def derive_one(picture: Upright, want: Want, out: Path) -> Derived:
    """Write one file of a picture that was decoded."""
    if isinstance(want, Hinted):
        return _hinted(picture, want, out)
    if not isinstance(want, Whole | Crop):
        raise TypeError("only a movie has more than one frame")
    whole = (0, 0, *picture.image.size)
    box = _box(want, picture.image.size)
    if isinstance(want, Whole) and want.divide > 1:
        image = picture.divided(want.divide)
    elif want.divide > 1:
        image = picture.image.reduce(want.divide, box)
    else:
        image = picture.image if box == whole else picture.image.crop(box)
    as_is = picture.as_is if image is picture.image else None
    content, size = as_is or _encode(image), image.size
    kept = keep(out, content, ending=".jpg")
    return Derived(want, kept.name, *size, want.divide, box, kept.sha256, kept.bytes, picture.notes)


def _hinted(picture: Upright, want: Hinted, out: Path) -> Derived:
    hints = hints_of(picture.image, want.regions, picture.masks)
    kept = keep(out, as_file(hints), ending=".json")
    whole = (0, 0, *picture.image.size)
    return Derived(want, kept.name, *picture.image.size, 1, whole, kept.sha256, kept.bytes, hints=hints)


def frame_of(facts: PictureFacts, want: Whole | Crop) -> Frame:
    """The size that such a file of a picture has, before a pixel is touched."""
    left, top, right, bottom = _box(want, (facts.upright.width, facts.upright.height))
    return Frame(-(-(right - left) // want.divide), -(-(bottom - top) // want.divide))


def _box(want: Whole | Crop, size: tuple[int, int]) -> Box:
    return _inside(want.box, *size) if isinstance(want, Crop) else (0, 0, *size)


def _inside(box: Box, width: int, height: int) -> Box:
    """The box within the picture; of one that lies outside, the nearest pixel."""
    left, top = min(max(box[0], 0), width - 1), min(max(box[1], 0), height - 1)
    return left, top, max(min(box[2], width), left + 1), max(min(box[3], height), top + 1)


def _encode(image: Image.Image) -> bytes:
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=QUALITY, subsampling=0)
    return buffer.getvalue()
