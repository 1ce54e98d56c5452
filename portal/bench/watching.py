"""Looks into the folders of the trials at which somebody works, as soon as the system tells of a change, or in turn.

A network share tells of no change that another machine made. So the folders are looked into every few seconds as well,
and where that finds what nobody told of, it is done all the time.
"""

import contextlib
import time
from collections.abc import Iterator
from threading import Event, Thread

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

from portal.bench.state import Bench

QUICK_S, SLOW_S, AFTER_S = 0.4, 3.0, 0.1
"""How often a folder is looked into where nothing is told, and to be sure; and how long a burst is waited for."""
FORGOTTEN_S = 60.0
"""A trial that no page asked about for so long isn't watched."""


class Watch(FileSystemEventHandler):
    """Keeps a bench true to its folder while it runs."""

    def __init__(self, bench: Bench, *, poll: bool = False) -> None:
        self.bench = bench
        self.polls = poll
        self._told = Event()
        self._ends = Event()

    def on_any_event(self, event: FileSystemEvent) -> None:
        """Something changed; reading a file is no change."""
        if event.event_type not in {"opened", "closed_no_write"}:
            self._told.set()

    @contextlib.contextmanager
    def running(self) -> Iterator["Watch"]:
        """Watch until the block ends."""
        observer = Observer()
        if not self.polls:
            try:
                observer.schedule(self, str(self.bench.folder), recursive=True)
                observer.start()
            except OSError:  # no more watches to be had, or no such folder
                self.polls = True
        thread = Thread(target=self._run, daemon=True)
        thread.start()
        try:
            yield self
        finally:
            self._ends.set()
            self._told.set()
            thread.join(timeout=5)
            if observer.is_alive():
                observer.stop()
                observer.join(timeout=5)

    def _run(self) -> None:
        while not self._ends.is_set():
            told = self._told.wait(QUICK_S if self.polls or self.bench.is_waiting() else SLOW_S)
            if told:
                time.sleep(AFTER_S)  # a burst of pictures is one look
            self._told.clear()
            waited = self.bench.is_waiting()
            found = self.look() or self.bench.is_waiting()
            if found and not told and not waited:
                self.polls = self.polls or not self._told.wait(AFTER_S)  # it may be told a moment later

    def look(self) -> bool:
        """Look into the folders now; whether something changed."""
        changed = False
        with contextlib.suppress(OSError):
            changed = self.bench.reread()
        for mould, trial in self.bench.asked_about(within_s=FORGOTTEN_S):
            with contextlib.suppress(OSError):
                changed = self.bench.refresh(mould, trial) or changed
        return changed
