"""The memory that pictures are decoded into: that of the last one again, where nobody needs its pixels any more.

To be given memory anew, and have the system clear it, takes longer than to write a picture's pixels into it.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import local

import numpy as np
from numpy.typing import NDArray

_MOST_BYTES = 96_000_000
"""More isn't kept: what 24 megapixels take, four bytes each."""

Bytes = NDArray[np.uint8]


class _Own(local):
    """What this thread keeps, so that no other one decodes into it."""

    kept: Bytes | None = None
    is_free = False


_own = _Own()


@contextmanager
def reused() -> Iterator[None]:
    """Within it one picture is decoded into memory that is kept; when it ends, nobody may need its pixels any more."""
    _own.is_free = True
    try:
        yield
    finally:
        _own.is_free = False


def room(count: int) -> Bytes:
    """So many bytes of any content, which nobody else writes to as long as they are needed."""
    if not _own.is_free:
        return np.empty(count, np.uint8)
    _own.is_free = False
    if count > _MOST_BYTES:
        _own.kept = None
        return np.empty(count, np.uint8)
    if _own.kept is None or _own.kept.size < count:
        _own.kept = None  # before there is more, so that both are never held together
        _own.kept = np.empty(count, np.uint8)
    return _own.kept[:count]
