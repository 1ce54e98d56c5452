"""The lens collar's top face as a height field in micrometres."""

from dataclasses import dataclass

import numpy as np

from .arrays import F32, all_in_bands, f32, step
from .defects import (
    BORE_UM,
    RIM_UM,
    SEAT_UM,
    TAB_END_UM,
    TAB_HALF_UM,
    Defect,
    ShortShot,
    Sink,
)

GROOVE_UM = 868.0
PAD_UM = 1050.0
DIGIT_TALL_UM = 180.0


@dataclass(frozen=True)
class Collar:
    """Coordinates, distances and heights of the top face; inside the plastic `edge` is positive."""

    x: F32
    y: F32
    r: F32
    edge_out: F32
    edge_in: F32
    front: F32
    z: F32
    pad: F32
    digit: F32

    @property
    def edge(self) -> F32:
        """Distance to the nearest edge of the face."""
        return f32(np.minimum(self.edge_out, self.edge_in))


def collar(x: F32, y: F32, cavity: int, defects: tuple[Defect, ...]) -> Collar:
    """Build the top face for coordinates seen from the piece (tab to the right)."""
    return Collar(x, y, *all_in_bands(lambda x, y: _planes(x, y, cavity, defects), x, y))


def _planes(x: F32, y: F32, cavity: int, defects: tuple[Defect, ...]) -> tuple[F32, ...]:
    r = f32(np.hypot(x, y))
    disc = f32(RIM_UM - r)
    tab = _tab(x, y)
    front = np.full_like(r, 1e3)
    for short in (d for d in defects if isinstance(d, ShortShot)):
        front = flow_front(x, y, short)
        tab = smooth_min(tab, front, 40.0)
    edge_out = smooth_max(disc, tab, 14.0)
    edge_in = f32(r - BORE_UM)
    pad, digit = _number(x, y, cavity)
    z = _relief(r, pad, digit)
    z = f32(z - fillet(edge_out, 15.0) - fillet(edge_in, 9.0) - fillet(f32(np.maximum(front, 0)), 75.0))
    for sink in (d for d in defects if isinstance(d, Sink)):
        z = f32(z - dimple(x, y, sink))
    return r, edge_out, edge_in, front, z, pad, digit


def smooth_min(a: F32, b: F32, k: float) -> F32:
    """Return the smaller distance, rounded where the two are alike."""
    t = np.clip(k - np.abs(a - b), 0.0, None) / k
    return f32(np.minimum(a, b) - t * t * (k / 4.0))


def smooth_max(a: F32, b: F32, k: float) -> F32:
    """Return the larger distance, rounded where the two are alike."""
    return f32(-smooth_min(f32(-a), f32(-b), k))


def fillet(edge: F32, radius: float) -> F32:
    """Return how far a rounded edge lies below the face, by distance from the edge."""
    t = np.clip(1.0 - edge / radius, 0.0, 1.0)
    return f32(radius * (1.0 - np.sqrt(np.clip(1.0 - (0.985 * t) ** 2, 0.0, 1.0))))


def flow_front(x: F32, y: F32, short: ShortShot) -> F32:
    """Return the distance inside the front where the melt stopped."""
    away = f32(y * short.side)
    filled = step(away, -70.0, 125.0)
    at = TAB_END_UM + 70.0 * (1.0 - step(away, -150.0, 20.0)) - short.missing_um * filled
    slope = short.missing_um * 1.5 / 195.0 * 4.0 * filled * (1.0 - filled)
    return f32((at - x) / np.sqrt(1.0 + slope * slope))


def dimple(x: F32, y: F32, sink: Sink) -> F32:
    """Return a sink's depth at every point; half of it on its ellipse."""
    a = np.radians(sink.angle_deg)
    dx = x - sink.radius_um * np.cos(a)
    dy = y - sink.radius_um * np.sin(a)
    along = (-dx * np.sin(a) + dy * np.cos(a)) / (sink.long_um / 2.0)
    across = (dx * np.cos(a) + dy * np.sin(a)) / (sink.wide_um / 2.0)
    return f32(sink.depth_um * np.exp2(-(along * along + across * across)))


def _tab(x: F32, y: F32) -> F32:
    half = (TAB_END_UM - 900.0) / 2.0
    qx = np.abs(x - 900.0 - half) - half + 35.0
    qy = np.abs(y) - TAB_HALF_UM + 35.0
    outside = np.hypot(np.maximum(qx, 0.0), np.maximum(qy, 0.0))
    return f32(35.0 - outside - np.minimum(np.maximum(qx, qy), 0.0))


def _relief(r: F32, pad: F32, digit: F32) -> F32:
    z = -100.0 * (1.0 - step(r, SEAT_UM - 4.0, SEAT_UM + 4.0))
    z = z - fillet(f32(np.where(r > SEAT_UM, r - SEAT_UM, 1e3)), 10.0)
    t = np.clip(1.0 - ((r - GROOVE_UM) / 20.0) ** 2, 0.0, 1.0)
    z = z - 11.0 * np.sqrt(t)
    return f32(z - 13.0 * step(pad, -3.0, 3.0) + 12.0 * step(digit, -2.5, 2.5))


def _number(x: F32, y: F32, cavity: int) -> tuple[F32, F32]:
    """Return distances inside the recessed pad and inside the raised digit's strokes."""
    qx = np.abs(x) - 95.0 + 40.0
    qy = np.abs(y + PAD_UM) - 122.0 + 40.0
    outside = np.hypot(np.maximum(qx, 0), np.maximum(qy, 0))
    pad = f32(40.0 - outside - np.minimum(np.maximum(qx, qy), 0))
    digit = np.full_like(pad, -1e3)
    near = np.flatnonzero(pad.ravel() > 0)
    if near.size:
        px = x.ravel()[near] / DIGIT_TALL_UM
        py = (y.ravel()[near] + PAD_UM) / DIGIT_TALL_UM
        digit.ravel()[near] = 13.0 - DIGIT_TALL_UM * _to_strokes(px, py, _STROKES[cavity])
    return pad, digit


def _arc(cx: float, cy: float, r: float, start: float, end: float) -> list[tuple[float, float]]:
    angles = np.radians(np.linspace(start, end, 14))
    return [(float(cx + r * np.cos(a)), float(cy + r * np.sin(a))) for a in angles]


_STROKES: dict[int, list[tuple[float, float]]] = {
    1: [(-0.16, -0.26), (0.06, -0.43), (0.06, 0.43)],
    2: [*_arc(0.0, -0.2, 0.23, 190, 400), (-0.23, 0.43), (0.25, 0.43)],
    3: [*_arc(0.0, -0.21, 0.21, 200, 430), *_arc(-0.01, 0.2, 0.235, -75, 160)],
    4: [(0.1, 0.43), (0.1, -0.43), (-0.25, 0.17), (0.26, 0.17)],
}


def _to_strokes(x: F32, y: F32, line: list[tuple[float, float]]) -> F32:
    best = np.full_like(x, 9.0)
    for (ax, ay), (bx, by) in zip(line, line[1:], strict=False):
        dx, dy = bx - ax, by - ay
        t = np.clip(((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy), 0.0, 1.0)
        best = np.minimum(best, np.hypot(x - ax - t * dx, y - ay - t * dy))
    return f32(best)
