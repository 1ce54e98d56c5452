"""Files of which there is one for each picture, read again once they were changed; and those that seem half-written."""

import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from portal.bench.arrival import CALM_S, PATIENT_S, calm_for
from portal.catalog.alone import read_alone
from portal.catalog.record import Broken
from portal.model.base import Record
from portal.tasks.inputs import Stamp, stamp_of

R = TypeVar("R", bound=Record)


@dataclass
class Halves:
    """Files that give no record by now, each since when it is as it is.

    An editor that saves in place empties a file before it writes it, one that renames takes it away for a moment: what
    is wrong with a file is believed once it was left alone, as a picture is.
    """

    seen: dict[str, tuple[Stamp | None, float]] = field(default_factory=dict)

    def may_be(self, file: str, stamp: Stamp | None) -> bool:
        """Whether somebody may still be writing it: it changed since it was last asked about, or a moment ago."""
        return calm_for(self.seen, file, stamp) < CALM_S

    def waiting(self) -> int:
        """How many of them are worth another look soon."""
        now = time.monotonic()
        return sum(now - at < PATIENT_S for _, at in tuple(self.seen.values()))

    def done(self, file: str) -> None:
        """It is read, or what is wrong with it is believed."""
        self.seen.pop(file, None)


@dataclass
class Single:
    """Tags, and what was looked at, by file."""

    folder: Path
    halves: Halves
    _known: dict[str, tuple[Stamp, Record | Broken]] = field(default_factory=dict)

    def read(self, record: type[R], file: str, *, whole: bool = True) -> R | Broken | None:
        """A file's record, read only where the file was changed; while it may be half-written what it said before, or
        None. Not as a whole: as it is known, where it is."""
        known = self._known.get(file)
        before = known[1] if known is not None and isinstance(known[1], (record, Broken)) else None
        if before is not None and not whole:
            return before
        stamp = stamp_of(self.folder / file)
        if before is not None and known is not None and stamp is not None and known[0] == stamp:
            return before
        made = read_alone(self.folder, record, file)
        if isinstance(made, Broken) and self.halves.may_be(file, stamp):
            return before
        self.halves.done(file)
        if stamp is not None:
            self._known[file] = (stamp, made)
        return made

    def is_known(self, file: str, stamp: Stamp) -> bool:
        """Whether it was read as it is now."""
        known = self._known.get(file)
        return known is not None and known[0] == stamp
