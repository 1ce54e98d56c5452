"""The other parts as height fields: a small gear with its cap, and a fluid connector from its end and from its side."""

from dataclasses import dataclass

import numpy as np

from .arrays import F32, F64, blur, f32, in_bands, step
from .heightfield import _STROKES, _to_strokes, fillet, smooth_max, smooth_min

TEETH = 16
TIP_UM, PITCH_UM, ROOT_UM = 1200.0, 1066.0, 905.0
GEAR_BORE_UM, HUB_UM, RIM_IN_UM = 260.0, 440.0, 760.0
CAP_UM, CAP_POST_UM = 1100.0, 210.0
BORE_END_UM, LAND_IN_UM, LAND_OUT_UM, FLANGE_UM = 450.0, 640.0, 860.0, 1160.0
DIGIT_UM = 150.0


@dataclass(frozen=True)
class Solid:
    """What a view sees of a piece: distance inside its outline, height, and how its skin is."""

    edge: F32
    z: F32
    polish: F32
    """1 where the steel was polished, 0 where it was eroded."""
    deep: F32
    """How thick the wall is that light has to come through, 1 for a full one."""


def tooth_half(r: F64) -> F64:
    """Half the angle of a tooth at a radius: an involute above its base circle, straight below."""
    base = PITCH_UM * np.cos(np.radians(20.0))

    def involute(radius: F64) -> F64:
        tangent = np.sqrt(np.clip((np.maximum(radius, base) / base) ** 2 - 1.0, 0.0, None))
        return np.asarray(tangent - np.arctan(tangent))

    return np.asarray(np.pi / (2 * TEETH) + involute(np.asarray(PITCH_UM)) - involute(np.asarray(r, np.float64)))


def gear_outline(count: int = 40) -> F64:
    """The tooth ring's outline in µm, without its small roundings."""
    pitch = 2 * np.pi / TEETH
    flank = np.linspace(ROOT_UM, TIP_UM, count)
    half = tooth_half(flank)
    corners = []
    for k in range(TEETH):
        for r, a in [*zip(flank, -half, strict=True), *zip(flank[::-1], half[::-1], strict=True)]:
            angle = k * pitch + a
            corners.append((r * np.cos(angle), r * np.sin(angle)))
    return np.asarray(corners)


def gear(x: F32, y: F32, mark: int) -> Solid:
    """The gear face up: tooth ring, recessed web with its cavity number, hub and bore."""
    r = f32(np.maximum(np.hypot(x, y), 1.0))
    pitch = 2 * np.pi / TEETH
    around = f32(np.abs(np.mod(np.arctan2(y, x) + pitch / 2, pitch) - pitch / 2))
    radii = np.arange(800.0, 1300.0, 2.0)
    half = f32(np.interp(r, radii, tooth_half(radii)))
    flank = f32((half - around) * r * 0.94)
    tooth = smooth_min(flank, f32(TIP_UM - r), 26.0)
    outer = smooth_max(tooth, f32(ROOT_UM - r), 60.0)
    inner = f32(r - GEAR_BORE_UM)
    web = step(r, HUB_UM - 9, HUB_UM + 9) * (1.0 - step(r, RIM_IN_UM - 9, RIM_IN_UM + 9))
    digit = _digit(x, f32(y + 600.0), mark)
    z = f32(-130.0 * web + 14.0 * step(digit, -4.0, 4.0) - fillet(outer, 16.0) - fillet(inner, 22.0))
    return Solid(f32(np.minimum(outer, inner)), z, f32(0.35 + 0.5 * web), np.ones_like(r))


def cap(x: F32, y: F32, mark: int, *, inside: bool) -> Solid:
    """The gear's cap: a plain show face with a shallow rim, or its inside with post, ribs and number."""
    r = f32(np.hypot(x, y))
    outer = f32(CAP_UM - r)
    if not inside:
        lip = step(r, 868.0, 884.0) * (1.0 - step(r, 930.0, 946.0))
        z = f32(-26.0 * lip - fillet(outer, 48.0))
        return Solid(outer, z, np.full_like(r, 0.25), np.ones_like(r))
    floor = 1.0 - step(r, 906.0, 934.0)
    post = 1.0 - step(r, CAP_POST_UM - 8, CAP_POST_UM + 8)
    hole = 1.0 - step(r, 96.0, 112.0)
    ribs = np.zeros_like(r)
    for angle in np.radians([90.0, 210.0, 330.0]):
        along, across = f32(x * np.cos(angle) + y * np.sin(angle)), f32(y * np.cos(angle) - x * np.sin(angle))
        bar = (1.0 - step(f32(np.abs(across)), 38.0, 52.0)) * step(along, 0.0, 20.0) * floor
        ribs = np.maximum(ribs, bar)
    digit = _digit(x, f32(y + 560.0), mark)
    z = f32(-150.0 * floor + 95.0 * np.maximum(ribs, 0.0) * (1.0 - post) + 140.0 * post - 120.0 * hole)
    z = f32(z + 14.0 * step(digit, -4.0, 4.0) - fillet(outer, 22.0))
    return Solid(outer, z, np.full_like(r, 0.6), np.ones_like(r))


def connector_end(x: F32, y: F32, mark: int) -> Solid:
    """The connector's sealing end: bore, polished sealing land, groove, flange with two lugs."""
    r = f32(np.maximum(np.hypot(x, y), 1.0))
    lugs = smooth_max(_lug(x, y), _lug(f32(-x), f32(-y)), 10.0)
    outer = smooth_max(f32(FLANGE_UM - r), lugs, 60.0)
    inner = f32(r - BORE_END_UM)
    land = step(r, LAND_IN_UM - 5, LAND_IN_UM + 5) * (1.0 - step(r, LAND_OUT_UM - 5, LAND_OUT_UM + 5))
    cone = np.clip((LAND_IN_UM - r) / (LAND_IN_UM - BORE_END_UM), 0.0, 1.0)
    z = f32(70.0 * land - 150.0 * cone - fillet(outer, 26.0) - fillet(inner, 12.0))
    digit = _digit(x, f32(y + 1010.0), mark)
    z = f32(z + 13.0 * step(digit, -4.0, 4.0))
    thin = np.clip(outer / 240.0, 0.0, 1.0) * np.clip(inner / 200.0, 0.0, 1.0)
    return Solid(f32(np.minimum(outer, inner)), z, f32(0.3 + 0.65 * np.maximum(land, cone > 0)), f32(thin))


SIDE_UM: tuple[tuple[float, float], ...] = (
    (-1500.0, 430.0),
    (-1000.0, 430.0),
    (-999.0, 600.0),
    (-640.0, 470.0),
    (-420.0, 470.0),
    (-419.0, 1120.0),
    (-180.0, 1120.0),
    (-179.0, 720.0),
    (60.0, 720.0),
    (61.0, 640.0),
    (190.0, 640.0),
    (191.0, 720.0),
    (520.0, 720.0),
    (1010.0, 560.0),
)
NOSE_UM = 1010.0


def side_radius(y: F64) -> F64:
    """The connector's radius at a height of the picture (tube above, sealing nose below), edges rounded."""
    at = np.arange(-1700.0, 1400.0, 2.0)
    table = np.interp(at, [p[0] for p in SIDE_UM], [p[1] for p in SIDE_UM])
    span = np.exp(-0.5 * (np.arange(-20, 21) * 2.0 / 9.0) ** 2)
    return np.interp(y, at, np.convolve(np.pad(table, 20, mode="edge"), span / span.sum(), mode="valid"))


def connector_side(x: F32, y: F32, mark: int) -> Solid:
    """The connector from its side: barb and tube above, flange, groove and the sealing nose below."""
    line = side_radius(np.asarray(y, np.float64))
    radius = f32(line)
    slope = f32(np.abs(side_radius(np.asarray(y, np.float64) + 3.0) - line) / 3.0)
    edge = f32((radius - np.abs(x)) / np.sqrt(1.0 + slope * slope))
    edge = smooth_min(edge, f32(NOSE_UM - y), 24.0)

    def work(x: F32, y: F32, radius: F32) -> F32:
        z = np.sqrt(np.maximum(radius * radius - x * x, 0.0))
        return f32(z - fillet(f32(NOSE_UM - y), 22.0))

    z = in_bands(work, x, y, radius)
    wall = np.sqrt(np.maximum(radius**2 - x * x, 1.0)) - np.sqrt(np.maximum(330.0**2 - x * x, 0.0))
    digit = _digit(f32(x), f32(y + 300.0), mark)
    z = f32(z + 12.0 * step(digit, -4.0, 4.0))
    polish = step(y, 480.0, 540.0) * 0.5 + 0.4
    return Solid(edge, z, f32(polish), f32(np.clip(blur(f32(wall), 4.0) / 520.0, 0.0, 1.0)))


def _lug(x: F32, y: F32) -> F32:
    """Distance inside a lug that stands to the right, its corners rounded."""
    qx = np.abs(x - 1150.0) - 240.0 + 60.0
    qy = np.abs(y) - 210.0 + 60.0
    outside = np.hypot(np.maximum(qx, 0.0), np.maximum(qy, 0.0))
    return f32(60.0 - outside - np.minimum(np.maximum(qx, qy), 0.0))


def _digit(x: F32, y: F32, mark: int) -> F32:
    """Distance inside the strokes of a raised cavity number around (0, 0)."""
    out = np.full_like(x, -1e3)
    near = np.flatnonzero((np.abs(x) < 0.6 * DIGIT_UM).ravel() & (np.abs(y) < 0.7 * DIGIT_UM).ravel())
    if near.size:
        px, py = x.ravel()[near] / DIGIT_UM, y.ravel()[near] / DIGIT_UM
        out.ravel()[near] = 11.0 - DIGIT_UM * _to_strokes(f32(px), f32(py), _STROKES[mark])
    return out
