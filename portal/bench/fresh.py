"""The stamp of a file as the share has it now, not as this machine noted it some seconds ago.

A share's files are asked for over a network, so a machine keeps for a while what it was told: FUSE one second
(mount.fuse3(8)); from memory, Linux's SMB one, its NFS 3 of a file, 30 of a folder (mount.cifs(8), nfs(5)). A picture
that is still being written looks finished for so long, and a new one isn't seen. On Linux the question can be put so
that it goes over the network (`AT_STATX_FORCE_SYNC` of statx(2)); elsewhere what the system says has to do.
"""

import ctypes
import os
import struct
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

from portal.tasks.inputs import Stamp, stamp_of

_HERE, _FORCE_SYNC, _WANTED = -100, 0x2000, 0x40 | 0x200
"""A path is taken from the working folder; the share is asked; for time of change and size (linux/stat.h, fcntl.h)."""
_LAYOUT = struct.Struct("=I36xQ64xqI")
"""Of `struct statx`: which fields it has, at byte 40 the size, at 112 the time of change in seconds and nanoseconds."""
_BYTES = 256


def fresh_stamp(path: Path) -> Stamp | None:
    """The stamp of a file or folder; None where it isn't there."""
    ask = _asker()
    if ask is None:
        return stamp_of(path)
    found = ctypes.create_string_buffer(_BYTES)
    if ask(_HERE, os.fsencode(path), _FORCE_SYNC, _WANTED, found) != 0:
        return stamp_of(path)  # not there; or a system that doesn't know the question
    has, size, seconds, nanoseconds = _LAYOUT.unpack_from(found)
    if has & _WANTED != _WANTED:
        return stamp_of(path)
    return size, seconds * 1_000_000_000 + nanoseconds


@cache
def _asker() -> Callable[..., int] | None:
    if not sys.platform.startswith("linux"):
        return None
    try:
        found: Callable[..., int] = ctypes.CDLL(None).statx
    except (OSError, AttributeError):  # an older or smaller library
        return None
    return found
