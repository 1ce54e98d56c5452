"""Derived files of many pictures at once."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.pictures.apart import PATIENCE, START_BYTES
from portal.pictures.bounds import bounded
from portal.pictures.derive import Derived, Play, Want, derive
from portal.pictures.header import MEGAPIXELS, ROOM
from portal.pictures.kinds import AS_WHICH
from portal.pictures.memory import reused
from portal.pictures.pool import run_all, run_each, start_soon

_BYTES_A_PIXEL = 24
"""Those of the form that takes most, and half as much again."""
_SECONDS_A_FRAME = 0.3
"""For a megapixel of a movie's frame: to decode it, to set it upright, to code it."""
_SECONDS_OF_EACH = 0.003
"""Beside those for its size: microscopes for fast things make a thousand a second."""
_SECONDS_A_STILL = 30
"""For a megapixel: all frames since the last key frame are decoded."""
_LONGEST_PLAY, _LONGEST_STILLS = 3600, 900
"""Seconds that a movie takes at most, whatever its index says that it holds: about half an hour of 1920 x 1080 is coded
anew in them. Else one of a few bytes that names a large frame a million times would take years."""
_BLOCK_BYTES, _KEPT_BLOCKS = 1 << 20, 96
"""In which the reading library holds pixels, and how many of them it keeps for the next picture: to be given memory
anew, cleared in vain, takes a third of the time of a picture of 12 megapixels."""
LOADS = ("simplejpeg",)
"""What decodes most JPEGs, and is loaded where the first one comes: once, before the processes part."""
_SHARE_OF_TIME = 0.8
"""Within which a movie has to be coded anew, so that time is left to do without."""


@dataclass(frozen=True, slots=True)
class Job:
    """A picture and the files wanted of it."""

    path: Path
    facts: PictureFacts
    wants: tuple[Want, ...]
    out: Path
    patience: float = PATIENCE
    """Seconds that it may take beside those for its size."""

    @property
    def seconds(self) -> float:
        """How long it may take: a hundred times what an old computer needs for a picture, ten times for a movie."""
        megapixels = self.facts.stored.width * self.facts.stored.height / 1e6
        movie = self.facts.movie
        if movie is None:
            return self.patience + megapixels
        if self.plays:
            each = megapixels * _SECONDS_A_FRAME + _SECONDS_OF_EACH
            return self.patience + min(movie.frames * each, _LONGEST_PLAY)
        return self.patience + min(megapixels * _SECONDS_A_STILL, _LONGEST_STILLS)

    @property
    def plays(self) -> bool:
        """Whether a movie itself is wanted."""
        return any(isinstance(want, Play) for want in self.wants)

    @property
    def spare_bytes(self) -> int:
        """How much memory it may take: what its form needs at most, and as much for a start."""
        pixels = self.facts.stored.width * self.facts.stored.height
        if self.facts.movie:
            return START_BYTES + _BYTES_A_PIXEL * pixels
        return START_BYTES + min(_BYTES_A_PIXEL * pixels, max(ROOM, ROOM * pixels // (MEGAPIXELS * 1_000_000)))


def jobs_for(path: Path, facts: PictureFacts, wants: Sequence[Want], out: Path) -> tuple[Job, ...]:
    """The files wanted of a picture as one job; a movie itself is another, so that it may fail alone."""
    played = tuple(want for want in wants if isinstance(want, Play))
    shown = tuple(want for want in wants if not isinstance(want, Play))
    return tuple(Job(path, facts, each, out) for each in (shown, played) if each)


def derive_many(
    jobs: Iterable[Job], *, processes: int, progress: Callable[[int], None] | None = None
) -> list[tuple[Derived, ...] | PictureUnreadable]:
    """What `derive` gives for each job, in their order; a picture that kills its process is unreadable.

    It is never done in this process, not even with one: a picture may have to be given up.
    """
    return run_all(do_job, jobs, processes=processes, died=_died, progress=progress, apart=True, loads=LOADS)


def derive_each(
    jobs: Iterable[Job], *, processes: int, done: Callable[[int, tuple[Derived, ...] | PictureUnreadable], None]
) -> None:
    """The same; what came of a job is given away as it comes, with the job's number."""
    run_each(do_job, jobs, processes=processes, died=_died, done=done, apart=True, loads=LOADS)


def derive_soon() -> None:
    """Begin what the first derived file would wait for: 0.4 s of another processor."""
    start_soon(do_job, loads=LOADS)


def do_job(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    """One job within its bounds, in the process that may have to be given up for it."""
    memory: Any = Image.core  # type: ignore[attr-defined]  # its stubs leave it out
    memory.set_block_size(_BLOCK_BYTES)
    memory.set_blocks_max(_KEPT_BLOCKS)
    with bounded(seconds=job.seconds, spare_bytes=job.spare_bytes), reused():
        return derive(job.path, job.facts, job.wants, job.out, seconds=_SHARE_OF_TIME * job.seconds)


def _died(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    return PictureUnreadable(
        f"it couldn't be read within {job.seconds:.0f} s and the memory at hand",
        AS_WHICH if job.facts.movie else "save the picture anew, or build with fewer processes (`--jobs 1`)",
    )
