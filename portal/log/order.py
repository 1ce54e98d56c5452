"""The order of events: what is reached through `after` comes before; the rest is listed by time and hash."""

import heapq
from collections.abc import Iterable, Mapping, Sequence

from portal.model.event import Logged


def in_order(events: Iterable[Logged]) -> tuple[Logged, ...]:
    """All events, each behind those that it names in `after`; ties by time, then hash."""
    listed = sorted(events, key=lambda each: each.order)
    return tuple(listed) if _is_in_order(listed) else _sorted_by_links(listed)


def _is_in_order(listed: Sequence[Logged]) -> bool:
    """Whether clocks agree with the links; then the list by time is the order."""
    there = {each.hash for each in listed}
    seen: set[str] = set()
    for each in listed:
        for earlier in each.event.after:
            if earlier not in seen and earlier in there:
                return False
        seen.add(each.hash)
    return True


def _sorted_by_links(listed: Sequence[Logged]) -> tuple[Logged, ...]:
    by_hash = {each.hash: each for each in listed}
    waiting: dict[str, int] = {}
    followers: dict[str, list[Logged]] = {}
    for each in listed:
        known = [earlier for earlier in each.event.after if earlier in by_hash]
        waiting[each.hash] = len(known)
        for earlier in known:
            followers.setdefault(earlier, []).append(each)
    ready = [each.order for each in listed if not waiting[each.hash]]
    heapq.heapify(ready)
    found = []
    while ready:
        _, hash_ = heapq.heappop(ready)
        found.append(by_hash[hash_])
        for follower in followers.get(hash_, ()):
            waiting[follower.hash] -= 1
            if not waiting[follower.hash]:
                heapq.heappush(ready, follower.order)
    return tuple(found)


def heads(events: Iterable[Logged]) -> tuple[str, ...]:
    """The events that no other names in `after`, sorted by hash: what a writer who has read all of them puts there."""
    all_of_them: set[str] = set()
    named: set[str] = set()
    for each in events:
        all_of_them.add(each.hash)
        named.update(each.event.after)
    return tuple(sorted(all_of_them - named))


class Reach:
    """Answers whether the writer of one event had read another."""

    def __init__(self, ordered: Sequence[Logged]) -> None:
        self._place: Mapping[str, int] = {each.hash: place for place, each in enumerate(ordered)}
        self._ordered = ordered

    def place(self, hash_: str) -> int:
        """Where an event stands in the order; -1 where it isn't there."""
        return self._place.get(hash_, -1)

    def reaches(self, later: str, earlier: str) -> bool:
        """Whether `earlier` comes before `later` through `after`."""
        goal, start = self.place(earlier), self.place(later)
        if goal < 0 or start < 0 or goal >= start:
            return False
        seen, todo = {start}, [start]
        while todo:
            for hash_ in self._ordered[todo.pop()].event.after:
                place = self.place(hash_)
                if place == goal:
                    return True
                if place > goal and place not in seen:
                    seen.add(place)
                    todo.append(place)
        return False
