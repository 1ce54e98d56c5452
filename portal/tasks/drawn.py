"""What the last build drew, and from what: a file in the site's folder beside the manifest.

It holds digests and places, no words, and pictures by digests of their paths. It is taken away before the first page
is replaced and written anew at the end, so that a build which doesn't come to its end leaves nothing behind that could
be taken for true.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from portal.tasks.inputs import Stamp
from portal.tasks.manifest import replace_file

NAME = ".portal-drawn.json"
_DIGITS = 20


@dataclass(frozen=True, slots=True)
class Left:
    """A page as it was left."""

    size: int
    time: int
    key: str = ""
    """What it was made from, where it is a page of its own: that of a picture."""
    cards: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    """Where each card stands in it, by what that was made from: its start and its length in bytes."""
    assets: tuple[str, ...] = ()
    """The derived files that it names."""

    @property
    def stamp(self) -> Stamp:
        """Its size and time of change."""
        return self.size, self.time


File = tuple[str, int]
"""A derived file: its name and its size in bytes."""


@dataclass(frozen=True, slots=True)
class Wants:
    """What the pages and cards of pictures that hang together were found to want."""

    said: str
    """A digest of what came of it."""
    files: Mapping[str, Mapping[str, File]]
    """By picture, that of a limit sample too, and by the key of what was wanted of it (`pictures.derive.want_key`)."""


@dataclass(frozen=True)
class Drawn:
    """What is known of a site's pages."""

    pages: Mapping[str, Left] = field(default_factory=dict)
    groups: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """The pages of parts that hang together, by what they were made from."""
    assets: Mapping[str, int] = field(default_factory=dict)
    """The sizes of the derived files that these pages name."""
    wants: Mapping[str, Wants] = field(default_factory=dict)
    """By what it was found out from."""


def load(out: Path, pictures: Iterable[str]) -> Drawn:
    """What is known of a site's folder that shows those pictures; nothing where there is none or it can't be read."""
    named = {_sealed(each): each for each in pictures}
    try:
        data = json.loads((out / NAME).read_text(encoding="utf-8"))
        pages = {path: Left(*each) for path, each in data["pages"].items()}
        groups = {key: tuple(each) for key, each in data["groups"].items()}
        wants = {
            key: Wants(said, {named[picture]: own for picture, own in files.items()})
            for key, (said, files) in data["wants"].items()
            if named.keys() >= files.keys()
        }
        return Drawn(pages, groups, data["assets"], wants)
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return Drawn()


def save(out: Path, drawn: Drawn) -> None:
    """Write it whole or not at all."""
    pages = {path: (each.size, each.time, each.key, each.cards, each.assets) for path, each in drawn.pages.items()}
    wants = {
        key: (each.said, {_sealed(picture): own for picture, own in each.files.items()})
        for key, each in drawn.wants.items()
    }
    data = {"pages": pages, "groups": drawn.groups, "assets": drawn.assets, "wants": wants}
    replace_file(out, NAME, [json.dumps(data, separators=(",", ":"), sort_keys=True).encode()])


def _sealed(picture: str) -> str:
    return sha256(picture.encode()).hexdigest()[:_DIGITS]


def forget(out: Path) -> None:
    """Take it away, before a page is replaced."""
    (out / NAME).unlink(missing_ok=True)
