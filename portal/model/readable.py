"""Which view and which shape a characteristic can be had from; the one table of it."""

from portal.model.terms import Characteristic, SeenAs, ShapeKind

UP = frozenset({Characteristic.HEIGHT, Characteristic.DEPTH, Characteristic.STEP})
"""What stands across the surface."""
OUT = frozenset({Characteristic.PROJECTION, Characteristic.MISSING_LENGTH})
"""What stands out of an edge, or is missing from it."""
COUNTED = frozenset({Characteristic.COUNT, Characteristic.SPACING})
"""What is made of several findings rather than drawn."""
_LONG = frozenset({Characteristic.LENGTH, Characteristic.RUN, Characteristic.WIDTH, Characteristic.STRING_LENGTH})
_ROUND = frozenset(
    {Characteristic.DIAMETER, Characteristic.EQUIVALENT_DIAMETER, Characteristic.AREA, Characteristic.PERIMETER}
)
_BLOCK = _LONG | {Characteristic.DIAMETER, Characteristic.AREA}

GIVES = {
    ShapeKind.POINT: frozenset[Characteristic](),
    ShapeKind.LINE: _LONG | {Characteristic.THICKNESS},
    ShapeKind.BASE_AND_POINT: UP | OUT,
    ShapeKind.RECTANGLE: _BLOCK,
    ShapeKind.ELLIPSE: _BLOCK,
    ShapeKind.OUTLINE: _LONG | _ROUND,
}
"""What each shape can give."""


def read_in(characteristic: Characteristic) -> frozenset[SeenAs]:
    """How a view may see the zone for the characteristic to be read in it."""
    if characteristic in UP or characteristic is Characteristic.THICKNESS:
        return frozenset({SeenAs.PROFILE})
    if characteristic in OUT:
        return frozenset({SeenAs.PROFILE, SeenAs.FACE})
    return frozenset({SeenAs.FACE})


def shapes_for(characteristic: Characteristic) -> tuple[ShapeKind, ...]:
    """The shapes that give the characteristic, in the order of their list."""
    return tuple(kind for kind in ShapeKind if characteristic in GIVES[kind])


def by_gauge(characteristic: Characteristic) -> bool:
    """Whether a gauge may give it, whatever the view."""
    return characteristic not in COUNTED and characteristic is not Characteristic.AREA
