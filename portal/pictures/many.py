"""Facts and derived files of many pictures at once."""

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from portal.model.picture import Facts, PictureFacts, PictureUnreadable
from portal.pictures.bounds import bounded
from portal.pictures.derive import Derived, Want, derive
from portal.pictures.facts import facts_by_header, read_facts
from portal.pictures.header import MEGAPIXELS
from portal.pictures.kinds import AS_WHAT
from portal.pictures.pool import run_all

Progress = Callable[[int], None]

_PATIENCE = 60
_START_BYTES = 1 << 30
_BYTES_A_PIXEL = 48
"""Fractional samples of three colours as they are read, as numbers of 8 bytes twice, and as colours."""


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
        """How long it may take: a hundred times what an old computer needs."""
        return self.patience + self.facts.stored.width * self.facts.stored.height / 1e6

    @property
    def spare_bytes(self) -> int:
        """How much memory it may take: what the widest samples need in each of their forms, and as much for a start."""
        return _START_BYTES + _BYTES_A_PIXEL * self.facts.stored.width * self.facts.stored.height


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


def _facts_apart(paths: Sequence[Path], megapixels: float) -> list[Facts]:
    work = partial(_look, megapixels=megapixels)
    return run_all(work, paths, processes=1, died=_lost, apart=True) if paths else []


def _look(path: Path, *, megapixels: float) -> Facts:
    with bounded(seconds=_PATIENCE, spare_bytes=_START_BYTES):
        return read_facts(path, megapixels=megapixels)


def _lost(path: Path) -> Facts:
    return PictureUnreadable(f"its header couldn't be read within {_PATIENCE} s and the memory at hand", AS_WHAT)


def _derive(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    with bounded(seconds=job.seconds, spare_bytes=job.spare_bytes):
        return derive(job.path, job.facts, job.wants, job.out)


def _died(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    return PictureUnreadable(
        f"it couldn't be read within {job.seconds:.0f} s and the memory at hand",
        "save the picture anew, or build with fewer processes (`--jobs 1`)",
    )
