"""What is true in a picture: computed from the geometry, before any blur or noise."""

from typing import Any

import numpy as np

from .arrays import F64, f32
from .defects import (
    BORE_UM,
    TAB_END_UM,
    Flash,
    Pluck,
    ShortShot,
    Sink,
    Speck,
    Splay,
    Vestige,
    callipers,
    flash_profile,
    half_width,
    notch,
    polygon_area,
    speck_outline,
    torn_tops,
)
from .face import FacePiece, Seeds
from .frame import Frame, turn_back
from .heightfield import collar
from .profile import ProfilePiece

Record = dict[str, Any]


def um(value: float) -> float:
    """Round to a thousandth of a micrometre."""
    return round(float(value), 3)


def profile_truth(frame: Frame, piece: ProfilePiece, seeds: Seeds) -> list[Record]:
    """Return the true defects of a gate profile."""
    made = []
    for k, defect in enumerate(piece.defects):
        if isinstance(defect, Vestige):
            made.append(_vestige(frame, piece, defect, seeds))
        elif isinstance(defect, Pluck):
            made.append(_pluck(frame, piece, defect, seeds.shape(k)))
    return made


def face_truth(frame: Frame, piece: FacePiece, seeds: Seeds) -> list[Record]:
    """Return the true defects of a face view."""
    makers: dict[type, Any] = {Flash: _flash, Speck: _speck, Sink: _sink, ShortShot: _short, Splay: _splay}
    return [makers[type(d)](frame, piece, d, seeds.shape(k)) for k, d in enumerate(piece.defects)]


def _on_wall(frame: Frame, piece: ProfilePiece, points: F64) -> list[list[float]]:
    """Convert (along the wall, above the wall) to picture coordinates."""
    flipped = np.stack([points[:, 0], -points[:, 1]], axis=1)
    return frame.to_pixels(turn_back(flipped, piece.turned, (0.0, 0.0)))


def _base(frame: Frame, piece: ProfilePiece, middle: float, half: float) -> list[list[float]]:
    """Return six points of the sound edge on each side, as far as the picture shows it."""
    reach = min(500.0, frame.width * frame.sx / 2.0 - abs(frame.cx) - 8.0)
    blocked = [
        (d.along_um - d.width_um / 2 - 14, d.along_um + d.width_um / 2 + 14)
        for d in piece.defects
        if isinstance(d, Pluck)
    ]
    v = piece.vestige
    blocked.append((v.along_um - v.base_um / 2 - 36, v.along_um + v.base_um / 2 + 36))
    left = [u for u in np.linspace(-reach, middle - half, 40) if not any(a < u < b for a, b in blocked)]
    right = [u for u in np.linspace(middle + half, reach, 40) if not any(a < u < b for a, b in blocked)]
    chosen = [side[int(round(i))] for side in (left, right) for i in np.linspace(0, len(side) - 1, 6)]
    return _on_wall(frame, piece, np.array([[u, 0.0] for u in chosen]))


def stub_silhouette(vestige: Vestige, seeds: Seeds) -> F64:
    """Return the stub's outline as (along the wall, above the wall), left foot to right foot."""
    u, _, back = torn_tops(vestige, seeds.shape(0))
    width = half_width(vestige, back)
    inside = np.abs(u) <= width
    top = np.stack([u[inside], back[inside]], axis=1)
    left = np.linspace(0.0, float(top[0, 1]), 30)
    right = np.linspace(float(top[-1, 1]), 0.0, 30)
    sides = (
        np.stack([-half_width(vestige, left), left], axis=1),
        np.stack([half_width(vestige, right), right], axis=1),
    )
    points = np.concatenate([sides[0][:-1], top, sides[1][1:]])
    points[:, 0] += vestige.along_um + vestige.lean * points[:, 1]
    return np.asarray(points, np.float64)


def _vestige(frame: Frame, piece: ProfilePiece, vestige: Vestige, seeds: Seeds) -> Record:
    shape = stub_silhouette(vestige, seeds)
    peak = int(np.argmax(shape[:, 1]))
    thin = np.concatenate([shape[:29], shape[29:-29:6], shape[-29:]])
    return {
        "kind": "gate vestige",
        "height_um": um(shape[peak, 1]),
        "width_at_foot_um": um(vestige.base_um),
        "what_true_means": "perpendicular distance of the highest point of the stub's silhouette from the line "
        "through the sound wall's edge; the pulled thread, if any, stays below that point",
        "base": _base(frame, piece, vestige.along_um, vestige.base_um / 2 + 60.0),
        "peak": _on_wall(frame, piece, shape[peak : peak + 1])[0],
        "outline": _on_wall(frame, piece, thin),
        "string": vestige.string,
    }


def _pluck(frame: Frame, piece: ProfilePiece, pluck: Pluck, rng: np.random.Generator) -> Record:
    u, depth = notch(pluck, rng)
    deepest = int(np.argmax(depth))
    line = np.stack([u, -depth], axis=1)
    return {
        "kind": "pluck",
        "depth_um": um(depth[deepest]),
        "width_um": um(pluck.width_um),
        "what_true_means": "perpendicular distance of the deepest point of the torn silhouette below the line "
        "through the sound wall's edge",
        "base": _base(frame, piece, pluck.along_um, pluck.width_um / 2 + 20.0),
        "deepest": _on_wall(frame, piece, line[deepest : deepest + 1])[0],
        "outline": _on_wall(frame, piece, line[::6]),
    }


def _put(frame: Frame, piece: FacePiece, points: F64) -> list[list[float]]:
    """Convert points of the piece to picture coordinates."""
    return frame.to_pixels(turn_back(np.asarray(points, np.float64), piece.turned, (0.0, 0.0)))


def _polar(radius: F64 | float, angle: F64) -> F64:
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=-1)


def _flash(frame: Frame, piece: FacePiece, flash: Flash, rng: np.random.Generator) -> Record:
    s, reach = flash_profile(flash, rng)
    sign = -1.0 if flash.where == "bore" else 1.0
    middle = np.radians(flash.angle_deg)
    angle = middle + s / flash.edge_um
    fin = _polar(flash.edge_um + sign * reach, angle)
    far = int(np.argmax(reach))
    half = flash.arc_um / 2 / flash.edge_um
    beyond = np.array([half + a / flash.edge_um for a in (20.0, 55.0, 90.0, 125.0, 160.0, 195.0)])
    sound = np.concatenate([middle - beyond[::-1], middle + beyond])
    return {
        "kind": "flash",
        "where": "bore edge" if flash.where == "bore" else "outer rim",
        "projection_um": um(reach[far]),
        "length_um": um(flash.arc_um),
        "edge_radius_um": um(flash.edge_um),
        "what_true_means": "radial distance of the fin's farthest point from the sound circular edge; "
        "length is along that edge between the fin's ends",
        "base": _put(frame, piece, _polar(flash.edge_um, sound)),
        "hidden_edge": _put(frame, piece, _polar(flash.edge_um, angle[::40])),
        "farthest": _put(frame, piece, fin[far : far + 1])[0],
        "outline": _put(frame, piece, fin[::6]),
    }


def _speck(frame: Frame, piece: FacePiece, speck: Speck, rng: np.random.Generator) -> Record:
    angle, radius = speck_outline(speck, rng)
    a = np.radians(speck.angle_deg)
    points = _polar(radius, angle) + _polar(speck.radius_um, np.asarray(a))
    area = polygon_area(points)
    largest, smallest = callipers(points)
    return {
        "kind": "black speck",
        "area_um2": um(area),
        "equivalent_diameter_um": um(float(np.sqrt(4 * area / np.pi))),
        "largest_calliper_um": um(largest),
        "smallest_calliper_um": um(smallest),
        "what_true_means": "the particle's own outline before blur and haze, which lies at half contrast of the "
        "unblurred picture; callipers over all directions",
        "centre": _put(frame, piece, points.mean(axis=0)[None, :])[0],
        "outline": _put(frame, piece, points[::6]),
    }


def _sink(frame: Frame, piece: FacePiece, sink: Sink, rng: np.random.Generator) -> Record:
    a = np.radians(sink.angle_deg)
    t = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    along, across = sink.long_um / 2 * np.cos(t), sink.wide_um / 2 * np.sin(t)
    x = sink.radius_um * np.cos(a) - along * np.sin(a) + across * np.cos(a)
    y = sink.radius_um * np.sin(a) + along * np.cos(a) + across * np.sin(a)
    return {
        "kind": "sink",
        "depth_um": um(sink.depth_um),
        "what_true_means": "depth at the middle below the face as it would be without the sink; the outline is the "
        "contour at half depth, drawn for orientation: a sink's outline has no true value",
        "half_depth_long_um": um(sink.long_um),
        "half_depth_wide_um": um(sink.wide_um),
        "centre": _put(frame, piece, _polar(sink.radius_um, np.asarray([a])))[0],
        "outline": _put(frame, piece, np.stack([x, y], axis=1)),
    }


def _short(frame: Frame, piece: FacePiece, short: ShortShot, rng: np.random.Generator) -> Record:
    y = np.linspace(-190.0, 190.0, 200)
    x = _tab_end(y * short.side, piece)
    far = int(np.argmin(np.where(np.abs(y) <= 140.0, x, np.inf)))
    sound = np.linspace(-160.0, -90.0, 6)
    end = np.full_like(sound, TAB_END_UM)
    return {
        "kind": "short shot",
        "missing_length_um": um(TAB_END_UM - x[far]),
        "what_true_means": "distance, along the tab, from the line through the tab's sound end edge to the flow "
        "front where it lies farthest back; the corner's own rounding beside it is left out",
        "base": _put(frame, piece, np.stack([end, short.side * sound], axis=1)),
        "farthest": _put(frame, piece, np.array([[x[far], short.side * y[far]]]))[0],
        "outline": _put(frame, piece, np.stack([x, short.side * y], axis=1)[::4]),
    }


def _tab_end(y: F64, piece: FacePiece) -> F64:
    """Find where the tab's outline ends for distances across it, by halving."""
    low, high = np.full_like(y, 1260.0), np.full_like(y, 1600.0)
    for _ in range(30):
        middle = (low + high) / 2.0
        shape = collar(f32(middle)[None], f32(y)[None], piece.cavity, piece.defects)
        inside = shape.edge_out[0] > 0
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return low


def _splay(frame: Frame, piece: FacePiece, splay: Splay, rng: np.random.Generator) -> Record:
    half = np.radians(splay.half_angle_deg)
    angle = np.linspace(-half, half, 40)
    arc = np.stack([splay.reach_um * np.sin(angle), 1200.0 - splay.reach_um * np.cos(angle)], axis=1)
    points = np.concatenate([np.array([[0.0, 1200.0]]), arc])
    on_face = points[:, 0] ** 2 + points[:, 1] ** 2
    near = np.sqrt(on_face)
    points = np.where((near < BORE_UM)[:, None], points * (BORE_UM / np.maximum(near, 1.0))[:, None], points)
    return {
        "kind": "splay",
        "what_true_means": "the fan within which streaks may lie, from the gate; splay has no true outline",
        "outline": _put(frame, piece, points),
    }
