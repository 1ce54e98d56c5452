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


class Kept:
    """Memory for one picture after the other."""

    def __init__(self) -> None:
        self._bytes: Bytes | None = None

    def room(self, count: int) -> Bytes:
        """So many bytes of any content."""
        if count > _MOST_BYTES:
            self._bytes = None
            return np.empty(count, np.uint8)
        if self._bytes is None or self._bytes.size < count:
            self._bytes = None  # before there is more, so that both are never held together
            self._bytes = np.empty(count, np.uint8)
        return self._bytes[:count]


class _Own(local):
    """What this thread keeps, so that no other one decodes into it, and what the next picture is decoded into."""

    def __init__(self) -> None:
        self.kept = Kept()
        self.free: Kept | None = None


_own = _Own()


@contextmanager
def reused(kept: Kept | None = None) -> Iterator[None]:
    """Within it one picture is decoded into memory that is kept; when it ends, nobody may need its pixels any more.

    With some `kept` elsewhere, nobody may need them once that is given again.
    """
    _own.free = kept or _own.kept
    try:
        yield
    finally:
        _own.free = None


def room(count: int) -> Bytes:
    """So many bytes of any content, which nobody else writes to as long as they are needed."""
    kept, _own.free = _own.free, None
    return np.empty(count, np.uint8) if kept is None else kept.room(count)
