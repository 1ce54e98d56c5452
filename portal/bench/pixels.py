"""The pixels that the browser gets: upright, without the file's metadata, whole and divided, made once per picture."""

from collections import OrderedDict
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.pictures.derive import Whole, derive
from portal.pictures.facts import read_bytes
from portal.pictures.jobs import Job, derive_many
from portal.pictures.quick import quick_copy
from portal.pictures.store import keep
from portal.problem import PortalError

KEPT = 40
"""Pictures whose derived files stay while others are looked at."""


def divides(facts: PictureFacts) -> tuple[int, ...]:
    """By how much the sizes of a picture are divided, from small to full."""
    return (*(each for each in (4, 2) if facts.upright.width // each >= 700), 1)


@dataclass
class Pixels:
    """Derived files in a folder of their own, the last used pictures' only."""

    folder: Path
    _made: "OrderedDict[str, dict[int, Path]]" = field(default_factory=OrderedDict)
    _locks: dict[str, Lock] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def file(self, path: Path, facts: PictureFacts, divide: int) -> Path:
        """The derived file of a picture, 0 for its smallest; PortalError where it is damaged, or has no such size."""
        divide = divide or divides(facts)[0]
        if divide not in divides(facts):
            raise PortalError("there is no such size")
        with self._lock:
            own = self._locks.setdefault(facts.sha256, Lock())
        with own:
            made = self._made.get(facts.sha256, {}).get(divide) or self._make(path, facts, divide)
        with self._lock:
            self._made.move_to_end(facts.sha256)
        return made

    def _make(self, path: Path, facts: PictureFacts, divide: int) -> Path:
        """One size at a time, so that the first one is seen soonest."""
        wants = (Whole(divide),)
        quick = quick_copy(read_bytes(path), facts, divide=divide) if divide > 1 and not facts.movie else None
        if quick is not None:
            return self._keep(facts, divide, self.folder / keep(self.folder, quick, ending=".jpg").name)
        if facts.movie:  # decoded in another process, where it may be given up
            (made,) = derive_many([Job(path, facts, wants, self.folder)], processes=1)
        else:
            made = derive(path, facts, wants, self.folder)
        if isinstance(made, PictureUnreadable):
            raise PortalError(made.reason, hint=made.hint)
        return self._keep(facts, divide, self.folder / made[0].name)

    def _keep(self, facts: PictureFacts, divide: int, found: Path) -> Path:
        with self._lock:
            self._made.setdefault(facts.sha256, {})[divide] = found
            self._made.move_to_end(facts.sha256)
            while len(self._made) > KEPT:
                _, old = self._made.popitem(last=False)
                still = {each for many in self._made.values() for each in many.values()}
                for each in set(old.values()) - still:
                    each.unlink(missing_ok=True)
        return found
