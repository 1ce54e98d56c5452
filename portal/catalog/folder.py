"""The catalogue's folder: what lies where, without junk, without links that lead out."""

import os
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from sys import intern

from portal.catalog.text import LARGEST
from portal.catalog.told import one_line, told
from portal.model.slug import natural, same_name
from portal.problem import Problem

_JUNK = re.compile(r"\..*|__MACOSX|thumbs\.db|desktop\.ini|~\$.*|.*\.tmp|.*\.part", re.IGNORECASE)
_CONFLICT = re.compile(r".*\.conflict-[^/]*")


@dataclass(frozen=True, slots=True)
class Entry:
    """A file or a folder of the catalogue, by its path within it."""

    path: str
    is_folder: bool

    @property
    def name(self) -> str:
        """Its own name."""
        return self.path.rpartition("/")[2]


@dataclass
class Folder:
    """Looks into the catalogue's folder and notes what it can't look at."""

    root: Path
    problems: list[Problem] = field(default_factory=list)
    refused: set[str] = field(default_factory=set)
    """Paths that are there and aren't read, each with its problem."""
    digests: dict[str, str] = field(default_factory=dict)
    """The SHA-256 of every file that was read."""
    _seen: dict[str, tuple[Entry, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._real = os.path.realpath(self.root)

    def note(self, path: str, message: str, hint: str | None = None) -> None:
        """Note a problem with a file as a whole."""
        self.problems.append(told(path, 0, (), message, hint))

    def refuse(self, path: str, message: str, hint: str | None = None) -> None:
        """Note a problem with something that isn't read."""
        self.refused.add(path)
        self.note(path, message, hint)

    def entries(self, path: str) -> tuple[Entry, ...]:
        """What lies in a folder, in natural order; nothing where there is no such folder."""
        if path not in self._seen:
            self._seen[path] = self._look(path)
        return self._seen[path]

    def _look(self, path: str) -> tuple[Entry, ...]:
        try:
            with os.scandir(self.root / path) as found:
                listed = [each for each in found if not _JUNK.fullmatch(each.name)]
        except FileNotFoundError:
            return ()
        except OSError as error:
            self.refuse(path or ".", f"can't be looked into: {_said(error)}")
            return ()
        within = f"{path}/" if path else ""
        usable = [entry for each in listed if (entry := self._usable(each, within + each.name))]
        self._note_alike(usable)
        return tuple(sorted(usable, key=lambda entry: natural(entry.name)))

    def folders(self, path: str) -> Iterator[Entry]:
        """The folders in a folder."""
        return (entry for entry in self.entries(path) if entry.is_folder)

    def files(self, path: str) -> Iterator[Entry]:
        """The files in a folder."""
        return (entry for entry in self.entries(path) if not entry.is_folder)

    def read(self, path: str) -> bytes | None:
        """The bytes of a file, or None with a problem noted."""
        try:
            with (self.root / path).open("rb") as file:
                content = file.read(LARGEST + 1)
        except OSError as error:
            self.refuse(path, f"can't be read: {_said(error)}")
            return None
        self.digests[path] = sha256(content).hexdigest()
        return content

    def is_inside(self, path: str) -> bool:
        """Whether a path, all its links followed, stays in the catalogue's folder."""
        real = os.path.realpath(self.root / path)
        return real == self._real or real.startswith(self._real + os.sep)

    def _usable(self, found: "os.DirEntry[str]", path: str) -> Entry | None:
        try:
            path.encode()
        except UnicodeEncodeError:
            shown = path.encode("utf-8", "backslashreplace").decode()
            self.refuse(shown, "the name isn't UTF-8", "rename it")
            return None
        if any(ord(letter) < 32 for letter in found.name):
            self.refuse(one_line(path), "the name has a line end or another control character", "rename it")
            return None
        try:
            is_folder, is_file, is_link = found.is_dir(), found.is_file(), found.is_symlink()
        except OSError as error:
            self.refuse(path, f"can't be read: {_said(error)}")
            return None
        if (is_link or is_folder) and not self.is_inside(path):
            self.refuse(path, "a link that leads out of the catalogue's folder", "put the file itself here")
        elif is_folder or is_file:
            if not is_folder and _CONFLICT.fullmatch(found.name):
                hint = "take over what is needed, then delete this file"
                self.refuse(path, "two people changed the same file; this is what the second one wrote", hint)
            else:
                return Entry(intern(path), is_folder)
        else:
            self.refuse(path, "a link that leads nowhere" if is_link else "no regular file")
        return None

    def _note_alike(self, entries: list[Entry]) -> None:
        alike = defaultdict(list)
        for entry in entries:
            alike[same_name(entry.name)].append(entry)
        for group in alike.values():
            for entry in group if len(group) > 1 else ():
                other = next(each for each in group if each is not entry)
                self.note(entry.path, f"`{other.name}` beside it is the same name on Windows and macOS", "rename one")


def composed(name: str) -> str:
    """A name in NFC, as macOS and the others may write it differently."""
    return unicodedata.normalize("NFC", name)


def _said(error: OSError) -> str:
    return (error.strerror or "the system refuses it").lower()
