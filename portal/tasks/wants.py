"""What pictures that hang together want of derived files: known from the last build while their key holds.

To find out which part of each picture a card shows takes longer than all that has to be drawn after one tag changed.
"""

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from portal.pictures.derive import Want
from portal.problem import PortalError
from portal.site.apart import home_of
from portal.tasks.drawn import File, Wants
from portal.tasks.manifest import Data, Manifest
from portal.tasks.records import digest


class OfLast:
    """The derived files of the last build that are still there, as its manifest tells them, by the key of each."""

    def __init__(self, known: Manifest | None, there: Mapping[str, int]) -> None:
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
            raise PortalError("another build changed this site meanwhile", hint="wait until it ended, then build again")
        return known


@dataclass
class Found:
    """What is known of the files that some pictures want."""

    kept: dict[str, dict[str, File]] = field(default_factory=dict)
    """By picture and key: what the last build made."""
    wants: dict[str, Wants] = field(default_factory=dict)
    """By the key of pictures that hang together: what they want, for the next build."""
    said: dict[str, str] = field(default_factory=dict)
    """By a picture: a digest of what came of what it wants, and those that hang together with it."""

    def keep(self, picture: str, kept: Mapping[str, File]) -> None:
        """Take in what the last build made of a picture."""
        self.kept.setdefault(picture, {}).update(kept)

    def names(self) -> Iterator[str]:
        """The names of what is kept."""
        return (name for of_file in self.kept.values() for name, _ in of_file.values())


class ClusterWants:
    """The wants of a site's pictures by the key of those that hang together, and as the last build found them."""

    def __init__(self, pictures: Iterable[tuple[str, tuple[str, ...]]], known: Mapping[str, Wants]) -> None:
        self._of, self._known = dict(pictures), known

    def holding(self, last: OfLast, *, homes: Collection[str]) -> tuple[Found, frozenset[str]]:
        """What is known of pictures, and of which: all that they want is there as the last build made it.

        Of those that lie in the folders `homes` nothing is wanted; what is known of them is kept for the next build.
        """
        found, of = Found(), set[str]()
        for key, pictures in self._of.items():
            left = self._known.get(key)
            if left is None:
                continue
            if home_of(pictures[0]) in homes:
                found.wants[key] = left
            elif all(last.has(file) for files in left.files.values() for file in files.values()):
                for picture, files in left.files.items():
                    found.keep(picture, files)
                found.wants[key] = left
                found.said.update(dict.fromkeys(pictures, left.said))
                of.update(pictures)
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
        for key, pictures in self._of.items():
            if key in found.wants:
                continue
            wanted = dict.fromkeys(each for picture in pictures for each in planned.get(picture, ()))
            came = [(picture, *came_of(picture, want)) for picture, want in wanted]
            said = digest(json.dumps(came, sort_keys=True))
            found.said.update(dict.fromkeys(pictures, said))
            files: dict[str, dict[str, File]] = {}
            for picture, name, data in came:
                if data is not None:
                    files.setdefault(picture, {})[name] = (data["name"], data["bytes"])
            if all(data is not None for *_, data in came):
                found.wants[key] = Wants(said, files)
