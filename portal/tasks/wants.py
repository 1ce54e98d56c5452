"""What pictures that hang together want of derived files: known from the last build while their key holds.

To find out which part of each picture a card shows takes longer than all that has to be drawn after one tag changed.
"""

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

from portal.pictures.derive import Want
from portal.problem import PortalError
from portal.site.apart import home_of
from portal.tasks.drawn import File, Kind, Wants, said_of
from portal.tasks.inputs import Sizes
from portal.tasks.lines import Aside
from portal.tasks.manifest import Data, Manifest
from portal.tasks.records import digest


class OfLast:
    """The derived files of the last build that are still there, as its manifest tells them, by the key of each."""

    def __init__(self, known: Manifest | None, there: Sizes) -> None:
        self._known: Mapping[str, Data] = known.derived if known else {}
        self._there = there

    def has(self, file: File) -> bool:
        """Whether a file is there as it was left."""
        name, size = file
        return self._there.get(name) == size

    def get(self, key: str) -> File | None:
        """The file of that key, if it is there."""
        data = self._known.get(key)
        file = (data["name"], data["bytes"]) if data else None
        return file if file and self.has(file) else None

    def data(self, key: str) -> Data:
        """What the manifest says of a file that is kept."""
        known = self._known.get(key)
        if known is None:
            raise another_build()
        return known


def another_build() -> PortalError:
    """What the last build left isn't there any more."""
    return PortalError("another build changed this site meanwhile", hint="wait until it ended, then build again")


class Found:
    """What is known of the files that some pictures want.

    Of pictures of which all is known it stands in the file of the last build, what is found out is set `aside`: of
    thousands of pictures none of it is held.
    """

    def __init__(self, known: Kind[Wants], aside: Aside) -> None:
        self._known, self._aside = known, aside
        self._of: dict[str, str] = {}
        """By picture: the key of those it hangs together with, where all that they want is known."""
        self._kept: dict[str, dict[str, File]] = {}
        """Of other pictures, by the key of what is wanted: what the last build made."""
        self._left: list[str] = []
        """The keys of pictures that hang together of which nothing changed."""
        self._last: tuple[str, Wants] = ("", Wants("", {}))
        self.said: dict[str, str] = {}
        """By a picture: a digest of what came of what it wants, and those that hang together with it."""

    def hold(self, key: str, left: Wants, pictures: Iterable[str]) -> None:
        """All that these pictures want is there as it was left."""
        self._left.append(key)
        own = dict.fromkeys(pictures, key)
        self._of.update(own)
        self.said.update(dict.fromkeys(own, left.said))
        for picture, files in left.files.items():
            if picture not in own:
                self.keep(picture, files)

    def leave(self, key: str) -> None:
        """Nothing is wanted now of what is known under that key; it is kept for the next build."""
        self._left.append(key)

    def note(self, key: str, wants: Wants) -> None:
        """What pictures were found to want."""
        self._aside.put(key, said_of(wants))

    def keep(self, picture: str, kept: Mapping[str, File]) -> None:
        """Take in what the last build made of a picture."""
        self._kept.setdefault(picture, {}).update(kept)

    def drop(self, picture: str) -> None:
        """Nothing of a picture is to be shown."""
        self._kept.pop(picture, None)
        self._of.pop(picture, None)

    def kept(self, picture: str) -> Mapping[str, File]:
        """What the last build made of a picture, by the key of what is wanted."""
        own, key = self._kept.get(picture, {}), self._of.get(picture)
        if not key:
            return own
        files = self._wants(key).files.get(picture, {})
        return {**files, **own} if own else files

    def pictures(self) -> Iterator[str]:
        """Of which something is kept."""
        return iter(dict.fromkeys((*self._of, *self._kept)))

    def names(self) -> Iterator[str]:
        """The names of what is kept."""
        return (name for picture in self.pictures() for name, _ in self.kept(picture).values())

    def wants(self) -> Iterator[bytes]:
        """Lines for the next build, by the key of pictures that hang together: what they want."""
        for key in self._left:
            yield from self._known.noted.raw(key)
        yield from self._aside.all_raw()

    def _wants(self, key: str) -> Wants:
        if self._last[0] != key:
            known = self._known.get(key)
            if known is None:
                raise another_build()
            self._last = (key, known)
        return self._last[1]


class ClusterWants:
    """The wants of a site's pictures by the key of those that hang together, and as the last build found them."""

    def __init__(self, pictures: Iterable[tuple[str, tuple[str, ...]]], known: Kind[Wants]) -> None:
        self._of, self._known = dict(pictures), known

    def holding(self, last: OfLast, *, homes: Collection[str], aside: Aside) -> tuple[Found, frozenset[str]]:
        """What is known of pictures, and of which: all that they want is there as the last build made it.

        Of those that lie in the folders `homes` nothing is wanted; what is known of them is kept for the next build.
        What is found out of the others is set aside.
        """
        found, of = Found(self._known, aside), set[str]()
        self._missing: list[str] = []
        for key, pictures in self._of.items():
            left = self._known.get(key)
            if left is not None and home_of(pictures[0]) in homes:
                found.leave(key)
            elif left is not None and all(last.has(file) for files in left.files.values() for file in files.values()):
                found.hold(key, left, pictures)
                of.update(pictures)
            else:
                self._missing.append(key)
        return found, frozenset(of)

    def note(
        self,
        found: Found,
        planned: Mapping[str, Sequence[tuple[str, Want]]],
        came_of: Callable[[str, Want], tuple[str, Data | None]],
    ) -> None:
        """Take in what wasn't known: by picture which pictures' files it wants.

        `came_of` gives the key of a want and what there is of it; where that is nothing, the next build tries again.
        """
        for key in self._missing:
            pictures = self._of[key]
            wanted = dict.fromkeys(each for picture in pictures for each in planned.get(picture, ()))
            came = [(picture, *came_of(picture, want)) for picture, want in wanted]
            said = digest(json.dumps(came, sort_keys=True))
            found.said.update(dict.fromkeys(pictures, said))
            files: dict[str, dict[str, File]] = {}
            for picture, name, data in came:
                if data is not None:
                    files.setdefault(picture, {})[name] = (data["name"], data["bytes"])
            if all(data is not None for *_, data in came):
                found.note(key, Wants(said, files))
