"""A picture of a trial, and what its file says of itself."""

import re
from dataclasses import dataclass, field

from portal.model.base import Record
from portal.model.say import Say
from portal.model.scalars import Frame
from portal.model.tag import Tag


class Picture(Record):
    """A picture file of a trial with its tag, if it has one."""

    file: str
    """Path within the catalogue folder, with `/`; the key of everything that is known of the picture."""
    tag: Tag | None = None
    tag_broken: str | None = None
    """`file:line` of the tag where it is there but can't be read."""

    @property
    def name(self) -> str:
        """The file's own name."""
        return self.file.rpartition("/")[2]


@dataclass(frozen=True, slots=True)
class Movie:
    """What a movie's file says of what moves in it; one of its frames stands for it as its picture."""

    coding: str
    """How its frames are coded, as the reading library names it."""
    frames: int
    seconds: float
    has_sound: bool = False
    keeps_sound: bool = False
    """Whether its tag says that the sound goes along."""
    poster_at: float | None = None
    """Seconds from its start: the frame that its tag names as the one to stand for it; else the one in the middle."""

    @property
    def poster_second(self) -> float:
        """When the frame is shown that stands for it."""
        return self.seconds / 2 if self.poster_at is None else min(self.poster_at, self.seconds)

    def second_of(self, number: int, of: int) -> float:
        """When one of some frames is shown that are spread evenly: in the middle of its share of the movie."""
        return self.seconds * (number + 0.5) / of


@dataclass(frozen=True, slots=True)
class Hints:
    """Numbers about a picture's pixels that say something beside those of other pictures of the same view."""

    sharpness: float
    """Variance of the Laplacian of its codes at half size."""
    clipped: float
    """The share of its pixels that are as bright as can be."""
    evenness: float
    """Brightness of the darkest of nine fields over that of the brightest."""
    within: bool
    """Whether the first two are of what was drawn around findings, or else of the picture's middle."""
    look: str
    """The brightness of 16 by 16 fields, in hexadecimal; `--` of one of which some is blacked out."""


@dataclass(frozen=True, slots=True)
class WrittenScale:
    """Micrometres per pixel of the stored frame, as a file states them in physical units."""

    x_um: float
    y_um: float
    by: str
    """Where it stands: `text` (a unit in the description), `tag` (the resolution tags beside it), `ome`."""


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """What a picture's file says of itself, before any pixel is touched.

    `stored` is the stored frame before orientation; `orientation` is the Exif value 1 to 8. Of a movie both are those
    of each of its frames, their pixels made square.
    """

    sha256: str
    stored: Frame
    orientation: int = 1
    taken: str | None = None
    """Exif DateTimeOriginal as `2026-03-04T15:12:07`, as the camera wrote it; no zone unless the camera gave one."""
    declared: Frame | None = None
    """The size that Exif says the picture had, where it differs from `stored` (a resized copy)."""
    masks: tuple[tuple[tuple[float, float], ...], ...] = ()
    """Regions that nobody else may see, by their corners in the upright picture; no derived file has their pixels."""
    movie: Movie | None = None
    written: tuple[WrittenScale, ...] = ()
    """Every scale that the file states; a print density is none."""
    bits: int | None = None
    """Of deep samples whose range the file doesn't declare: how many bits hold the brightest."""
    shown_bits: int | None = None
    """The most of the pictures of its view, by which all of them are shown so that they compare."""
    is_unranged: bool = field(default=False, compare=False, repr=False)
    """Whether `bits` wasn't looked for: all pixels have to be decoded for it, and only what shows them needs it."""
    camera: str | None = field(default=None, compare=False)
    """How the camera calls itself; it helps on the bench and goes nowhere else."""

    @property
    def upright(self) -> Frame:
        """The frame once the picture is upright."""
        return self.stored.turned if self.orientation >= 5 else self.stored


@dataclass(frozen=True, slots=True)
class PictureUnreadable:
    """A picture file that can't be shown, and why."""

    reason: str
    hint: str | None = None

    @property
    def said(self) -> Say:
        """Why, for a page: the reason itself in English, elsewhere what kind of reason it is, with it."""
        return Say.of(f"picture.unreadable.{self._kind}", why=self.reason)

    @property
    def to_do(self) -> str | None:
        """What to do about it, in English, as the command line tells it."""
        return self.hint or _TO_DO.get(self._kind)

    @property
    def may_pass(self) -> bool:
        """Whether the very same file may be read at another time: the reason lies in what is around it."""
        return self._kind in {"away", "given_up"}

    @property
    def _kind(self) -> str:
        return next((kind for start, kind in _REASONS if re.search(start, self.reason)), "form")


_REASONS = (
    (r"^damaged file|tags say they are larger", "damaged"),
    (r"^can't be opened|^the file changed while", "away"),
    (r"its header says .* more than|larger than 4 GB", "large"),
    (r"the memory at hand$|^not enough memory", "given_up"),
)
"""What each reason of `portal/pictures` comes to; any other is a file of a form that isn't read."""

_TO_DO = {"damaged": "copy it once more, or save it anew", "away": "try again", "given_up": "save it anew"}


Facts = PictureFacts | PictureUnreadable
