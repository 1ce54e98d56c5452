"""Facts and derived files of many pictures at once."""

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from portal.model.picture import Facts, PictureFacts, PictureUnreadable
from portal.pictures.bounds import bounded
from portal.pictures.derive import Derived, Play, Want, derive
from portal.pictures.facts import facts_by_header, is_movie, read_facts
from portal.pictures.header import MEGAPIXELS
from portal.pictures.kinds import AS_WHAT
from portal.pictures.pool import run_all
from portal.problem import PortalError

Progress = Callable[[int], None]

_PATIENCE = 60
_BYTES_A_SECOND = 10_000_000
"""What a slow share gives; a movie is read to its end."""
_START_BYTES = 1 << 30
_BYTES_A_PIXEL = 48
"""Fractional samples of three colours as they are read, as numbers of 8 bytes twice, and as colours."""


_SECONDS_A_FRAME = 0.3
"""For a megapixel of a movie's frame: to decode it, to set it upright, to code it."""
_SECONDS_A_STILL = 30
"""For a megapixel: all frames since the last key frame are decoded."""
_SHARE_OF_TIME = 0.8
"""Within which a movie has to be coded anew, so that time is left to do without."""


@dataclass(frozen=True, slots=True)
class Job:
    """A picture and the files wanted of it."""

    path: Path
    facts: PictureFacts
    wants: tuple[Want, ...]
    out: Path
    patience: float = _PATIENCE
    """Seconds that it may take beside those for its size."""

    @property
    def seconds(self) -> float:
        """How long it may take: a hundred times what an old computer needs for a picture, ten times for a movie."""
        megapixels = self.facts.stored.width * self.facts.stored.height / 1e6
        movie = self.facts.movie
        if movie is None:
            return self.patience + megapixels
        return self.patience + megapixels * (movie.frames * _SECONDS_A_FRAME if self.plays else _SECONDS_A_STILL)

    @property
    def plays(self) -> bool:
        """Whether a movie itself is wanted."""
        return any(isinstance(want, Play) for want in self.wants)

    @property
    def spare_bytes(self) -> int:
        """How much memory it may take: what the widest samples need in each of their forms, and as much for a start."""
        return _START_BYTES + _BYTES_A_PIXEL * self.facts.stored.width * self.facts.stored.height


def jobs_for(path: Path, facts: PictureFacts, wants: Sequence[Want], out: Path) -> tuple[Job, ...]:
    """The files wanted of a picture as one job; a movie itself is another, so that it may fail alone."""
    played = tuple(want for want in wants if isinstance(want, Play))
    shown = tuple(want for want in wants if not isinstance(want, Play))
    return tuple(Job(path, facts, each, out) for each in (shown, played) if each)


def derive_many(
    jobs: Iterable[Job], *, processes: int, progress: Progress | None = None
) -> list[tuple[Derived, ...] | PictureUnreadable]:
    """What `derive` gives for each job, in their order; a picture that kills its process is unreadable.

    It is never done in this process, not even with one: a picture may have to be given up.
    """
    return run_all(_derive, jobs, processes=processes, died=_died, progress=progress, apart=True)


def facts_many(
    paths: Iterable[Path], *, threads: int, megapixels: float = MEGAPIXELS, progress: Progress | None = None
) -> list[Facts]:
    """What `read_facts` gives for each path, in their order; each thread holds one file at a time.

    What only a decoder reads is looked at in another process afterwards, which a crafted file may bring down.
    """
    paths = tuple(paths)
    found: list[Facts | None] = []
    told = 0
    with ThreadPoolExecutor(max(threads, 1)) as pool:
        for facts in pool.map(partial(facts_by_header, megapixels=megapixels), paths):
            found.append(facts)
            told += facts is not None
            if progress and facts is not None:
                progress(told)
    left = iter(_facts_apart([path for path, facts in zip(paths, found, strict=True) if facts is None], megapixels))
    if progress and None in found:
        progress(len(found))
    return [next(left) if facts is None else facts for facts in found]


def look(path: Path) -> Facts:
    """What one file says of itself; a movie is looked at in another process, where it may be given up."""
    try:
        return _facts_apart([path], MEGAPIXELS)[0] if is_movie(path) else read_facts(path)
    except PortalError as error:
        return PictureUnreadable(str(error), error.hint)


def _facts_apart(paths: Sequence[Path], megapixels: float) -> list[Facts]:
    work = partial(_look, megapixels=megapixels)
    return run_all(work, paths, processes=1, died=_lost, apart=True) if paths else []


def _look(path: Path, *, megapixels: float) -> Facts:
    with bounded(seconds=_PATIENCE + path.stat().st_size / _BYTES_A_SECOND, spare_bytes=_START_BYTES):
        return read_facts(path, megapixels=megapixels)


def _lost(path: Path) -> Facts:
    return PictureUnreadable(f"its header couldn't be read within {_PATIENCE} s and the memory at hand", AS_WHAT)


def _derive(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    with bounded(seconds=job.seconds, spare_bytes=job.spare_bytes):
        return derive(job.path, job.facts, job.wants, job.out, seconds=_SHARE_OF_TIME * job.seconds)


def _died(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    return PictureUnreadable(
        f"it couldn't be read within {job.seconds:.0f} s and the memory at hand",
        "save the picture anew, or build with fewer processes (`--jobs 1`)",
    )
