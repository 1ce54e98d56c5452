"""Looks into the folders of the trials at which somebody works, as soon as the system tells of a change, or in turn.

A network share tells of no change that another machine made. So it is glanced at, several times a second, whether
something came into the folders or went, which their own times tell; and all their files are looked at every few seconds
as well, for those that were written in place. Where that finds what nobody told of, it is done as often as it takes
little of the processor.
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
GLANCE_S, WAITING_S, BURST = 0.2, 0.2, 8
"""How often it is glanced at; how often a folder is looked into in which pictures are still being written; and of how
many on they are a burst, of which some more may come first."""
RESTS, MOST_REST_S = 60, 10.0
"""After a look, as many times as long on the processor as it took, so that it never takes more than its share of it."""
FORGOTTEN_S = 60.0
"""A trial that no page asked about for so long isn't watched."""


class Watch(FileSystemEventHandler):
    """Keeps a bench true to its folder while it runs."""

    def __init__(self, bench: Bench, *, poll: bool = False) -> None:
        self.bench = bench
        self.polls = poll
        self._told = Event()
        self._ends = Event()
        self._rest_s = 0.0
        self._folders: dict[str, int] = {}

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
            told = self._wait()
            if told:
                time.sleep(AFTER_S)  # a burst of pictures is one look
            self._told.clear()
            waited = self.bench.is_waiting()
            found = self.look() or self.bench.is_waiting()
            if found and not told and not waited:
                self.polls = self.polls or not self._told.wait(AFTER_S)  # it may be told a moment later

    def _wait(self) -> bool:
        """Until something is told or a glance shows it, or it is time to look in any case; whether it was told."""
        rest = max(self._rest_s, QUICK_S if self.polls else SLOW_S)
        waiting = self.bench.waiting()
        ends = time.monotonic() + (rest if not waiting else WAITING_S if waiting < BURST else QUICK_S)
        while (left := ends - time.monotonic()) > 0:
            if self._told.wait(min(left, GLANCE_S)):
                return True
            if not waiting and self._glance() != self._folders:
                return False
        return self._told.is_set()

    def _glance(self) -> dict[str, int]:
        """When something last came into the folders of the trials at which somebody works, or went."""
        asked = self.bench.asked_about(within_s=FORGOTTEN_S)
        homes = [self.bench.folder / "moulds" / mould / "trials" / trial for mould, trial in asked]
        found = {}
        for folder in (home / name for home in homes for name in ("images", "tags", "looked")):
            with contextlib.suppress(OSError):
                found[str(folder)] = folder.stat().st_mtime_ns
        return found

    def look(self) -> bool:
        """Look into the folders now; whether something changed."""
        self._folders, begun = self._glance(), time.thread_time()  # before it looks: what comes meanwhile is seen next
        try:
            return self._look()
        finally:
            self._rest_s = min(RESTS * (time.thread_time() - begun), MOST_REST_S)

    def _look(self) -> bool:
        changed = False
        with contextlib.suppress(OSError):
            changed = self.bench.reread()
        for mould, trial in self.bench.asked_about(within_s=FORGOTTEN_S):
            with contextlib.suppress(OSError):
                changed = self.bench.refresh(mould, trial) or changed
        return changed
