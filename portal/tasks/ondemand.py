"""The derived pictures of a page that is only looked at: named when it is drawn, made when one is asked for.

A picture's size is known from its file's header, so a page can be laid out before any pixel is touched. Its name is
that of what it will be made from, for what it is made of isn't known yet.
"""

import os
from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from threading import BoundedSemaphore, Lock

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.pictures.derive import Crop, Derived, Want, Whole, decoded, derive, derive_one, frame_of, want_key
from portal.pictures.upright import Upright
from portal.site.address import asset
from portal.site.inputs import SiteInput
from portal.tasks.inputs import Stamp, stamp_of

DECODED = 2
"""So many pictures are kept decoded; one of 24 megapixels takes 72 MB."""
PAGES = 3
"""Derived files that the last pages didn't show are taken away."""


@dataclass(frozen=True, slots=True)
class _Due:
    """A file that a page names."""

    file: str
    facts: PictureFacts
    want: Whole | Crop


class OnDemand(Mapping[str, Mapping[Want, Derived]]):
    """The derived pictures of a site, each made when somebody looks at it, and kept while pages show it."""

    def __init__(self, folder: Path, out: Path) -> None:
        self.unreadable: dict[str, PictureUnreadable] = {}
        """Pictures of the page that is drawn which turned out to be damaged."""
        self.failures = 0
        self._folder = folder
        self._out = out
        self._site: SiteInput | None = None
        self._named: dict[str, Derived] = {}
        self._due: dict[str, _Due] = {}
        """By the path in a site: what isn't made yet, or may have to be made again."""
        self._paths: dict[str, Path] = {}
        self._bad: dict[str, tuple[Stamp | None, PictureUnreadable]] = {}
        """By the key of the whole picture: why it can't be shown, and the stamp of the file that was tried."""
        self._asked: list[set[str]] = []
        self._decoded: OrderedDict[str, Upright] = OrderedDict()
        self._lock = Lock()
        self._making: dict[str, Lock] = {}
        self._room = BoundedSemaphore(max(1, (os.cpu_count() or 1) - 1))
        """One processor is left to whoever saves meanwhile."""

    def over(self, site: SiteInput) -> None:
        """Take the site of the next page."""
        self._site = site
        self.unreadable.clear()
        for file, facts in site.facts.items() if self._bad else ():
            if isinstance(facts, PictureFacts) and (tried := self._bad.get(_whole(facts))) is not None:
                if tried[0] == self._stamp(file):
                    self.unreadable[file] = tried[1]
                else:
                    del self._bad[_whole(facts)]
        self._asked.append(set())

    def keep(self, names: Iterable[str]) -> None:
        """Files that the page shows in what was drawn before."""
        self._asked[-1].update(names)

    def forget(self) -> None:
        """Take away what the last pages didn't show."""
        with self._lock:
            self._asked = self._asked[-PAGES:]
            shown = set().union(*self._asked)
            for key in [key for key, each in self._named.items() if each.name not in shown]:
                self._due.pop(asset(self._named.pop(key).name), None)
            named = {asset(name) for name in shown}
            gone = [self._paths.pop(path) for path in [*self._paths] if path not in named]
            for each in set(gone) - set(self._paths.values()):
                each.unlink(missing_ok=True)
            self._making.clear()

    def file(self, path: str) -> Path | None:
        """A file of the last pages by its path in a site; None where none of them names it, or it can't be shown."""
        with self._lock:
            due, made = self._due.get(path), self._paths.get(path)
            if made is not None or due is None:
                return made
            own = self._making.setdefault(_whole(due.facts), Lock())
        with own, self._room:
            found = self._paths.get(path) or self._make(due)
        with self._lock:
            if isinstance(found, Path) and path in self._due:
                self._paths[path] = found
        return found

    def _make(self, due: _Due) -> Path | None:
        pixels = self._pixels(due.file, due.facts)
        if isinstance(pixels, PictureUnreadable):
            self._note(due.file, due.facts, pixels)
            return None
        return self._out / derive_one(pixels, due.want, self._out).name

    def _note(self, file: str, facts: PictureFacts, why: PictureUnreadable) -> None:
        tried = (self._stamp(file), why)
        with self._lock:
            if self._bad.get(_whole(facts)) != tried:
                self._bad[_whole(facts)] = tried
                self.failures += 1

    def _stamp(self, file: str) -> Stamp | None:
        return stamp_of(self._folder / file)

    def __getitem__(self, file: str) -> Mapping[Want, Derived]:
        facts = self._site.facts.get(file) if self._site else None
        if not isinstance(facts, PictureFacts) or file in self.unreadable:
            raise KeyError(file)
        return _Of(self, file, facts)

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0

    def named(self, file: str, facts: PictureFacts, want: Want) -> Derived | None:
        """A derived file as far as a page has to know it; None where the picture is known to be damaged."""
        key = want_key(facts, want)
        known = self._named.get(key)
        if known is None:
            made = self._moving(file, facts, want) if facts.movie else _coming(key, facts, want)
            if isinstance(made, PictureUnreadable):
                self._note(file, facts, made)
                self.unreadable[file] = made
                return None
            with self._lock:
                known = self._named[key] = made
                if facts.movie:
                    self._paths[asset(made.name)] = self._out / made.name
                elif isinstance(want, (Whole, Crop)):
                    self._due[asset(made.name)] = _Due(file, facts, want)
        self._asked[-1].add(known.name)
        return known

    def _moving(self, file: str, facts: PictureFacts, want: Want) -> Derived | PictureUnreadable:
        made = derive(self._folder / file, facts, [want], self._out)
        return made if isinstance(made, PictureUnreadable) else made[0]

    def _pixels(self, file: str, facts: PictureFacts) -> Upright | PictureUnreadable:
        with self._lock:
            known = self._decoded.get(_whole(facts))
        if known is not None:
            return known
        found = decoded(self._folder / file, facts)
        if isinstance(found, Upright):
            with self._lock:
                self._decoded[_whole(facts)] = found
                while len(self._decoded) > DECODED:
                    self._decoded.popitem(last=False)
        return found


class _Of(Mapping[Want, Derived]):
    """Those of one picture."""

    def __init__(self, all_of: OnDemand, file: str, facts: PictureFacts) -> None:
        self._all = all_of
        self._file = file
        self._facts = facts

    def __getitem__(self, want: Want) -> Derived:
        found = self._all.named(self._file, self._facts, want)
        if found is None:
            raise KeyError(want)
        return found

    def __iter__(self) -> Iterator[Want]:
        return iter(())

    def __len__(self) -> int:
        return 0


def _whole(facts: PictureFacts) -> str:
    return want_key(facts, Whole())


def _coming(key: str, facts: PictureFacts, want: Want) -> Derived:
    """A file that is named by what it will be made from."""
    if not isinstance(want, (Whole, Crop)):
        raise TypeError("a review page shows nothing else of a picture")
    size = frame_of(facts, want)
    name = f"{sha256(key.encode()).hexdigest()[:20]}.jpg"
    box = want.box if isinstance(want, Crop) else (0, 0, facts.upright.width, facts.upright.height)
    return Derived(want, name, size.width, size.height, want.divide, box, sha256="", bytes=0)
