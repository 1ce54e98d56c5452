"""One build at a time in a site's folder: two would take each other's half-written files away, and mix their pages.

The folder itself is held, so that no file tells of it and nothing is left when a build is killed. Another machine that
writes to the same share isn't always told of it, and where the system can't hold a folder (Windows) nobody is.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from portal.problem import PortalError


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Within it no other build writes that folder, which is made for it; refused where one does."""
    if sys.platform == "win32" or (folder.exists() and not folder.is_dir()):
        yield
        return
    new = [each for each in (folder, *folder.parents) if not each.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        _hold(handle, folder)
        yield
    finally:
        os.close(handle)
        with suppress(OSError):  # something was written
            for each in new:
                each.rmdir()


def _hold(handle: int, folder: Path) -> None:
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise PortalError(f"another build is writing {folder}", hint="wait until it ended, then build again") from None
    except OSError:  # a share that knows no such thing
        return
