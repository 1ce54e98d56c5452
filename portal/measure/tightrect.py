"""A drawn rectangle moved onto the edges nearby: eight places, two on each side, looked at across the side."""

import math
from dataclasses import dataclass

from portal.measure.edge import EdgeFound, Looked, NoEdge, Pair

NEAR, FAR = 0.2, 0.8
"""Where on a side is looked, as shares of its length: off the corners, which may be round."""


@dataclass(frozen=True, slots=True)
class Side:
    """Where a side begins, the way along it with its length, and the way out of the rectangle."""

    start: Pair
    way: Pair
    out: Pair

    def at(self, share: float) -> Pair:
        """The point after that share of the side."""
        return self.start[0] + share * self.way[0], self.start[1] + share * self.way[1]

    @property
    def length(self) -> float:
        """How long it is, in pixels."""
        return math.hypot(*self.way)


def sides_of(points: tuple[Pair, ...]) -> tuple[Side, ...]:
    """The sides of a rectangle by three points, the drawn one first, the one across from it second; none where it has
    no length or no width."""
    (ax, ay), (bx, by), (cx, cy) = points
    way = (bx - ax, by - ay)
    length = math.hypot(*way)
    if length == 0:
        return ()
    along = (way[0] / length, way[1] / length)
    normal = (-along[1], along[0])
    high = (cx - ax) * normal[0] + (cy - ay) * normal[1]
    if high == 0:
        return ()
    up, outward = (high * normal[0], high * normal[1]), math.copysign(1.0, high)
    out = (normal[0] * outward, normal[1] * outward)
    return (
        Side((ax, ay), way, (-out[0], -out[1])),
        Side((ax + up[0], ay + up[1]), way, out),
        Side((ax, ay), up, (-along[0], -along[1])),
        Side((bx, by), up, along),
    )


def looks_of(sides: tuple[Side, ...]) -> list[Looked]:
    """Two places on each side, looked at outwards."""
    return [Looked(side.at(share), side.out) for side in sides for share in (NEAR, FAR)]


def moved(sides: tuple[Side, ...], found: list[EdgeFound | NoEdge], third: Pair) -> tuple[Pair, Pair, Pair]:
    """The rectangle's three points after what was found, in the order of `looks_of`: one turn for all sides, by least
    squares, and for each side its own way out. A side on which nothing was found only turns."""
    offs = [_offs(side, found[2 * place : 2 * place + 2]) for place, side in enumerate(sides)]
    turn = _turn(sides, offs)
    lines = [_line(side, off, turn) for side, off in zip(sides, offs, strict=True)]
    (px, py), (dx, dy) = lines[1]
    back = (third[0] - px) * dx + (third[1] - py) * dy
    return _crossing(lines[0], lines[2]), _crossing(lines[0], lines[3]), (px + back * dx, py + back * dy)


_Offs = dict[float, float]
"""How far out the edge lies, by the share of the side at which it was found."""
_Line = tuple[Pair, Pair]
"""A point of it, and its direction with a length of 1."""


def _offs(side: Side, found: list[EdgeFound | NoEdge]) -> _Offs:
    return {
        share: (each.x - side.at(share)[0]) * side.out[0] + (each.y - side.at(share)[1]) * side.out[1]
        for share, each in zip((NEAR, FAR), found, strict=True)
        if isinstance(each, EdgeFound)
    }


def _sense(side: Side) -> float:
    """Whether a turn from x to y moves the side's end out, 1, or in, -1."""
    return math.copysign(1.0, side.way[0] * side.out[1] - side.way[1] * side.out[0])


def _turn(sides: tuple[Side, ...], offs: list[_Offs]) -> float:
    both = [(side, off) for side, off in zip(sides, offs, strict=True) if len(off) == 2]
    weights = sum(side.length**2 for side, _ in both)
    pulls = sum(side.length * _sense(side) * (off[FAR] - off[NEAR]) / (FAR - NEAR) for side, off in both)
    return pulls / weights if weights else 0.0


def _line(side: Side, off: _Offs, turn: float) -> _Line:
    far = [each - turn * _sense(side) * (share - 0.5) * side.length for share, each in off.items()]
    out = sum(far) / len(far) if far else 0.0
    middle = side.at(0.5)
    along = (side.way[0] / side.length, side.way[1] / side.length)
    cos, sin = math.cos(turn), math.sin(turn)
    direction = (along[0] * cos - along[1] * sin, along[0] * sin + along[1] * cos)
    return (middle[0] + out * side.out[0], middle[1] + out * side.out[1]), direction


def _crossing(one: _Line, other: _Line) -> Pair:
    (ax, ay), (dx, dy) = one
    (bx, by), (ex, ey) = other
    far = ((bx - ax) * ey - (by - ay) * ex) / (dx * ey - dy * ex)
    return ax + far * dx, ay + far * dy
