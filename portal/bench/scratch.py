"""The folder in which a bench keeps derived pictures while it runs; what benches that ended abruptly left is cleared.

Whether one still runs is told by a lock on a file in its folder: the system lets go of it as the process ends, however
that ends, and a process of the same number never holds it. Only folders of the same user are looked at, and no link is
followed, since everybody may write where temporary files lie.
"""

import contextlib
import os
import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PREFIX, MARK = "portal-bench-", ".alive"


@contextmanager
def scratch_folder(top: Path | None = None) -> Iterator[Path]:
    """A folder of one's own while the block runs, after what was left there was cleared."""
    within = top or Path(tempfile.gettempdir())
    clear_left(within)
    with contextlib.ExitStack() as held:
        yield _marked(within, held)


def clear_left(top: Path) -> None:
    """Take away the folders of benches that no longer run, as far as the system lets us."""
    for folder in top.glob(f"{PREFIX}*"):
        with contextlib.suppress(OSError):
            if _is_ours(folder):
                _clear(folder)


def _marked(within: Path, held: contextlib.ExitStack) -> Path:
    """A new folder with its mark; another one where somebody cleared it before it was marked."""
    for _ in range(10):
        name = tempfile.TemporaryDirectory(prefix=PREFIX, dir=within, ignore_cleanup_errors=True)
        folder = Path(held.enter_context(name))
        with contextlib.suppress(OSError):
            mark = os.open(folder / MARK, os.O_CREAT | os.O_RDWR, 0o600)
            held.callback(os.close, mark)
            if _lock(mark) and os.path.samestat(os.fstat(mark), (folder / MARK).stat()):
                break
    return folder


def _is_ours(folder: Path) -> bool:
    """Whether it is a folder, no link to one, of the user who runs this."""
    own = folder.lstat()
    return stat.S_ISDIR(own.st_mode) and (sys.platform == "win32" or own.st_uid == os.getuid())


def _clear(folder: Path) -> None:
    """Take it away unless its mark is held, or it has none."""
    mark = os.open(folder / MARK, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0))
    try:
        if not _lock(mark):
            return
        for each in folder.iterdir():
            if each.name != MARK:
                _remove(each)
    finally:
        os.close(mark)
    shutil.rmtree(folder)


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink()


if sys.platform == "win32":
    import msvcrt

    def _lock(file: int) -> bool:
        """Hold a file; whether nobody else did."""
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _lock(file: int) -> bool:
        """Hold a file; whether nobody else did."""
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True
