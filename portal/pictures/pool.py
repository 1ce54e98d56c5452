"""Runs the same work on many things in several processes, of which any may die without taking the rest along."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from multiprocessing import get_context
from typing import TypeVar

T = TypeVar("T")
R = TypeVar("R")

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
) -> list[R]:
    """The results of the work in the order of the things; `died` gives the result of a thing that killed its process.

    With one process the work is done in this one. `progress` is told how many are done. What the work raises is raised.
    """
    results: dict[int, R] = {}

    def done(number: int, result: R) -> None:
        results[number] = result
        if progress:
            progress(len(results))

    numbered = enumerate(things)
    if processes <= 1:
        for number, thing in numbered:
            done(number, work(thing))
    else:
        while suspects := _run(work, numbered, min(processes, _MOST_PROCESSES), done):
            for number, thing in suspects.items():
                # Alone in a process of its own, a thing that dies can only have killed itself.
                if _run(work, iter([(number, thing)]), 1, done):
                    done(number, died(thing))
    return [results[number] for number in sorted(results)]


def _run(
    work: Callable[[T], R], numbered: Iterator[tuple[int, T]], processes: int, done: Callable[[int, R], None]
) -> dict[int, T]:
    """Work until nothing is left or a process dies; what was then under way comes back."""
    pending: dict[int, T] = {}
    futures: dict[Future[R], int] = {}
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        try:
            while True:
                for number, thing in islice(numbered, _AHEAD * processes - len(futures)):
                    pending[number] = thing
                    futures[pool.submit(work, thing)] = number
                if not futures:
                    return {}
                for future in wait(futures, return_when=FIRST_COMPLETED).done:
                    done(futures[future], future.result())
                    del pending[futures.pop(future)]
        except BrokenProcessPool:
            return pending
