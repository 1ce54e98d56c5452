"""Facts of pictures whose header only a decoder reads, and of movies.

They are looked at in another process, which a crafted file may bring down.
"""

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from portal.model.picture import Facts, PictureUnreadable
from portal.pictures.bounds import bounded
from portal.pictures.facts import is_movie, read_facts
from portal.pictures.header import MEGAPIXELS
from portal.pictures.kinds import AS_WHAT
from portal.pictures.pool import run_all
from portal.problem import PortalError

PATIENCE = 60
START_BYTES = 1 << 30
_BYTES_A_SECOND = 10_000_000
"""What a slow share gives; a movie is read to its end."""


def look(path: Path) -> Facts:
    """What one file says of itself; a movie is looked at in another process, where it may be given up."""
    try:
        return facts_apart([path], megapixels=MEGAPIXELS)[0] if is_movie(path) else read_facts(path)
    except PortalError as error:
        return PictureUnreadable(str(error), error.hint)


def facts_apart(paths: Sequence[Path], *, megapixels: float) -> list[Facts]:
    """What `read_facts` gives for each path, in their order."""
    work = partial(_look, megapixels=megapixels)
    return run_all(work, paths, processes=1, died=_lost, apart=True)


def _look(path: Path, *, megapixels: float) -> Facts:
    with bounded(seconds=PATIENCE + path.stat().st_size / _BYTES_A_SECOND, spare_bytes=START_BYTES):
        return read_facts(path, megapixels=megapixels)


def _lost(path: Path) -> Facts:
    return PictureUnreadable(f"its header couldn't be read within {PATIENCE} s and the memory at hand", AS_WHAT)
