"""How many countables are counted together: for certain, and with every doubtful one.

Both counts grow with what they are made of, so that of all ways to take doubtful countables in or leave them out, all
out comes to the least and all in to the most.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from portal.judge.conformity import guard_factor
from portal.judge.discs import Disc, fullest
from portal.judge.sized import Member, Sorted
from portal.model.countable import Ruler
from portal.model.say import Say
from portal.model.terms import Decision, VerdictWord

_NOBODY = Disc((0.0, 0.0), ())


@dataclass(frozen=True, slots=True)
class Range:
    """How many are counted, for certain and at most, and what decides between the two."""

    least: int
    most: int
    deciding: tuple[Sorted, ...] = ()
    by_place: bool = False
    """Whether those are doubtful by where they lie, and not by what they are."""

    def word(self, allowed: int) -> VerdictWord:
        """What the two counts come to; where they disagree about the limit it is undecided."""
        if self.least > allowed:
            return VerdictWord.DOES_NOT_CONFORM
        return VerdictWord.CONFORMS if self.most <= allowed else VerdictWord.UNDECIDED


def of(found: Sequence[Sorted]) -> Range:
    """All of them, wherever they lie."""
    open_ = _open(found)
    sure = len(_sure(found))
    return Range(sure, sure + len(open_), tuple(open_))


def in_circle(found: Sequence[Sorted], diameter: float, ruler: Ruler | Say, decision: Decision) -> Range:
    """Those in the worst circle of that diameter, µm: wherever it holds the most.

    For certain: without the doubtful ones, in a circle narrower by the one-sided 95 % interval of a distance as long
    as the diameter. At most: with them, in one wider by as much. Under `simple` both circles are as agreed. What nobody
    knows the place of may lie in any circle; where there is no ruler, so may all.
    """
    both = [*_sure(found), *_open(found)]
    if isinstance(ruler, Say):
        return Range(min(1, len(_sure(found))), len(both))
    placed = [each for each in both if each.item.place is not None]
    reach = _reach(placed, diameter, ruler) if decision is Decision.GUARDED else 0.0
    narrow = _fullest(_sure(placed), diameter - reach)
    wide = _fullest(placed, diameter + reach)
    inside = [placed[i] for i in wide.members]
    adrift = [each for each in both if each.item.place is None]
    deciding = (*_open(inside), *adrift)
    by_place = not deciding
    if by_place:
        deciding = tuple(_near_edge(inside, wide, diameter - reach))
    return Range(narrow.count, wide.count + len(adrift), deciding, by_place)


def _sure(found: Sequence[Sorted]) -> list[Sorted]:
    return [each for each in found if each.member is Member.YES]


def _open(found: Sequence[Sorted]) -> list[Sorted]:
    return [each for each in found if each.member in (Member.DOUBTFUL, Member.UNKNOWN)]


def _reach(placed: Sequence[Sorted], diameter: float, ruler: Ruler) -> float:
    drawn = {each.item.place.drawn for each in placed if each.item.place is not None}
    return guard_factor() * max((ruler.doubt(diameter, drawn=each) for each in drawn), default=0.0)


def _fullest(found: Sequence[Sorted], diameter: float) -> Disc:
    spots = [each.item.place.at for each in found if each.item.place is not None]
    if not spots:
        return _NOBODY
    # A circle that is narrower than its own doubt holds one countable for certain, whichever.
    return fullest(np.array(spots), diameter) if diameter > 0 else Disc(spots[0], (0,))


def _near_edge(inside: Sequence[Sorted], disc: Disc, narrower: float) -> Iterator[Sorted]:
    for each in inside:
        if each.item.place is not None and math.dist(each.item.place.at, disc.centre) > narrower / 2:
            yield each
