"""Looks into the folders of the trials at which somebody works, as soon as the system tells of a change, or in turn.

A network share tells of no change that another machine made. So it is glanced at, ten times a second, whether
something came into the folders or went, which their own times tell; and all their files are looked at every few seconds
as well, for those that were written in place. Where that finds what nobody told of, it is done as often as it takes
little of the processor.
"""

import contextlib
import time
from collections.abc import Iterator
from pathlib import Path
from threading import Event, Thread

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

from portal.bench.fresh import fresh_stamp
from portal.bench.state import Bench

QUICK_S, SLOW_S, AFTER_S = 0.4, 3.0, 0.1
"""How often a folder is looked into where nothing is told, and to be sure; and how long a burst is waited for."""
GLANCE_S, WAITING_S, AGAIN_S, BURST, BURST_S = 0.1, 0.2, 0.4, 8, 0.6
"""How often it is glanced at; how often at most a folder is looked into in which pictures are still being written, and
how often where one was left alone before its end; and of how many on they are a burst, which is looked into less often,
since more of it may come first."""
RESTS, MOST_REST_S = 100, 10.0
"""After a look, as many times as long on the processor as it took, so that it never takes more than its share of it."""
COARSE_S = 2.5
"""Where times of change are whole seconds, or every other, one may stay the same for so long though more comes."""
_IMAGES = "images"
_SECOND = 1_000_000_000
FORGOTTEN_S = 60.0
"""A trial that no page asked about for so long isn't watched."""


class Watch(FileSystemEventHandler):
    """Keeps a bench true to its folder while it runs."""

    def __init__(self, bench: Bench, *, poll: bool = False) -> None:
        self.bench = bench
        self.polls = poll
        self._told = Event()
        self._ends = Event()
        self._due = 0.0
        self._folders: dict[str, int] = {}
        self._coarse: dict[str, tuple[int, float]] = {}

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
                time.sleep(BURST_S if self.bench.waiting() >= BURST else AFTER_S)  # a burst of pictures is one look
            self._told.clear()
            waited = self.bench.is_waiting()
            found = self.look(whole=told or self._is_due()) or self.bench.is_waiting()
            if found and not told and not waited:
                self.polls = self.polls or not self._told.wait(AFTER_S)  # it may be told a moment later

    def _wait(self) -> bool:
        """Until something is told or a glance shows it, or it is time to look in any case; whether it was told."""
        begun = time.monotonic()
        while True:
            waiting = self.bench.waiting()
            left = self._next_look(begun, waiting) - time.monotonic()
            if left <= 0:
                return self._told.is_set()
            if self._told.wait(min(left, GLANCE_S)):
                return True
            is_soon = waiting > 0 and time.monotonic() < begun + WAITING_S
            if waiting < BURST and not is_soon and self._glance() != self._folders:
                return False

    def _next_look(self, begun: float, waiting: int) -> float:
        """When, by the monotonic clock, the folder is to be looked into, unless something else comes before.

        While a few pictures are being written, as soon as the first may be whole: until then they alone are looked at.
        One that was left alone and isn't whole for all that is looked at again and again.
        """
        if not waiting:
            return self._due
        if waiting >= BURST:
            return begun + BURST_S
        calm = self.bench.calm_at()
        looks = [each if each > begun else begun + AGAIN_S for each in calm]
        return min([*looks, begun + WAITING_S] if len(calm) < waiting else looks)  # fewer: a record is being written

    def _glance(self) -> dict[str, int]:
        """When something last came into the folders of the trials at which somebody works, or went."""
        asked = self.bench.asked_about(within_s=FORGOTTEN_S)
        homes = [self.bench.folder / "moulds" / mould / "trials" / trial for mould, trial in asked]
        found = {}
        for folder in (home / name for home in homes for name in (_IMAGES, "tags", "looked")):
            if (stamp := fresh_stamp(folder)) is not None:
                found[str(folder)] = self._changed(str(folder), stamp[1])
        return found

    def _changed(self, folder: str, at: int) -> int:
        """When a folder changed, in nanoseconds; while that may be so of two changes, with how many files are in it."""
        if at % _SECOND:
            return at
        now = time.monotonic()
        known, since = self._coarse.get(folder, (None, now))
        self._coarse[folder] = (at, since if known == at else now)
        if known == at and now - since > COARSE_S:
            return at
        with contextlib.suppress(OSError):
            return at + sum(1 for _ in Path(folder).iterdir())
        return at

    def _is_due(self) -> bool:
        return time.monotonic() >= self._due

    def look(self, *, whole: bool = True) -> bool:
        """Look into the folders now; whether something changed.

        Not as a whole: files of tags that are known aren't looked at, as long as nothing came beside them.
        """
        before, self._folders = self._folders, self._glance()  # before it looks: what comes meanwhile is seen next
        whole = whole or any(before.get(each) != at for each, at in self._folders.items() if not each.endswith(_IMAGES))
        begun = time.thread_time()
        try:
            return self._look(whole)
        finally:
            took = time.thread_time() - begun
            if whole:
                rest = max(min(RESTS * took, MOST_REST_S), QUICK_S if self.polls else SLOW_S)
                self._due = time.monotonic() + rest

    def _look(self, whole: bool) -> bool:
        changed = False
        with contextlib.suppress(OSError):
            changed = whole and self.bench.reread()
        for mould, trial in self.bench.asked_about(within_s=FORGOTTEN_S):
            with contextlib.suppress(OSError):
                changed = self.bench.refresh(mould, trial, whole=whole) or changed
        return changed
