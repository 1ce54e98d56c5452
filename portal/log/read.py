"""A part's log from its folder: every event that can be trusted, and every file that can't."""

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from portal.log.files import TEMPORARY
from portal.log.form import LARGEST, NotCanonical, at_of, hash_of, loads, loads_canonical
from portal.log.order import heads, in_order
from portal.model.event import Event, Logged, NotAnEvent, event_from, what_is_wrong
from portal.problem import Problem

_AT_ONCE = 65_536


@dataclass
class Log:
    """A part's log, open for appending: what was read of it, what is wrong in its folder."""

    root: Path
    """The catalogue's folder."""
    part: str
    events: list[Logged] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    heads: tuple[str, ...] = ()
    """Hashes, sorted, of the events that none of those read names."""

    @cached_property
    def folder(self) -> Path:
        """Where its files lie."""
        return log_folder(self.root, self.part)

    def add(self, logged: Logged) -> None:
        """Take up an event that was just written after all that was read."""
        self.events.append(logged)
        self.heads = tuple(sorted({*self.heads, logged.hash} - set(logged.event.after)))


def log_folder(root: Path, part: str) -> Path:
    """The folder of a part's log."""
    return root / "parts" / part / "log"


def parts_with_log(root: Path) -> tuple[str, ...]:
    """The parts that have a log, by name."""
    try:
        with os.scandir(root / "parts") as found:
            return tuple(sorted(each.name for each in found if (Path(each.path) / "log").exists()))
    except (FileNotFoundError, NotADirectoryError):
        return ()


def read(root: Path, part: str, *, strictly: bool = False) -> Log:
    """Read a part's log, in order; an event whose bytes aren't those of its name is a problem and not read.

    Strictly also asks whether each file is exactly in the form of RFC 8785.
    """
    log = Log(root, part)
    found: list[Logged] = []
    for name in _names(log):
        logged = read_one(log, name, strictly=strictly)
        if logged is not None:
            found.append(logged)
    log.events = list(in_order(found))
    log.heads = heads(found)
    return log


def _names(log: Log) -> Iterator[str]:
    """The names of files that may be events; of anything else a problem."""
    try:
        with os.scandir(log.folder) as entries:
            listed = sorted(entries, key=lambda entry: entry.name)
    except FileNotFoundError:
        return
    except NotADirectoryError:
        hint = "move it elsewhere; a log is a folder with one file for each event"
        log.problems.append(Problem(f"parts/{log.part}/log", 0, "", "can't be looked into: not a directory", hint))
        return
    for entry in listed:
        if entry.is_symlink() or not entry.is_file(follow_symlinks=False):
            _note(log, entry.name, "no event: a log's folder holds files only", hint="move it elsewhere")
        elif at_of(entry.name) is not None:
            yield entry.name
        elif entry.name.startswith(".") and entry.name.endswith(TEMPORARY):
            hint = "delete it, unless somebody is writing just now"
            _note(log, entry.name, "left over from a write that was cut off", hint=hint, warning=True)
        else:
            hint = "move it elsewhere, or give it its name back"
            _note(log, entry.name, "foreign: not the name of an event", hint=hint)


def _note(log: Log, name: str, message: str, *, hint: str | None = None, warning: bool = False) -> None:
    shown = name.encode("utf-8", "backslashreplace").decode()
    log.problems.append(Problem(f"parts/{log.part}/log/{shown}", 0, "", message, hint, warning))


def read_one(log: Log, name: str, *, strictly: bool) -> Logged | None:
    """One event by its file's name; None with a problem noted where its bytes can't be trusted."""
    told = at_of(name)
    content = _bytes(log, name)
    if told is None or content is None:
        return None
    at, hash_ = told
    if (found := hash_of(content)) != hash_:
        hint = f"its bytes have the SHA-256 {found}; put the file back from a copy"
        _note(log, name, "changed since it was written, or renamed: not the bytes that its name tells", hint=hint)
        return None
    event = _event(log, name, content, strictly=strictly)
    if event is None:
        return None
    if event.at != at:
        _note(log, name, f"renamed: it was written at {event.at}", hint="give it its name back")
        return None
    if event.part != log.part:
        hint = f"move it to parts/{event.part}/log"
        _note(log, name, f"belongs to another part: `{event.part}`", hint=hint)
        return None
    return Logged(hash_, event)


def _bytes(log: Log, name: str) -> bytes | None:
    try:
        handle = os.open(log.folder / name, os.O_RDONLY | getattr(os, "O_BINARY", 0))
        try:
            content = os.read(handle, _AT_ONCE)
            while len(content) <= LARGEST and (more := os.read(handle, _AT_ONCE)):
                content += more
        finally:
            os.close(handle)
    except OSError as error:
        _note(log, name, f"can't be read: {(error.strerror or 'the system refuses it').lower()}")
        return None
    if len(content) > LARGEST:
        _note(log, name, f"more than {LARGEST:,} bytes: no event")
        return None
    return content


def _event(log: Log, name: str, content: bytes, *, strictly: bool) -> Event | None:
    try:
        data: Any = loads_canonical(content) if strictly else loads(content)
        event = event_from(data)
    except (NotCanonical, NotAnEvent) as error:
        _note(log, name, str(error))
        return None
    except ValueError as error:
        _note(log, name, f"not JSON: {error}")
        return None
    if wrong := what_is_wrong(event):
        _note(log, name, f"kept, but not understood: {wrong}", hint="a newer version may have written it", warning=True)
    return event
