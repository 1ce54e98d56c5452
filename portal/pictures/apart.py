"""Facts of pictures that a decoder has to read for them, and of movies.

They are looked at in another process, which a crafted file may bring down.
"""

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from portal.model.picture import Facts, PictureUnreadable
from portal.pictures.bounds import bounded
from portal.pictures.facts import facts_by_header, is_movie, read_facts
from portal.pictures.header import MEGAPIXELS
from portal.pictures.kinds import AS_WHAT, AS_WHICH
from portal.pictures.pool import run_all
from portal.problem import PortalError

PATIENCE = 60
BUSY = 15
"""Seconds of a processor that a movie may take to be looked at, beside those to read and count it: the longest of
real ones took less than one. Some indexes that were made to harm take hours."""
START_BYTES = 1 << 30
_BYTES_A_SECOND = 10_000_000
"""What a slow share gives; a movie is read to its end."""
_BYTES_A_BUSY_SECOND = 30_000_000
"""What an old computer hashes and takes apart."""
_TIMES_ITS_BYTES = 8
"""Deep samples as they are read, as numbers, and as they are shown."""


def look(path: Path) -> Facts:
    """What one file says of itself, without the range of deep samples.

    What has to be decoded for it is, in another process, where it may be given up.
    """
    return facts_by_header(path, ranges=False) or facts_apart([path], megapixels=MEGAPIXELS)[0]


def facts_apart(paths: Sequence[Path], *, megapixels: float, processes: int = 1) -> list[Facts]:
    """What `read_facts` gives for each path, in their order."""
    work = partial(_look, megapixels=megapixels)
    return run_all(work, paths, processes=processes, died=_lost, apart=True)


def _look(path: Path, *, megapixels: float) -> Facts:
    moves, size = _is_movie(path), path.stat().st_size if path.exists() else 0
    spare = START_BYTES + (0 if moves else _TIMES_ITS_BYTES * size)
    busy = BUSY + size / _BYTES_A_BUSY_SECOND if moves else None
    with bounded(seconds=PATIENCE + size / _BYTES_A_SECOND, spare_bytes=spare, busy=busy):
        return read_facts(path, megapixels=megapixels)


def _lost(path: Path) -> Facts:
    if _is_movie(path):
        gone_by = f"its index couldn't be read within {PATIENCE} s, {BUSY} s of them work, and the memory at hand"
        return PictureUnreadable(gone_by, AS_WHICH)
    return PictureUnreadable(f"its header couldn't be read within {PATIENCE} s and the memory at hand", AS_WHAT)


def _is_movie(path: Path) -> bool:
    """Whether it is one; it may have gone meanwhile, which `read_facts` tells."""
    try:
        return is_movie(path)
    except PortalError:
        return False
