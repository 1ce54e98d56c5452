"""What was worked out before, by the key of what it was worked out from: in the user's own cache folder.

Nothing is lost with it: what isn't there is worked out again. It goes nowhere with a site or a catalogue.
"""

import contextlib
import hashlib
import os
import sqlite3
from pathlib import Path
from typing import Literal

from portal.resources import cache_folder

_TABLE = "CREATE TABLE IF NOT EXISTS kept (key TEXT PRIMARY KEY, value BLOB NOT NULL) WITHOUT ROWID"
_WAIT_S = 5.0
_ROOM = 2
"""So many times what the last build used is kept at most."""


class Store:
    """Bytes by key; where the folder can't be written or the file is harmed, nothing is kept and nothing fails."""

    def __init__(self, path: Path | None) -> None:
        self._fresh: dict[str, bytes] = {}
        self._used: set[str] = set()
        self._base = _opened(path) if path else None

    def get(self, key: str) -> bytes | None:
        """What was kept under a key."""
        self._used.add(key)
        if key in self._fresh:
            return self._fresh[key]
        if self._base is None:
            return None
        try:
            row = self._base.execute("SELECT value FROM kept WHERE key = ?", (key,)).fetchone()
        except sqlite3.Error:
            return None
        return bytes(row[0]) if row else None

    def put(self, key: str, value: bytes) -> None:
        """Keep bytes under a key once the store is closed."""
        self._used.add(key)
        self._fresh[key] = value

    def close(self) -> None:
        """Write what is new; forget what wasn't used of late where that is more than what was."""
        fresh, self._fresh = self._fresh, {}
        if self._base is None:
            return
        with contextlib.suppress(sqlite3.Error), contextlib.closing(self._base) as base:
            with base:
                base.executemany("INSERT OR REPLACE INTO kept VALUES (?, ?)", fresh.items())
            (count,) = base.execute("SELECT count(*) FROM kept").fetchone()
            if count > _ROOM * len(self._used):
                keys = [key for (key,) in base.execute("SELECT key FROM kept") if key not in self._used]
                with base:
                    base.executemany("DELETE FROM kept WHERE key = ?", ((key,) for key in keys))
        self._base = None


def store_for(folder: Path, kind: Literal["judged", "read"]) -> Store:
    """The store of what was judged, or read, of a catalogue's folder."""
    name = hashlib.sha256(os.fsencode(os.path.realpath(folder))).hexdigest()[:20]
    return Store(cache_folder() / f"{name}.{kind}")


def _opened(path: Path) -> sqlite3.Connection | None:
    """A store that can be written; one that is harmed is begun anew."""
    for _ in range(2):
        base = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            base = sqlite3.connect(path, timeout=_WAIT_S)
            base.execute("PRAGMA journal_mode = WAL")
            base.execute("PRAGMA synchronous = NORMAL")
            base.execute(_TABLE)
            return base
        except sqlite3.DatabaseError as error:
            if base is not None:
                base.close()
            if isinstance(error, sqlite3.OperationalError):
                return None
            path.unlink(missing_ok=True)
        except OSError:
            return None
    return None
