"""Which files a build depends on, told by path, size and time of change; imports nothing heavy.

A build that finds all of them as they were can stop before any record, template or picture is loaded.
"""

import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from sys import intern

from portal.tasks.lines import Places

Stamp = tuple[int, int]
"""Size in bytes and time of last change in nanoseconds."""
NO_STAMP: Stamp = (-1, 0)
"""That of a file that isn't there."""

_NO_PROGRAM = (".pyc", ".jpg")
CATALOGUE_FOLDERS = ("defects", "standards", "scopes", "limit-samples", "customers", "parts", "moulds")
"""The folders of a catalogue that are read; others at the top are ignored."""


def stamps(folder: Path) -> dict[str, Stamp]:
    """The stamp of every file that a catalogue's build may read, by path within the folder."""
    found: dict[str, Stamp] = {}
    top = folder / "catalog.yaml"
    if top.is_file():
        found["catalog.yaml"] = _stamp(top.stat())
    for name in CATALOGUE_FOLDERS:
        found.update(_walk(folder / name, prefix=f"{name}/"))
    return found


def program_stamps(*folders: Path) -> dict[str, Stamp]:
    """The stamps of the program's own files and templates, so that a changed template rebuilds every page."""
    return {
        f"{folder.name}/{path}": stamp
        for folder in folders
        for path, stamp in _walk(folder, prefix="")
        if not path.endswith(_NO_PROGRAM)
    }


def program_files(*folders: Path) -> tuple[tuple[str, Path], ...]:
    """The same files, each with where it lies, in a settled order."""
    return tuple(
        (f"{folder.name}/{path}", folder / path)
        for folder in folders
        for path in sorted(path for path, _ in _walk(folder, prefix=""))
        if not path.endswith(_NO_PROGRAM)
    )


def _walk(folder: Path, *, prefix: str) -> Iterator[tuple[str, Stamp]]:
    try:
        entries = list(os.scandir(folder))
    except OSError:
        return
    for entry in entries:
        if entry.is_dir(follow_symlinks=False):
            yield from _walk(Path(entry.path), prefix=f"{prefix}{entry.name}/")
        else:
            path = intern(prefix + entry.name)  # told of again by the last build, and looked at twice
            try:
                yield path, _stamp(entry.stat())
            except OSError:
                yield path, NO_STAMP


def stamp_of(path: Path) -> Stamp | None:
    """The stamp of one file; None where it isn't there."""
    try:
        return _stamp(path.stat())
    except OSError:
        return None


def _stamp(stat: os.stat_result) -> Stamp:
    return stat.st_size, stat.st_mtime_ns


class Sizes:
    """The files of a folder with their sizes in bytes, as they were: of thousands a few bytes are held for each."""

    def __init__(self, folder: Path) -> None:
        self._sizes = Places()
        with suppress(OSError), os.scandir(folder) as entries:
            for each in entries:
                if each.is_file():
                    self._sizes.add(each.name, each.stat().st_size, 0)

    def get(self, name: str) -> int | None:
        """How large a file was; None where it wasn't there."""
        return next((size for size, _ in self._sizes.of(name)), None)
