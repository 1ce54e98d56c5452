"""What is refused before anything is measured."""

from portal.model.readable import GIVES, UP, read_in
from portal.model.say import Say
from portal.model.terms import Characteristic, Made, SeenAs, ShapeKind

BELOW = frozenset({Characteristic.DEPTH, Characteristic.MISSING_LENGTH})
"""What is positive below the base."""


def refusal(
    characteristic: Characteristic,
    shape: ShapeKind,
    *,
    seen_as: SeenAs | None,
    zone: str,
    view: str | None,
    made: Made,
) -> Say | None:
    """Why the characteristic can't be had from that shape in that view; None where it can."""
    what = Say.of(f"characteristic.{characteristic}")
    if characteristic not in GIVES[shape]:
        return Say.of("measure.shape-gives-no", characteristic=what, shape=Say.of(f"shape.{shape}"))
    if view is None:
        return Say.of("measure.no-view", characteristic=what, zone=zone)
    if seen_as is None:
        return Say.of("measure.zone-not-shown", characteristic=what, zone=zone)
    if seen_as not in read_in(characteristic):
        how = Say.of(f"measure.seen-as.{seen_as}")
        return Say.of("measure.not-in-this-view", characteristic=what, zone=zone, how=how)
    if made is Made.STACKED and characteristic in UP:
        return Say.of("measure.stacked", characteristic=what)
    return None


def count_refusal(*, seen_as: SeenAs | None, zone: str, view: str | None) -> Say | None:
    """Why nothing can be counted, nor its spacing read, in that view; None where it can."""
    what = Say.of(f"characteristic.{Characteristic.COUNT}")
    if view is None:
        return Say.of("measure.no-view", characteristic=what, zone=zone)
    if seen_as is None:
        return Say.of("measure.zone-not-shown", characteristic=what, zone=zone)
    if seen_as not in read_in(Characteristic.COUNT):
        how = Say.of(f"measure.seen-as.{seen_as}")
        return Say.of("measure.not-in-this-view", characteristic=what, zone=zone, how=how)
    return None
