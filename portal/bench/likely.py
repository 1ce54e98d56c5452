"""Whether a picture is likely to be of a stage micrometer: what lies beside a scope's file, or has divisions on it."""

from collections.abc import Iterable
from pathlib import Path
from threading import Lock

import numpy as np

from portal.assess.pixels import Graticule, read_graticule
from portal.model.picture import PictureFacts
from portal.pictures.facts import read_data
from portal.pictures.upright import upright
from portal.problem import PortalError
from portal.site.tiles import is_large

LOOKED_AT = 3
"""So many of the newest are read; a picture of today's micrometer is one of these."""
_PIXELS = 2_000_000
"""To see whether there are divisions takes no more: 0.3 s of processor time on such a picture, ten times that on 12
megapixels."""
_KEPT = 400


class Likely:
    """What was read of pictures, by what is in them; a list that is asked for every second reads none twice."""

    def __init__(self) -> None:
        self._known: dict[str, bool] = {}
        self._lock = Lock()

    def among(self, newest: Iterable[tuple[Path, PictureFacts]]) -> set[str]:
        """Those of the newest pictures that have divisions on them, by their SHA-256, as far as the first that has."""
        for path, own in list(newest)[:LOOKED_AT]:
            if self._has_divisions(path, own):
                return {own.sha256}
        return set()

    def _has_divisions(self, path: Path, own: PictureFacts) -> bool:
        with self._lock:
            if own.sha256 not in self._known:
                while len(self._known) >= _KEPT:
                    del self._known[next(iter(self._known))]
                self._known[own.sha256] = _read(path, own)
            return self._known[own.sha256]


def _read(path: Path, own: PictureFacts) -> bool:
    """Nothing is measured by this. One that is read at neither size may be chosen all the same."""
    if own.movie or is_large(own.upright):
        return False
    try:
        grey = upright(read_data(path), own).image.convert("L")
    except (PortalError, OSError):
        return False
    step = 1
    while grey.width * grey.height > _PIXELS * step * step:
        step += 1
    return any(isinstance(read_graticule(np.asarray(grey.reduce(each))), Graticule) for each in (step, 2 * step))
