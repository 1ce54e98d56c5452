"""Runs the same work on many things in several processes, of which any may die without taking the rest along."""

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from itertools import chain, islice
from multiprocessing import get_all_start_methods, get_context, parent_process
from multiprocessing.context import BaseContext
from threading import Thread
from typing import Protocol, TypeVar

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
    are done; `loads` names modules that the work needs beside its own. What the work raises is raised. Where no process
    can be started the work is done in this one after all.
    """
    results: dict[int, R] = {}

    def done(number: int, result: R) -> None:
        results[number] = result
        if progress:
            progress(len(results))

    numbered = enumerate(things)
    if processes <= 1 and not apart:
        for number, thing in numbered:
            done(number, work(thing))
    else:
        context = _context(work, loads)
        workers = min(max(processes, 1), _MOST_PROCESSES)
        while suspects := _run(work, numbered, done, context=context, processes=workers, ahead=_AHEAD):
            if not _any_starts(context):
                for number, thing in chain(suspects.items(), numbered):
                    done(number, work(thing))
                break
            one_by_one = iter(suspects.items())
            # Where only one is under way, it can only have killed the process itself.
            while killers := _run(work, one_by_one, done, context=context, processes=1, ahead=1):
                for number, thing in killers.items():
                    done(number, died(thing))
    return [results[number] for number in sorted(results)]


def _run(
    work: Callable[[T], R],
    numbered: Iterator[tuple[int, T]],
    done: Callable[[int, R], None],
    *,
    context: BaseContext,
    processes: int,
    ahead: int,
) -> dict[int, T]:
    """Work until nothing is left or a process dies; what was then under way comes back."""
    pending: dict[int, T] = {}
    futures: dict[Future[R], int] = {}
    with ProcessPoolExecutor(processes, mp_context=context, initializer=_end_with_parent) as pool:
        try:
            while True:
                for number, thing in islice(numbered, ahead * processes - len(futures)):
                    pending[number] = thing
                    futures[pool.submit(work, thing)] = number
                if not futures:
                    return {}
                for future in wait(futures, return_when=FIRST_COMPLETED).done:
                    done(futures[future], future.result())
                    del pending[futures.pop(future)]
        except BrokenProcessPool:
            return pending


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
    context.set_forkserver_preload([getattr(getattr(work, "func", work), "__module__", __name__), *loads])
    return context


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
