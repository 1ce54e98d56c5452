"""A picture's file: its bytes where they are few, else the file itself, of which parts are read as they are needed.

What is read of it a second time has to be what was hashed the first time. The hash is taken from one block of bytes to
the next, and its state before each block is kept: a block that is read again has to lead from one state to the other.
So whatever a decoder is given belongs to the hash by which the picture is named, even if the file is written meanwhile.
"""

import hashlib
import io
import weakref
from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from portal.problem import PortalError

if TYPE_CHECKING:
    from _typeshed import WriteableBuffer

HELD = 200_000_000
"""A file of more bytes isn't held, if it is of a kind that can be read in parts."""
BLOCK = 1 << 20


class OnDisk:
    """The bytes of an open file, read block by block; PortalError where one isn't what it was."""

    def __init__(self, path: Path) -> None:
        self._file = path.open("rb")
        weakref.finalize(self, self._file.close)
        self._states = [hashlib.sha256()]
        self._size = 0
        while block := self._file.read(BLOCK):
            self._states.append(self._states[-1].copy())
            self._states[-1].update(block)
            self._size += len(block)
        self._last: tuple[int, bytes] = (-1, b"")

    @property
    def sha256(self) -> str:
        """The hash of all of it."""
        return self._states[-1].hexdigest()

    def __len__(self) -> int:
        return self._size

    def __getitem__(self, part: slice) -> bytes:
        start, stop, step = part.indices(self._size)
        if step != 1:
            raise ValueError("bytes of a file are read one after the other")
        parts = []
        while start < stop:
            number, skip = divmod(start, BLOCK)
            parts.append(self._block(number)[skip : skip + stop - start])
            start += len(parts[-1])
        return parts[0] if len(parts) == 1 else b"".join(parts)

    def _block(self, number: int) -> bytes:
        if self._last[0] != number:
            try:
                self._file.seek(number * BLOCK)
                block = self._file.read(min(BLOCK, self._size - number * BLOCK))
            except OSError as error:
                raise PortalError(f"can't be opened: {error.strerror or error}") from error
            state = self._states[number].copy()
            state.update(block)
            if state.digest() != self._states[number + 1].digest():
                raise changed()
            self._last = (number, block)
        return self._last[1]


Data = bytes | OnDisk
"""The bytes of a picture's file, by slices."""


def changed() -> PortalError:
    """What is said of a file whose bytes aren't those that its hash was taken of."""
    return PortalError("the file changed while it was being read", hint="wait until it is copied, then build again")


def sha256_of(data: Data) -> str:
    """The hash of a file's bytes."""
    return hashlib.sha256(data).hexdigest() if isinstance(data, bytes) else data.sha256


def held(data: Data) -> bytes:
    """All bytes of a file at once."""
    return data if isinstance(data, bytes) else data[:]


def joined(data: Data, head: bytes, spans: Sequence[tuple[int, int]]) -> bytes | BinaryIO:
    """Those bytes and then those parts of the data; of a file on disk another file that is read part by part."""
    if isinstance(data, bytes):
        view = memoryview(data)
        return b"".join((head, *(view[start:end] for start, end in spans)))
    return io.BufferedReader(_Joined(data, head, spans), 1 << 16)


class _Joined(io.RawIOBase):
    def __init__(self, data: OnDisk, head: bytes, spans: Sequence[tuple[int, int]]) -> None:
        self._data, self._head, self._spans = data, head, spans
        self._begins = list(accumulate((end - start for start, end in spans), initial=len(head)))
        self._at = 0

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return True

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        self._at = offset + {io.SEEK_SET: 0, io.SEEK_CUR: self._at, io.SEEK_END: self._begins[-1]}[whence]
        return self._at

    def readinto(self, room: "WriteableBuffer") -> int:
        found = self._next(memoryview(room).nbytes)
        memoryview(room).cast("B")[: len(found)] = found
        self._at += len(found)
        return len(found)

    def _next(self, most: int) -> bytes:
        """What follows without a gap, at most so much of it."""
        if self._at < len(self._head):
            return self._head[self._at : self._at + most]
        number = bisect_right(self._begins, self._at) - 1
        if number >= len(self._spans):
            return b""
        start, end = self._spans[number]
        start += self._at - self._begins[number]
        return self._data[start : min(end, start + most)]
