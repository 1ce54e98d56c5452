"""Facts of many pictures at once."""

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from portal.model.picture import Facts
from portal.pictures.facts import facts_by_header
from portal.pictures.header import MEGAPIXELS

Progress = Callable[[int], None]


def facts_many(
    paths: Iterable[Path],
    *,
    threads: int,
    megapixels: float = MEGAPIXELS,
    ranges: bool = True,
    progress: Progress | None = None,
) -> list[Facts]:
    """What `read_facts` gives for each path, in their order; each thread holds one file at a time.

    What only a decoder reads is looked at in another process afterwards, which a crafted file may bring down.
    """
    paths = tuple(paths)
    found: list[Facts | None] = []
    told = 0
    with ThreadPoolExecutor(max(threads, 1)) as pool:
        for facts in pool.map(partial(facts_by_header, megapixels=megapixels, ranges=ranges), paths):
            found.append(facts)
            told += facts is not None
            if progress and facts is not None:
                progress(told)
    if None not in found:
        return [facts for facts in found if facts is not None]
    from portal.pictures.apart import facts_apart

    apart = [path for path, facts in zip(paths, found, strict=True) if facts is None]
    left = iter(facts_apart(apart, megapixels=megapixels, processes=max(1, threads // 2)))
    if progress:
        progress(len(found))
    return [next(left) if facts is None else facts for facts in found]
