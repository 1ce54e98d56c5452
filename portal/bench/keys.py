"""One key for each choice: characters that come up in its name, no key twice."""

from collections.abc import Iterable

RESERVED = frozenset("npkumvxqtfj")
"""Keys that do something else on the page."""
_ALL = "abcdefghijklmopqrstvwxyz"


def letters(names: Iterable[str], *, taken: Iterable[str] = ()) -> dict[str, str]:
    """A letter for each name, the first of its own that is free, else any; none where all are used up."""
    used = {*RESERVED, *taken}
    found: dict[str, str] = {}
    for name in names:
        own = [each for each in name.lower() if each.isascii() and each.isalpha()]
        free = next((each for each in (*own, *_ALL) if each not in used), "")
        used.add(free)
        found[name] = free
    return found


def digits(count: int) -> list[str]:
    """1 to 9 for as many as there are; the rest has none."""
    return [str(place + 1) if place < 9 else "" for place in range(count)]
