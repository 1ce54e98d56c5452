"""Whether a picture that just came is there as a whole: a camera program or a copying one writes it piece by piece."""

import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from portal.bench.fresh import fresh_stamp
from portal.tasks.inputs import Stamp

CALM_S = 0.4
"""A file that didn't change for so long is taken for whole where it ends as its kind ends ..."""
PATIENT_S = 5.0
"""... and any file once it didn't change for so long; what is wrong with it is then for a person to see."""
_ENDS = {b"\xff\xd8": b"\xff\xd9", b"\x89P": b"IEND\xaeB`\x82"}
"""The last bytes of a JPEG and a PNG, by their first."""
_TAIL = 64
_EMPTY = b"\0"
"""What there is of a file that was given its size before its bytes: nothing but these, at its start or at its end."""


def calm_for(seen: dict[str, tuple[Stamp | None, float]], file: str, stamp: Stamp | None) -> float:
    """For how many seconds a file is as it is, by when it was first seen so; that is noted."""
    before, now = seen.get(file), time.monotonic()
    if before is None or before[0] != stamp:
        seen[file] = (stamp, now)
        return 0.0
    return now - before[1]


@dataclass
class Arrivals:
    """Files that are known, and those that are still being written."""

    known: set[str] = field(default_factory=set)
    coming: dict[str, tuple[Stamp | None, float]] = field(default_factory=dict)

    def whole(self, folder: Path, files: Iterable[str]) -> frozenset[str]:
        """Those of the files that may be looked at; call again for the others."""
        files = tuple(files)
        found = frozenset(file for file in files if file in self.known or self._has_come(folder, file))
        self.known = set(found)
        return found

    def calm_at(self, folder: Path) -> list[float]:
        """When, by the monotonic clock, each of those that come will have been calm for long enough.

        They are looked at, and nothing else is: one that was written to begins anew, one that went is forgotten.
        """
        for file in tuple(self.coming):
            stamp = fresh_stamp(folder / file)
            if stamp is None:
                self.coming.pop(file, None)
            else:
                calm_for(self.coming, file, stamp)
        return [since + CALM_S for _, since in tuple(self.coming.values())]

    def _has_come(self, folder: Path, file: str) -> bool:
        stamp = fresh_stamp(folder / file)
        if stamp is None:
            self.coming.pop(file, None)
            return False
        calm = calm_for(self.coming, file, stamp)
        if calm >= PATIENT_S or (calm >= CALM_S and stamp[0] > 0 and _ends(folder / file, stamp[0])):
            del self.coming[file]
            return True
        return False


def _ends(path: Path, size: int) -> bool:
    """Whether a file of that size ends as its kind does; others are trusted where they don't begin or end empty."""
    try:
        with path.open("rb") as file:
            head = file.read(2)
            file.seek(max(0, size - _TAIL))
            tail = file.read()
    except OSError:  # still locked by whoever writes it
        return False
    if head in _ENDS:
        return _ENDS[head] in tail
    return bool(head.strip(_EMPTY)) and bool(tail.strip(_EMPTY))
