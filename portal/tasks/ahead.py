"""Pieces of a file that are asked for one after the other, mostly as they stand there: some are read at once."""

from pathlib import Path

RUN = 1 << 18
"""Bytes that are read and held at once."""


class Ahead:
    """Of one file at a time; it isn't held open, so that it may be replaced."""

    def __init__(self, run: int = RUN) -> None:
        self._most = run
        self._path: Path | None = None
        self._at = 0
        self._run = b""

    def piece(self, path: Path, at: int, length: int) -> bytes:
        """So many bytes from there, or what there is of them; OSError where the file can't be read."""
        start = at - self._at
        if path != self._path or start < 0 or start + length > len(self._run):
            with path.open("rb") as file:
                file.seek(at)
                self._run = file.read(max(length, self._most))
            self._path, self._at, start = path, at, 0
        return self._run[start : start + length]
