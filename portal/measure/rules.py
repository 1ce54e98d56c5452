"""What a shape can give, and what can be read where a view sees a zone."""

from portal.measure import blocks
from portal.model.say import Say
from portal.model.terms import Characteristic, Made, SeenAs, ShapeKind

_UP = frozenset({Characteristic.HEIGHT, Characteristic.DEPTH, Characteristic.STEP})
_OUT = frozenset({Characteristic.PROJECTION, Characteristic.MISSING_LENGTH})
_LONG = frozenset({Characteristic.LENGTH, Characteristic.RUN, Characteristic.WIDTH, Characteristic.STRING_LENGTH})
_ROUND = frozenset(
    {Characteristic.DIAMETER, Characteristic.EQUIVALENT_DIAMETER, Characteristic.AREA, Characteristic.PERIMETER}
)
COUNTED = frozenset({Characteristic.COUNT, Characteristic.SPACING})
BELOW = frozenset({Characteristic.DEPTH, Characteristic.MISSING_LENGTH})
"""What is positive below the base."""

GIVES = {
    ShapeKind.POINT: frozenset[Characteristic](),
    ShapeKind.LINE: _LONG | {Characteristic.THICKNESS},
    ShapeKind.BASE_AND_POINT: _UP | _OUT,
    ShapeKind.RECTANGLE: blocks.GIVES,
    ShapeKind.ELLIPSE: blocks.GIVES,
    ShapeKind.OUTLINE: _LONG | _ROUND,
}


def read_in(characteristic: Characteristic) -> frozenset[SeenAs]:
    """How a view may see the zone for the characteristic to be read in it."""
    if characteristic in _UP or characteristic is Characteristic.THICKNESS:
        return frozenset({SeenAs.PROFILE})
    if characteristic in _OUT:
        return frozenset({SeenAs.PROFILE, SeenAs.FACE})
    return frozenset({SeenAs.FACE})


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
    if characteristic in COUNTED:
        return Say.of("measure.counted")
    if characteristic not in GIVES[shape]:
        return Say.of("measure.shape-gives-no", characteristic=what, shape=Say.of(f"shape.{shape}"))
    if view is None:
        return Say.of("measure.no-view", characteristic=what, zone=zone)
    if seen_as is None:
        return Say.of("measure.zone-not-shown", characteristic=what, zone=zone)
    if seen_as not in read_in(characteristic):
        how = Say.of(f"measure.seen-as.{seen_as}")
        return Say.of("measure.not-in-this-view", characteristic=what, zone=zone, how=how)
    if made is Made.STACKED and characteristic in _UP:
        return Say.of("measure.stacked", characteristic=what)
    return None
