"""What the last build drew, and from what: a file in the site's folder beside the manifest, of a line for each page.

It holds digests and places, no words, and pictures by digests of their paths. It is taken away before the first page
is replaced and written anew at the end, so that a build which doesn't come to its end leaves nothing behind that could
be taken for true. Of what it says only the places are held.
"""

from array import array
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from itertools import chain, islice
from pathlib import Path
from typing import Any, Generic, TypeVar

from portal.tasks.inputs import Stamp
from portal.tasks.lines import Noted, as_json, line, name_of
from portal.tasks.manifest import replace_file

NAME = ".portal-drawn.json"
_DIGITS = 20
_FORM = {"form": 2}
_PAGE, _CARDS, _GROUP, WANTS = b"page", b"cards", b"group", b"wants"
_IN_A_LINE = 64
"""So many cards: of a page of thousands some are read at a time."""

T = TypeVar("T")
File = tuple[str, int]
"""A derived file: its name and its size in bytes."""
Card = tuple[str, int, int]
"""What a card was made from, where it starts in its page, and its length in bytes."""


@dataclass(frozen=True, slots=True)
class Left:
    """A page as it was left."""

    size: int
    time: int
    key: str = ""
    """What it was made from, where it is a page of its own: that of a picture."""
    assets: tuple[File, ...] = ()
    """The derived files that it names."""

    @property
    def stamp(self) -> Stamp:
        """Its size and time of change."""
        return self.size, self.time


@dataclass(frozen=True, slots=True)
class Wants:
    """What the pages and cards of pictures that hang together were found to want."""

    said: str
    """A digest of what came of it."""
    files: Mapping[str, Mapping[str, File]]
    """By picture, that of a limit sample too, and by the key of what was wanted of it (`pictures.derive.want_key`)."""


class Kind(Mapping[str, T], Generic[T]):
    """Lines of one kind, each read when it is asked for."""

    def __init__(self, noted: Noted, made: Callable[[Any], T]) -> None:
        self.noted, self._made = noted, made
        self._last: tuple[str, T] | None = None

    def __getitem__(self, name: str) -> T:
        if self._last is None or self._last[0] != name:
            for data in self.noted.of(name):
                self._last = (name, self._made(data))
                break
            else:
                raise KeyError(name)
        return self._last[1]

    def __iter__(self) -> Iterator[str]:
        return self.noted.names()

    def __len__(self) -> int:
        return len(self.noted)


class Drawn:
    """What is known of a site's pages; of none where there is no file."""

    def __init__(self, out: Path | None = None, pictures: Iterable[str] = ()) -> None:
        self._out = out
        self._named = {sealed(each): each for each in pictures}
        path = (out or Path()) / NAME
        self.pages = Kind(Noted(path, _PAGE), _left)
        self.groups: Kind[tuple[str, ...]] = Kind(Noted(path, _GROUP), tuple)
        """The pages of parts that hang together, by what they were made from."""
        self.wants = Kind(Noted(path, WANTS), self._wants)
        """By what it was found out from."""
        self._cards = Noted(path, _CARDS)
        self._places = _CardPlaces()
        if out is not None:
            self._load(path)

    def _wants(self, data: Any) -> Wants:
        said, files = data
        if not self._named.keys() >= files.keys():
            raise KeyError("a picture that isn't there any more")
        return Wants(said, {self._named[picture]: own for picture, own in files.items()})

    def card(self, key: str) -> tuple[str, int, int] | None:
        """The page on which a card stands that was made from that, its start and its length."""
        return self._places.of(key)

    def cards_of(self, path: str) -> Iterator[Card]:
        """The cards of a page."""
        return ((key, start, length) for many in self._cards.of(path) for key, start, length in many)

    def lines_of(self, path: str) -> Iterator[bytes]:
        """A page and its cards as they stand there, for the next time."""
        yield from self.pages.noted.raw(path)
        yield from self._cards.raw(path)

    def take_away(self, to: Path) -> None:
        """Move the file out of the site, to where it can still be read; before a page is replaced."""
        if self._out is not None:
            with suppress(FileNotFoundError):
                (self._out / NAME).replace(to)
        for noted in (self.pages.noted, self.groups.noted, self.wants.noted, self._cards):
            noted.path = to

    def _load(self, path: Path) -> None:
        kinds = {_PAGE: self.pages.noted, _GROUP: self.groups.noted, WANTS: self.wants.noted, _CARDS: self._cards}
        with path.open("rb") as file:
            head = file.readline()
            if head != as_json(_FORM) + b"\n":
                raise ValueError("another form")
            at = len(head)
            for said in file:
                kind, _, rest = said.partition(b"\t")
                kinds[kind].add(name_of(rest), at, len(said))
                at += len(said)
        for page, many in self._cards.all():
            self._places.add(page, many)
        self._places.sort()


def sealed(picture: str) -> str:
    """What a picture is called here."""
    return sha256(picture.encode()).hexdigest()[:_DIGITS]


def said_of(wants: Wants) -> tuple[str, Mapping[str, Mapping[str, File]]]:
    """What a line says of wants."""
    return wants.said, {sealed(picture): own for picture, own in wants.files.items()}


def _left(data: Any) -> Left:
    size, time, key, assets = data
    return Left(size, time, key, tuple((name, length) for name, length in assets))


class _CardPlaces:
    """Where each card stands, by the first half of the digest of what it was made from: 40 bytes for each."""

    def __init__(self) -> None:
        self._pages: list[str] = []
        self._columns = tuple(array("Q") for _ in range(5))
        """The digest's first and second quarter, the page's number, start, length."""

    def add(self, path: str, cards: Iterable[Card]) -> None:
        """Cards of a page."""
        if not self._pages or self._pages[-1] != path:
            self._pages.append(path)
        for key, start, length in cards:
            for column, value in zip(
                self._columns, (*_quarters(key), len(self._pages) - 1, start, length), strict=True
            ):
                column.append(value)

    def sort(self) -> None:
        """Once all are there."""
        order = sorted(range(len(self._columns[0])), key=self._columns[0].__getitem__)
        self._columns = tuple(array("Q", map(column.__getitem__, order)) for column in self._columns)

    def of(self, key: str) -> tuple[str, int, int] | None:
        """Page, start and length of a card; of two that were made from the same, the last."""
        first, second = _quarters(key)
        found, at = None, bisect_left(self._columns[0], first)
        while at < len(self._columns[0]) and self._columns[0][at] == first:
            _, other, page, start, length = (column[at] for column in self._columns)
            found = (self._pages[page], start, length) if other == second else found
            at += 1
        return found


def _quarters(key: str) -> tuple[int, int]:
    return int(key[:16], 16), int(key[16:32], 16)


def load(out: Path, pictures: Iterable[str]) -> Drawn:
    """What is known of a site's folder that shows those pictures; nothing where there is none or it can't be read."""
    try:
        return Drawn(out, pictures)
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return Drawn()


def save(
    out: Path,
    *,
    pages: Iterable[tuple[str, Left, Iterable[Card]]],
    groups: Iterable[tuple[str, tuple[str, ...]]],
    kept: Iterable[bytes] = (),
) -> None:
    """Write it whole or not at all, a line at a time: pages and their cards, groups of pages; lines as they are."""
    replace_file(out, NAME, chain(_lines(pages, groups), kept))


def _lines(
    pages: Iterable[tuple[str, Left, Iterable[Card]]], groups: Iterable[tuple[str, tuple[str, ...]]]
) -> Iterator[bytes]:
    yield as_json(_FORM) + b"\n"
    for path, left, cards in pages:
        yield line(_PAGE, path, (left.size, left.time, left.key, left.assets))
        each = iter(cards)
        while many := tuple(islice(each, _IN_A_LINE)):
            yield line(_CARDS, path, many)
    for key, paths in groups:
        yield line(_GROUP, key, paths)


def forget(out: Path) -> None:
    """Take it away."""
    (out / NAME).unlink(missing_ok=True)
