"""The whole piece at low magnification, with its runner and a pair of tweezers on the stage."""

import numpy as np

from . import dust, lens, light, material
from .arrays import F32, blur, f32, mix, noise, step
from .defects import TALL_UM, Splay
from .face import FacePiece, Seeds, splay_strength, stage_light
from .frame import Frame, turn
from .heightfield import collar, smooth_max

PIECE_AT = (-900.0, -500.0)
RUNNER = ((-950.0, 1500.0), (-700.0, 2350.0), (500.0, 2850.0), (2300.0, 2700.0), (3600.0, 2050.0))


def overview_frame(frame: Frame) -> Frame:
    """Return the overview's frame as seen from the piece's middle."""
    return Frame(frame.width, frame.height, frame.sx, frame.sy, frame.cx - PIECE_AT[0], frame.cy - PIECE_AT[1])


def render_overview(frame: Frame, piece: FacePiece, *, seeds: Seeds) -> F32:
    """Return the linear light that reaches the sensor plane, before the lens."""
    x, y = frame.grid()
    px, py = turn(f32(x - PIECE_AT[0]), f32(y - PIECE_AT[1]), piece.turned)
    body = collar(px, py, piece.cavity, piece.defects)
    lamps = light.ring_light(seeds.look(9), 0.52)
    rng = seeds.look(0)
    ring = body.edge
    stub = f32(np.minimum(115.0 - np.abs(px), np.minimum(py - 1100.0, 1200.0 + piece.stub_um - py)))
    runner, tall = _runner(x, y)
    metal, metal_z, along = _tweezers(x, y)
    plastic = f32(np.maximum(np.maximum(ring, stub), runner))
    height = _height(body.z, ring, stub, tall, runner)
    lit = stage_light(frame, f32(np.maximum(plastic, metal) > 0), lamps, 700.0)
    scene = _stage(frame, lit, seeds)
    colour = _plastic(frame, height, plastic, piece, lamps, rng, px, py)
    cover = step(plastic, -2.75, 2.75)
    scene = lens.over(scene, f32(colour * cover[..., None]), cover)
    steel = _steel(frame, metal_z, along, lamps, rng)
    cover = step(metal, -2.75, 2.75)
    width = f32(np.clip((y + 1200.0) * -0.0004, 0.6, 3.0) + 0.0 * x)
    return lens.over(scene, *lens.defocus(steel, cover, width))


def _height(z: F32, ring: F32, stub: F32, tall: F32, runner: F32) -> F32:
    top = np.where(ring > 0, TALL_UM + z, 0.0)
    top = np.where((stub > 0) & (ring <= 0), 640.0, top)
    return f32(np.maximum(top, np.where(runner > 0, tall, 0.0)))


def _runner(x: F32, y: F32) -> tuple[F32, F32]:
    """Return the distance inside the runner and its height: a tapered rod with a sub-gate tip."""
    best = np.full_like(x, -1e4)
    dense = _curve(RUNNER, 26)
    for k, ((ax, ay), (bx, by)) in enumerate(zip(dense[:-1], dense[1:], strict=True)):
        dx, dy = bx - ax, by - ay
        t = np.clip(((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy), 0.0, 1.0)
        radius = 120.0 + 330.0 * min(1.0, (k + 0.5) / 7.0)
        best = np.maximum(best, f32(radius - np.hypot(x - ax - t * dx, y - ay - t * dy)))
    best = smooth_max(f32(best), f32(620.0 - np.hypot(x - 3700.0, y - 2000.0)), 120.0)
    inside = np.clip(best, 0.0, 450.0)
    return best, f32(np.sqrt(np.clip(900.0 * inside - inside * inside, 0.0, None)) * 1.4 + 40.0)


def _curve(points: tuple[tuple[float, float], ...], count: int) -> list[tuple[float, float]]:
    p = np.asarray(points)
    t = np.linspace(0, len(p) - 1, count)
    kernel = np.array([1.0, 2.0, 3.0, 2.0, 1.0]) / 9.0
    out = []
    for c in range(2):
        line = np.interp(t, np.arange(len(p)), p[:, c])
        out.append(np.convolve(np.pad(line, 2, mode="edge"), kernel, mode="valid"))
    return [(float(a), float(b)) for a, b in zip(*out, strict=True)]


def _tweezers(x: F32, y: F32) -> tuple[F32, F32, F32]:
    """Return the distance inside two steel prongs, their height and the way along them."""
    best, high = np.full_like(x, -1e4), np.zeros_like(x)
    for angle, tip in ((-31.0, (1250.0, -1050.0)), (-38.5, (1050.0, -1450.0))):
        a = np.radians(angle)
        dx, dy = x - tip[0], y - tip[1]
        along = dx * np.cos(a) + dy * np.sin(a)
        across = -dx * np.sin(a) + dy * np.cos(a)
        half = 90.0 + 0.115 * np.clip(along, 0.0, None)
        inside = np.minimum(half - np.abs(across), along + 50.0 - np.abs(across) * 0.4)
        z = 900.0 + 0.3 * along + 130.0 * np.sqrt(np.clip(1.0 - (across / half) ** 2, 0.0, 1.0))
        high = np.where(inside > best, z, high)
        best = np.maximum(best, inside)
    return f32(best), f32(high), f32(x * 0.83 - y * 0.55)


def _plastic(
    frame: Frame,
    height: F32,
    inside: F32,
    piece: FacePiece,
    lamps: light.Light,
    rng: np.random.Generator,
    px: F32,
    py: F32,
) -> F32:
    rough_height = f32(
        blur(height, 0.8) + 0.9 * noise(rng, frame.shape, 3.0) + 2.0 * noise(rng, frame.shape, 60.0)
    )
    nx, ny, nz = light.normals(rough_height, frame.sx, frame.sy)
    albedo = material.plastic(frame, rng)
    gloss = np.ones_like(nx)
    for k, d in enumerate(piece.defects):
        if isinstance(d, Splay):
            silver = splay_strength(px, py, d, np.random.default_rng([7, k]))
            gloss = f32(gloss + 1.2 * silver)
            albedo = f32(albedo * (1.0 + 0.05 * silver[..., None]))
    surface = light.Surface(nx, ny, nz, albedo, np.full_like(nx, 0.48), gloss, (40.0, 30.0, 24.0))
    cover = step(inside, -2.75, 2.75)
    shade = light.hollow_shade(f32(np.where(inside > 0, height, 0.0)), frame.pixel, (60.0, 220.0), 0.30)
    shadows = [light.shadow(height, s, sx=frame.sx, sy=frame.sy, deepest=700.0) for s in lamps.lamps]
    colour = light.reflect_all(surface, lamps, shadows, shade, cover, frame.pixel)
    glow = 0.10 * np.exp(-np.clip(inside, 0, None) / 60.0)
    return f32(colour + albedo * (glow * lamps.exposure)[..., None])


def _stage(frame: Frame, lit: F32, seeds: Seeds) -> F32:
    rng = seeds.look(1)
    weave = 0.10 * noise(rng, frame.shape, 2.2) + 0.05 * noise(rng, frame.shape, 9.0)
    stage = f32(material.stage_colour(frame, rng) * (1.15 + weave)[..., None] * lit[..., None])
    bits = dust.grains(frame, rng, 130, 9.0, 60.0)
    stage = mix(stage, f32(material.POM * 0.45) * lit[..., None], 0.7 * bits[..., None])
    for _ in range(6):
        start = (rng.uniform(-5200, 5200), rng.uniform(-3900, 3900))
        lint = dust.fibre(frame, rng, start, rng.uniform(600, 2200), 16.0)
        stage = mix(stage, f32(np.array([0.34, 0.37, 0.44])) * lit[..., None], 0.55 * lint[..., None])
    return f32(blur_all(stage, 1.0))


def blur_all(colour: F32, width: float) -> F32:
    """Blur three planes alike."""
    return f32(np.stack([blur(np.ascontiguousarray(colour[..., c]), width) for c in range(3)], axis=-1))


def _steel(frame: Frame, height: F32, along: F32, lamps: light.Light, rng: np.random.Generator) -> F32:
    grind = noise(rng, frame.shape, (2.0, 60.0)) * 0.5 + noise(rng, frame.shape, 4.0) * 0.4
    nx, ny, nz = light.normals(f32(height + grind), frame.sx, frame.sy)
    grey = np.full((*height.shape, 3), 0.10, np.float32) * np.array([0.98, 1.0, 1.03], np.float32)
    surface = light.Surface(nx, ny, nz, f32(grey), np.full_like(nx, 0.40), 9.0, (3.0, 3.0, 3.0))
    received, shine = light.reflect(surface, lamps, None, np.ones_like(nx))
    return f32((grey * received[..., None] + shine[..., None]) * lamps.exposure)
