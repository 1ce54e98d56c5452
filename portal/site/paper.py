"""What a page is written on as it comes: in memory, or a long one in a file, so that nobody holds it as a whole."""

from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from itertools import islice
from pathlib import Path
from typing import IO

LONG = 1 << 18
"""Bytes: of a longer page only the piece is held that is written."""
_MANY = 1000
"""Pieces of text that are encoded at once."""


@dataclass(frozen=True, slots=True)
class Paper:
    """The bytes of a page: held, or in a file that stays until the page is put where it belongs."""

    held: bytes = b""
    file: Path | None = None

    @property
    def size(self) -> int:
        """How many they are."""
        return self.file.stat().st_size if self.file else len(self.held)

    def read(self) -> bytes:
        """All of them."""
        return self.file.read_bytes() if self.file else self.held

    def runs(self) -> Iterator[bytes]:
        """All of them, a run of lines at a time: none of these is cut."""
        if self.file is None:
            yield self.held
            return
        with self.file.open("rb") as file:
            while run := file.read(LONG):
                yield run + file.readline()


class Writing:
    """Takes a page's text as it comes; what comes to be long is set aside in a file in `aside`, if that is given."""

    def __init__(self, page: str, aside: Path | None) -> None:
        self._into: IO[bytes] = BytesIO()
        self._pieces: list[str] = []
        self._file: Path | None = None
        self._room = aside / f"{sha256(page.encode()).hexdigest()[:20]}.page" if aside else None

    def take(self, texts: Iterator[str]) -> None:
        """Pieces of text as they come, to the last of them."""
        add = self._pieces.append
        for first in texts:
            add(first)
            for text in islice(texts, _MANY):  # there are hundreds of thousands
                add(text)
            self.here()

    def put(self, part: bytes) -> None:
        """A part that is bytes already, behind what came until now."""
        self.here()
        self._into.write(part)

    def here(self) -> int:
        """How many bytes the page has by now."""
        self._into.write("".join(self._pieces).encode("utf-8"))
        self._pieces.clear()
        at = self._into.tell()
        if at > LONG and self._room and self._file is None:
            self._set_aside(self._room)
        return at

    def _set_aside(self, room: Path) -> None:
        room.parent.mkdir(exist_ok=True)
        file = room.open("wb")
        assert isinstance(self._into, BytesIO)
        file.write(self._into.getbuffer())
        self._into, self._file = file, room

    def done(self) -> Paper:
        """The page, once all of it came."""
        self.here()
        if isinstance(self._into, BytesIO):
            return Paper(self._into.getvalue())
        self._into.close()
        return Paper(file=self._file)
