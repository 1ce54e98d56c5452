"""The pixels that the browser gets: upright, without the file's metadata, whole and divided, large ones in tiles."""

from collections import OrderedDict
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock

from portal.bench.decoding import Decoding
from portal.bench.refused import Refused, unreadable
from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.scalars import Frame
from portal.pictures.derive import Derived, Want, Whole, derive, derive_one
from portal.pictures.facts import read_data
from portal.pictures.jobs import Job, derive_many
from portal.pictures.quick import quick_copy
from portal.pictures.store import keep
from portal.site.tiles import TILE, Size, is_large, sizes

KEPT = 40
"""Pictures whose derived files stay while others are looked at."""


def wholes(facts: PictureFacts) -> tuple[int, ...]:
    """By how much the sizes of a picture that come as one file are divided, from small to full."""
    return tuple(each.divide for each in sizes(facts.upright) if not each.tiles)


def sizes_at(address: str, facts: PictureFacts) -> list[list[object]]:
    """Its sizes for the page, as on a site: file, the pixels that it covers, by how much it is divided; the tiles."""
    stamp = f"?{facts.sha256[:16]}"
    return [_size_at(f"{address}/{each.divide}", each, facts.upright, stamp) for each in sizes(facts.upright)]


def _size_at(address: str, size: Size, frame: Frame, stamp: str) -> list[object]:
    """A divided picture's last column may stand for fewer pixels than the others."""
    covers = [-(-each // size.divide) * size.divide for each in (frame.width, frame.height)]
    if not size.tiles:
        return [f"{address}{stamp}", *covers, size.divide]
    return [None, *covers, size.divide, TILE, [f"{address}/{each}{stamp}" for each in range(len(size.tiles))]]


@dataclass
class Pixels:
    """Derived files in a folder of their own, the last used pictures' only."""

    folder: Path
    decoding: Decoding = field(default_factory=Decoding)
    _made: "OrderedDict[str, dict[Want, Path]]" = field(default_factory=OrderedDict)
    _locks: dict[str, Lock] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def file(self, path: Path, facts: PictureFacts, divide: int) -> Path:
        """The derived file of a picture, 0 for its smallest; PortalError where it is damaged, or has no such size."""
        divide = divide or wholes(facts)[0]
        if divide not in wholes(facts):
            raise Refused("refused.no_size")
        return self._file(path, facts, Whole(divide))

    def tile(self, path: Path, facts: PictureFacts, divide: int, number: int) -> Path:
        """A tile of one of the sizes that come in tiles; PortalError where there is none."""
        tiles = next((each.tiles for each in sizes(facts.upright) if each.divide == divide), ())
        if number >= len(tiles):
            raise Refused("refused.no_tile")
        return self._file(path, facts, tiles[number])

    def _file(self, path: Path, facts: PictureFacts, want: Want) -> Path:
        with self._lock:
            own = self._locks.setdefault(facts.sha256, Lock())
        with own:
            made = self._made.get(facts.sha256, {}).get(want) or self._keep(facts, want, self._make(path, facts, want))
        with self._lock:
            self._made.move_to_end(facts.sha256)
        return made

    def _make(self, path: Path, facts: PictureFacts, want: Want) -> Path:
        """One at a time, so that the first one is seen soonest."""
        if facts.movie:  # decoded in another process, where it may be given up
            (made,) = derive_many([Job(path, facts, (want,), self.folder)], processes=1)
            return self.folder / _sound(made)[0].name
        if isinstance(want, Whole) and want.divide > 1 and not self.decoding.has(facts):
            quick = quick_copy(read_data(path), facts, divide=want.divide)
            if quick is not None:
                return self.folder / keep(self.folder, quick, ending=".jpg").name
        if not is_large(facts.upright):
            return self.folder / _sound(derive(path, facts, (want,), self.folder))[0].name
        whole = self.decoding.of(path, facts).whole
        assert whole is not None
        return self.folder / derive_one(whole, want, self.folder).name

    def _keep(self, facts: PictureFacts, want: Want, found: Path) -> Path:
        with self._lock:
            self._made.setdefault(facts.sha256, {})[want] = found
            self._made.move_to_end(facts.sha256)
            while len(self._made) > KEPT:
                _, old = self._made.popitem(last=False)
                still = {each for many in self._made.values() for each in many.values()}
                for each in set(old.values()) - still:
                    each.unlink(missing_ok=True)
        return found


def _sound(made: tuple[Derived, ...] | PictureUnreadable) -> tuple[Derived, ...]:
    if isinstance(made, PictureUnreadable):
        raise unreadable(made)
    return made
