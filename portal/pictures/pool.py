"""Runs the same work on many things in several processes, of which any may die without taking the rest along."""

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass
from itertools import chain, islice
from multiprocessing import get_all_start_methods, get_context, parent_process
from multiprocessing.context import BaseContext
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Thread
from typing import Generic, Protocol, TypeVar

from portal.pictures.bounds import marked, took_too_long

T = TypeVar("T")
R = TypeVar("R")


class Joined(Protocol):
    """A process of which the end can be waited for."""

    def join(self, timeout: float | None = None) -> None:
        """Wait until it ended."""


_MOST_PROCESSES = 61
"""What Windows can wait for at once."""

_AHEAD = 2
"""Things handed out for each process: one at work, one waiting, so that memory doesn't grow with their number."""


def run_all(
    work: Callable[[T], R],
    things: Iterable[T],
    *,
    processes: int,
    died: Callable[[T], R],
    progress: Callable[[int], None] | None = None,
    apart: bool = False,
    loads: Sequence[str] = (),
) -> list[R]:
    """The results of the work in the order of the things; `died` gives the result of a thing that killed its process.

    With one process the work is done in this one, unless it has to be `apart` from it. `progress` is told how many
    are done; `loads` names modules that the work needs beside its own. What the work raises is raised. A thing that
    took longer than `bounds.bounded` allows isn't tried again. Where no process can be started the work is done in this
    one after all.
    """
    results: dict[int, R] = {}

    def done(number: int, result: R) -> None:
        results[number] = result
        if progress:
            progress(len(results))

    run_each(work, things, processes=processes, died=died, done=done, apart=apart, loads=loads)
    return [results[number] for number in sorted(results)]


def run_each(
    work: Callable[[T], R],
    things: Iterable[T],
    *,
    processes: int,
    died: Callable[[T], R],
    done: Callable[[int, R], None],
    apart: bool = False,
    loads: Sequence[str] = (),
) -> None:
    """The same; each result is given away as it comes, with the number of its thing, and none is held."""
    numbered: Iterator[tuple[int, T]] = enumerate(things)
    if processes <= 1 and not apart:
        for number, thing in numbered:
            done(number, work(thing))
    else:
        with TemporaryDirectory(prefix="portal-") as marks:
            apart_from_it = _Apart(work, died, done, _context(work, loads), Path(marks))
            apart_from_it.all(numbered, processes=min(max(processes, 1), _MOST_PROCESSES))


@dataclass(frozen=True)
class _Apart(Generic[T, R]):
    """The same work in other processes."""

    work: Callable[[T], R]
    died: Callable[[T], R]
    done: Callable[[int, R], None]
    context: BaseContext
    marks: Path
    """The folder in which is told of what a process ended since its time was over."""

    def all(self, numbered: Iterator[tuple[int, T]], *, processes: int) -> None:
        """Work until all is done, whatever dies of it."""
        while suspects := self._run(numbered, processes=processes, ahead=_AHEAD):
            if not _any_starts(self.context):
                for number, thing in chain(suspects.items(), numbered):
                    self.done(number, self.work(thing))
                return
            late = [number for number in suspects if took_too_long(self.marks / str(number))]
            for number in late:
                self.done(number, self.died(suspects.pop(number)))
            if late:  # the others ended with it
                numbered = chain(suspects.items(), numbered)
            else:
                self._one_by_one(suspects)

    def _one_by_one(self, suspects: dict[int, T]) -> None:
        """Where only one is under way, it can only have killed the process itself."""
        numbered = iter(suspects.items())
        while killers := self._run(numbered, processes=1, ahead=1):
            for number, thing in killers.items():
                self.done(number, self.died(thing))

    def _run(self, numbered: Iterator[tuple[int, T]], *, processes: int, ahead: int) -> dict[int, T]:
        """Work until nothing is left or a process dies; what was then under way comes back."""
        pending: dict[int, T] = {}
        futures: dict[Future[R], int] = {}
        with ProcessPoolExecutor(processes, mp_context=self.context, initializer=_end_with_parent) as pool:
            try:
                while True:
                    for number, thing in islice(numbered, ahead * processes - len(futures)):
                        pending[number] = thing
                        futures[pool.submit(_do, self.work, thing, self.marks / str(number))] = number
                    if not futures:
                        return {}
                    for future in wait(futures, return_when=FIRST_COMPLETED).done:
                        self.done(futures[future], future.result())
                        del pending[futures.pop(future)]
            except BrokenProcessPool:
                return pending


def _do(work: Callable[[T], R], thing: T, mark: Path) -> R:
    with marked(mark):
        return work(thing)


def start_soon(work: Callable[[T], R], *, loads: Sequence[str] = ()) -> None:
    """Start what processes for this work are forked from, which loads what it needs beside whatever comes till then."""
    if _context(work, loads).get_start_method() == "forkserver":
        from multiprocessing.forkserver import ensure_running

        with suppress(OSError):  # who needs one tells
            ensure_running()


def _any_starts(context: BaseContext) -> bool:
    """Whether a process can be started from this program at all: not from one that was read from standard input."""
    with ProcessPoolExecutor(1, mp_context=context) as pool:
        try:
            pool.submit(abs, 0).result()
        except BrokenProcessPool:
            return False
    return True


def _context(work: object, loads: Sequence[str]) -> BaseContext:
    """Fresh processes: forked from one that has loaded the work and has no threads, else, as on Windows, spawned."""
    if "forkserver" not in get_all_start_methods():
        return get_context("spawn")
    context = get_context("forkserver")
    context.set_forkserver_preload([getattr(getattr(work, "func", work), "__module__", __name__), *loads, *_program()])
    return context


def _program() -> set[str]:
    """The modules of ours that the program which was started names.

    Each process runs that program again before its first work, and has to find loaded what it loads; itself not, as one
    that was started as a module would be run though it is there, of which the system warns.
    """
    named = {getattr(each, "__module__", None) for each in vars(sys.modules["__main__"]).values()}
    ours = f"{__name__.partition('.')[0]}."
    return {name for name in named if isinstance(name, str) and name.startswith(ours)}


def _end_with_parent() -> None:
    """Have this working process end when the one that started it does, however that ended.

    It waits for its next thing on a pipe of which it holds both ends, so that it would wait for ever.
    """
    parent = parent_process()
    if parent is not None:
        Thread(target=_wait_and_end, args=(parent,), daemon=True).start()


def _wait_and_end(parent: Joined) -> None:
    parent.join()
    os._exit(1)
