"""Facts and derived files of many pictures at once."""

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from portal.model.picture import Facts, PictureFacts, PictureUnreadable
from portal.pictures.derive import Derived, Want, derive
from portal.pictures.facts import read_facts
from portal.pictures.header import MEGAPIXELS
from portal.pictures.pool import run_all

Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Job:
    """A picture and the files wanted of it."""

    path: Path
    facts: PictureFacts
    wants: tuple[Want, ...]
    out: Path


def derive_many(
    jobs: Iterable[Job], *, processes: int, progress: Progress | None = None
) -> list[tuple[Derived, ...] | PictureUnreadable]:
    """What `derive` gives for each job, in their order; a picture that kills its process is unreadable."""
    return run_all(_derive, jobs, processes=processes, died=_died, progress=progress)


def facts_many(
    paths: Iterable[Path], *, threads: int, megapixels: float = MEGAPIXELS, progress: Progress | None = None
) -> list[Facts]:
    """What `read_facts` gives for each path, in their order; each thread holds one file at a time."""
    found: list[Facts] = []
    with ThreadPoolExecutor(max(threads, 1)) as pool:
        for facts in pool.map(partial(read_facts, megapixels=megapixels), paths):
            found.append(facts)
            if progress:
                progress(len(found))
    return found


def _derive(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    return derive(job.path, job.facts, job.wants, job.out)


def _died(job: Job) -> tuple[Derived, ...] | PictureUnreadable:
    return PictureUnreadable(
        "the process that read it died, perhaps for want of memory",
        "save the picture anew, or build with fewer processes (`--jobs 1`)",
    )
