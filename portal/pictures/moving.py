"""The files derived from a movie: the frame that stands for it, some frames in small, and the movie itself."""

import hashlib
from collections.abc import Iterator, Sequence
from pathlib import Path

from portal.model.picture import Movie, PictureFacts, PictureUnreadable
from portal.model.say import Figure, Say
from portal.pictures.derive import Crop, Derived, Play, Still, Want, Whole, derive_one
from portal.pictures.facts import describe
from portal.pictures.mask import masked
from portal.pictures.movie import frame_at, opened
from portal.pictures.movieplay import play
from portal.pictures.upright import Upright
from portal.problem import PortalError

STILL_PIXELS = 480
"""The longer side of a frame in small is at most so long."""


def derive_movie(
    path: Path, facts: PictureFacts, wants: Sequence[Want], out: Path, *, seconds: float
) -> tuple[Derived, ...] | PictureUnreadable:
    """Write every wanted file of a movie into a folder; a damaged movie gives its reason."""
    if facts.movie is None:
        raise TypeError("this is no movie")
    try:
        _refuse_other(path, facts)
        made = {each.want: each for each in _made(path, facts, facts.movie, wants, out, seconds)}
    except PortalError as error:
        return PictureUnreadable(str(error), error.hint)
    except OSError:  # of the disk, and none of the movie's
        raise
    except Exception as error:  # a crafted movie can raise anything in the reading library
        return PictureUnreadable(f"damaged file: can't be decoded ({describe(error)})")
    return tuple(made[want] for want in wants)


def _refuse_other(path: Path, facts: PictureFacts) -> None:
    with path.open("rb") as file:
        if hashlib.file_digest(file, "sha256").hexdigest() != facts.sha256:
            hint = "wait until it is copied, then build again"
            raise PortalError("the file changed while it was being read", hint=hint)


def _made(
    path: Path, facts: PictureFacts, movie: Movie, wants: Sequence[Want], out: Path, seconds: float
) -> Iterator[Derived]:
    of_poster = [want for want in wants if isinstance(want, Whole | Crop)]
    if of_poster:
        note = Say.of("movie.frame_shown", second=Figure(f"{movie.poster_second:.1f}"))
        poster = _at(path, facts, movie.poster_second, note)
        yield from (derive_one(poster, want, out) for want in of_poster)
    for want in wants:
        if isinstance(want, Still):
            still = _at(path, facts, movie.second_of(want.number, want.of))
            divide = -(-max(still.image.size) // STILL_PIXELS)
            small = derive_one(still, Whole(divide), out)
            yield Derived(want, small.name, small.width, small.height, divide, small.box, small.sha256, small.bytes)
        elif isinstance(want, Play):
            yield _played(path, facts, out, seconds)


def _at(path: Path, facts: PictureFacts, second: float, *notes: Say) -> Upright:
    """A frame without what nobody else may see; each is looked for from the start, so that one file is one answer."""
    with opened(path) as source:
        return masked(Upright(frame_at(source, second, facts), notes), facts.masks)


def _played(path: Path, facts: PictureFacts, out: Path, seconds: float) -> Derived:
    played = play(path, facts, out, seconds=seconds)
    kept, size = played.kept, facts.upright
    whole = (0, 0, size.width, size.height)
    return Derived(Play(), kept.name, size.width, size.height, 1, whole, kept.sha256, kept.bytes, played.notes)
