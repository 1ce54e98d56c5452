"""What a record alone gets wrong: a field and a sentence, before file and line are known."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from portal.model.scalars import Length, Points
from portal.problem import FieldPath


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence about one field."""

    path: FieldPath
    message: str
    hint: str | None = None


Remarks = Iterator[Remark]


def under(path: FieldPath, remarks: Iterable[Remark]) -> Remarks:
    """The same remarks with their fields further down."""
    for remark in remarks:
        yield Remark((*path, *remark.path), remark.message, remark.hint)


def above_zero(path: FieldPath, length: Length | None) -> Remarks:
    """A length that has to be greater than 0."""
    if length is not None and not length.um > 0:
        yield Remark(path, f"`{length.text}` has to be greater than 0")


def not_negative(path: FieldPath, length: Length | None) -> Remarks:
    """A length that has to be at least 0."""
    if length is not None and not length.um >= 0:
        yield Remark(path, f"`{length.text}` can't be negative")


def at_least(path: FieldPath, points: Points | None, number: int, what: str) -> Remarks:
    """A drawn thing that needs so many points."""
    if points is not None and len(points.xy) < number:
        yield Remark(path, f"{what} needs at least {number} points, found {len(points.xy)}")


def exactly(path: FieldPath, points: Points | None, number: int, what: str) -> Remarks:
    """A drawn thing that has just so many points."""
    if points is not None and len(points.xy) != number:
        yield Remark(path, f"{what} has {number} points, found {len(points.xy)}")


def ends(path: FieldPath, points: Points, what: str) -> Remarks:
    """Both ends of something of known length."""
    yield from exactly(path, points, 2, what)
    if len(points.xy) == 2 and points.xy[0] == points.xy[1]:
        yield Remark(path, f"both points of {what} are the same")


def each_once(path: FieldPath, words: Iterable[str], what: str, *, key: str | None = None) -> Remarks:
    """Words of a list that may stand only once; remarked where they stand again."""
    seen = set()
    for index, word in enumerate(words):
        if word in seen:
            at = (*path, str(index)) if key is None else (*path, str(index), key)
            yield Remark(at, f"{what} `{word}` stands twice")
        seen.add(word)
