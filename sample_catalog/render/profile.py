"""The gate seen from the side: the wall's silhouette with the torn stub standing on it."""

from dataclasses import dataclass

import numpy as np

from . import dust, lens, light, material
from .arrays import (
    F32,
    F64,
    all_in_bands,
    blur,
    f32,
    fractal,
    grow,
    in_bands,
    mix,
    noise,
    sample,
    slopes,
    step,
)
from .defects import RIM_UM, Defect, Pluck, Vestige, half_width, notch, torn_tops
from .face import Seeds
from .frame import Frame, turn_back

HALF_TALL_UM = 550.0


@dataclass(frozen=True)
class ProfilePiece:
    """A piece on its side, gate up: its turn, the gate's place on the wall, its defects."""

    turned: float
    gate_um: float
    defects: tuple[Defect, ...]

    @property
    def vestige(self) -> Vestige:
        """The gate stub."""
        return next(d for d in self.defects if isinstance(d, Vestige))


@dataclass(frozen=True)
class Outline:
    """Distances inside the wall and the stub and what lies between its lips, per pixel."""

    u: F32
    v: F32
    local: F32
    wall: F32
    stub: F32
    front: F32
    back: F32
    notch: F32
    half: F32

    @property
    def solid(self) -> F32:
        """Distance inside the silhouette."""
        return f32(np.maximum(self.wall, self.stub))


def outline(frame: Frame, piece: ProfilePiece, seeds: Seeds) -> Outline:
    """Return the silhouette's geometry; the wall's edge runs through the µm origin."""
    vestige = piece.vestige
    tops = torn_tops(vestige, seeds.shape(0))
    notches = [notch(d, seeds.shape(k)) for k, d in enumerate(piece.defects) if isinstance(d, Pluck)]
    return Outline(*all_in_bands(lambda x, y: _planes(x, y, piece, tops, notches), *frame.grid()))


def _planes(
    x: F32, y: F32, piece: ProfilePiece, tops: tuple[F64, F64, F64], notches: list[tuple[F64, F64]]
) -> tuple[F32, ...]:
    c, s = float(np.cos(piece.turned)), float(np.sin(piece.turned))
    u, v = f32(x * c + y * s), f32(x * s - y * c)
    deep, steep = np.zeros_like(u), np.zeros_like(u)
    for at, depth in notches:
        deep = np.maximum(deep, f32(np.interp(u, at, depth, left=0, right=0)))
        steep = np.maximum(steep, f32(np.abs(np.interp(u, at, np.gradient(depth, at), left=0, right=0))))
    wall = _rounded(f32((-v - deep) / np.sqrt(1.0 + steep * steep)), f32(HALF_TALL_UM - np.abs(u)), 24.0)
    vestige = piece.vestige
    local = f32(u - vestige.along_um - vestige.lean * np.clip(v, 0.0, None))
    at, front, back = tops
    half = f32(half_width(vestige, np.asarray(v, np.float64)))
    top, lip = f32(np.interp(local, at, back)), f32(np.interp(local, at, front))
    fall = np.interp(local, at, np.gradient(back, at))
    stub = np.minimum(half - np.abs(local), (top - v) / np.sqrt(1.0 + fall * fall))
    stub = np.where(v > -30.0, stub, -1e3)
    return u, v, local, wall, f32(stub), lip, top, f32(deep), half


def _rounded(a: F32, b: F32, r: float) -> F32:
    corner = r - np.hypot(np.clip(r - a, 0, None), np.clip(r - b, 0, None))
    return f32(np.where((a < r) & (b < r), corner, np.minimum(a, b)))


def render_profile(frame: Frame, piece: ProfilePiece, *, seeds: Seeds, camera: lens.Camera) -> F32:
    """Return the linear light that reaches the sensor plane, before the lens."""
    shape = outline(frame, piece, seeds)
    lamps = light.ring_light(seeds.look(9), 0.72)
    back = _background(frame, piece, seeds, lamps)
    wall = _wall(frame, shape, piece, lamps, seeds)
    scene = _lay(frame, back, wall, shape.wall, _wall_depth(shape), camera)
    _add_stub(frame, scene, piece, lamps, seeds, camera)
    if piece.vestige.string:
        scene = _string(frame, scene, piece, seeds)
    return _with_dust(frame, scene, shape, seeds)


def _add_stub(
    frame: Frame, scene: F32, piece: ProfilePiece, lamps: light.Light, seeds: Seeds, camera: lens.Camera
) -> None:
    """Draw the stub into the part of the scene where it stands."""
    v = piece.vestige
    middle = (v.along_um + 0.5 * v.lean * v.height_um, -0.5 * v.height_um)
    reach = v.base_um / 2 + 0.5 * abs(v.lean) * v.height_um + 60.0
    at = frame.around(*middle, reach, v.height_um / 2 + 60.0)
    part = frame.cut(*at)
    shape = outline(part, piece, seeds)
    stub = _stub(part, shape, piece, lamps, seeds)
    cover = np.minimum(shape.stub, (shape.v + 22.0) * 0.35)
    depth = f32(0.55 * np.clip(shape.half, 0, 130))
    scene[at] = _lay(part, scene[at], stub, f32(cover), depth, camera, soft=shape)


def _lay(
    frame: Frame,
    back: F32,
    colour: F32,
    inside: F32,
    depth: F32,
    camera: lens.Camera,
    soft: Outline | None = None,
) -> F32:
    cover = step(inside, -0.5 * frame.pixel, 0.5 * frame.pixel)
    if soft is not None:
        foot = step(soft.v, -14.0, 12.0)
        cover = f32(cover * np.where(soft.wall > 0, foot, 1.0))
        depth = f32(depth * np.clip(soft.stub / 30.0, 0.0, 1.0))
    width = f32(depth * camera.aperture * 0.62 / frame.pixel)
    return lens.over(back, *lens.defocus(colour, cover, width))


def _wall_depth(shape: Outline) -> F32:
    def work(v: F32, notch: F32) -> F32:
        d = np.clip(-v - notch, 0.0, RIM_UM)
        return f32(np.sqrt(np.maximum(2.0 * RIM_UM * d - d * d, 0.0)))

    return in_bands(work, shape.v, shape.notch)


def _wall(frame: Frame, shape: Outline, piece: ProfilePiece, lamps: light.Light, seeds: Seeds) -> F32:
    rng = seeds.look(0)
    up, out, rows, columns = all_in_bands(lambda u, v: _unrolled(frame, u, v), shape.u, shape.v)
    height = _wall_texture(frame, rng)
    hu, hs = slopes(height, frame.sx, frame.sy)
    pits = sample(f32(height - blur(height, 10.0)), rows, columns)
    hu, hs = sample(hu, rows, columns), sample(hs, rows, columns)
    torn, lean = _torn_hollow(frame, shape, rng)
    turned = (float(np.cos(piece.turned)), float(np.sin(piece.turned)))

    def work(hu: F32, hs: F32, u: F32, up: F32, out: F32, lean: F32) -> tuple[F32, ...]:
        line = 0.10 * np.exp(-(((u - 318.0) / 3.0) ** 2)) * np.sign(u - 318.0)
        return _facing(-hu - _ends(u) + line, up + hs * out + lean, out - hs * up, turned)

    nx, ny, nz = all_in_bands(work, hu, hs, shape.u, up, out, lean)
    albedo = mix(material.plastic(frame, rng), material.TORN, torn[..., None])
    albedo = in_bands(lambda a, p: f32(a * (1.0 + 0.11 * p[..., None])), albedo, pits)
    surface = light.Surface(nx, ny, nz, albedo, f32(0.46 + 0.19 * torn), 1.0)
    shade = in_bands(
        lambda *p: f32(_foot_shade(*p[:3]) * (1.0 - 0.25 * p[3])), shape.stub, shape.local, shape.v, torn
    )
    cover = step(shape.wall, -0.5 * frame.pixel, 0.5 * frame.pixel)
    colour = light.reflect_all(surface, lamps, None, shade, cover, frame.pixel)
    return in_bands(
        lambda c, a, w: f32(c + a * (_edge_thin(w) * lamps.exposure)[..., None]), colour, albedo, shape.wall
    )


def _unrolled(frame: Frame, u: F32, v: F32) -> tuple[F32, ...]:
    """Return the round wall's normal (up and out) and where on its unrolled texture each point lies."""
    d = np.clip(-v, 0.3, RIM_UM)
    up = f32(1.0 - d / RIM_UM)
    out = f32(np.sqrt(np.maximum(1.0 - up * up, 1e-4)))
    return up, out, f32(RIM_UM * np.arccos(up) / frame.sy), f32(u / frame.sx + 900.0)


def _facing(nu: F32, nv: F32, nz: F32, turned: tuple[float, float]) -> tuple[F32, F32, F32]:
    """Return unit normals in the picture's axes from ones along, above and out of the wall."""
    c, s = turned
    scale = 1.0 / np.sqrt(nu * nu + nv * nv + nz * nz + 1e-6)
    return f32((nu * c + nv * s) * scale), f32((nu * s - nv * c) * scale), f32(nz * scale)


def _edge_thin(inside: F32) -> F32:
    inside = np.maximum(inside, 0.0)
    return f32(0.10 * np.exp(-inside / 14.0) + 0.05 * np.exp(-inside / 90.0))


def _wall_texture(frame: Frame, rng: np.random.Generator) -> F32:
    pits = material.eroded(frame, rng, 6.5)
    return f32(
        1.0 * pits
        + 0.25 * noise(rng, frame.shape, 40.0 / frame.pixel)
        + 0.10 * noise(rng, frame.shape, (6.0 / frame.pixel, 160.0 / frame.pixel))
        + 1.1 * noise(rng, frame.shape, 420.0 / frame.pixel)
    )


def _ends(u: F32) -> F32:
    t = np.clip((np.abs(u) - (HALF_TALL_UM - 24.0)) / 24.0, 0.0, 0.985)
    return f32(np.sign(u) * t / np.sqrt(1.0 - t * t))


def _foot_shade(stub: F32, local: F32, v: F32) -> F32:
    beside = np.exp(-(np.hypot(np.clip(np.abs(local) - 128.0, 0, None), np.clip(-v, 0, None)) / 26.0))
    return f32(1.0 - 0.22 * beside * (stub < 0))


def _torn_hollow(frame: Frame, shape: Outline, rng: np.random.Generator) -> tuple[F32, F32]:
    """Return where the pluck's torn plastic is seen and how it leans, up positive."""
    if float(shape.notch.max()) <= 0.0:
        return np.zeros_like(shape.v), np.zeros_like(shape.v)
    below = np.clip(-shape.v - shape.notch, 0, None)
    ragged = 16.0 * fractal(rng, frame.shape, 30.0 / frame.pixel)
    fibres = fractal(rng, frame.shape, 13.0 / frame.pixel)
    reach = 0.95 * shape.notch + ragged + 4.0 * fibres
    torn = step(f32(reach - below), -3.0, 5.0) * step(shape.notch, 2.0, 8.0)
    return f32(torn), f32(torn * (0.55 * fibres - 0.35 + 0.5 * np.exp(-below / 12.0)))


def _stub(frame: Frame, shape: Outline, piece: ProfilePiece, lamps: light.Light, seeds: Seeds) -> F32:
    rng = seeds.look(3)
    t = np.clip(shape.local / np.maximum(shape.half, 1.0), -0.995, 0.995)
    torn, inner = _tear(frame, shape, piece.vestige, rng)
    pull = noise(rng, frame.shape, (52.0 / frame.pixel, 6.5 / frame.pixel))
    lumps = fractal(rng, frame.shape, 16.0 / frame.pixel, 4)
    pits = material.eroded(frame, rng, 5.0)
    rough_height = torn * (2.2 * pull + 2.6 * lumps) + (1.0 - torn) * (
        0.40 * pits + 0.5 * noise(rng, frame.shape, (70.0 / frame.pixel, 14.0 / frame.pixel))
    )
    hx, hy = slopes(blur(f32(rough_height), 0.7), frame.sx, frame.sy)
    nu = t * (1.0 - 0.6 * inner) - 0.9 * hx
    foot = np.clip(1.0 - np.clip(shape.v, 0.0, None) / 30.0, 0.0, 1.0) ** 1.6
    nv = 0.10 + 0.85 * inner + 0.9 * hy * (1.0 - 0.4 * inner) + 2.6 * foot
    nz = np.sqrt(1.0 - t * t) * (1.0 - 0.45 * inner)
    nx, ny, nz = _facing(
        f32(nu), f32(nv), f32(nz), (float(np.cos(piece.turned)), float(np.sin(piece.turned)))
    )
    white = np.clip(torn * (0.75 + 0.2 * lumps), 0.0, 1.0)
    albedo = mix(material.plastic(frame, rng), material.TORN, f32(white)[..., None])
    surface = light.Surface(nx, ny, nz, albedo, f32(0.46 + 0.10 * torn), 1.0, (11.0, 8.0, 6.0))
    shade = _tear_shade(frame, shape, inner, lumps, pull, torn)
    cover = step(shape.stub, -0.5 * frame.pixel, 0.5 * frame.pixel)
    colour = light.reflect_all(surface, lamps, None, shade, cover, frame.pixel)
    glow = 0.16 * np.exp(-np.clip(shape.stub, 0, None) / 9.0) + 0.06 * torn
    return f32(colour + albedo * (glow * lamps.exposure)[..., None])


def _tear(frame: Frame, shape: Outline, vestige: Vestige, rng: np.random.Generator) -> tuple[F32, F32]:
    """Return where the stub is whitened by tearing and where one looks into the tear."""
    ragged = fractal(rng, frame.shape, 40.0 / frame.pixel) * 0.05 * vestige.height_um
    streak = noise(rng, frame.shape, (90.0 / frame.pixel, 9.0 / frame.pixel)) * 0.06 * vestige.height_um
    lip = shape.front + 0.35 * ragged
    inner = step(f32(shape.v - lip), -2.0, 5.0)
    start = lip - 0.16 * vestige.height_um
    torn = step(f32(shape.v - start + ragged + streak), -0.06 * vestige.height_um, 0.10 * vestige.height_um)
    return f32(np.maximum(torn, inner)), f32(inner)


def _tear_shade(frame: Frame, shape: Outline, inner: F32, lumps: F32, pull: F32, torn: F32) -> F32:
    above = np.clip(shape.v - shape.front, 0.0, None)
    cave = inner * np.exp(-above / 10.0)
    shade = 1.0 - 0.42 * cave + torn * (0.10 * lumps + 0.06 * pull)
    lip = np.exp(-(((shape.v - shape.front + 3.0) / 3.5) ** 2)) * (1.0 - inner)
    foot = 0.30 * np.exp(-np.clip(shape.v, 0, None) / 14.0)
    return f32(np.clip(shade + 0.20 * lip - foot, 0.2, 1.3))


def _string(frame: Frame, scene: F32, piece: ProfilePiece, seeds: Seeds) -> F32:
    """Draw the short thread that the plastic pulled when the gate tore; it hangs below the top."""
    v = piece.vestige
    t = np.linspace(0.0, 1.0, 60)
    u = v.along_um + v.lean * v.height_um + 0.36 * v.top_um + 150.0 * t + 14.0 * np.sin(5 * t)
    w = 0.80 * v.height_um + 26.0 * np.sin(2.4 * t) - 70.0 * t * t
    line = turn_back(np.stack([u, -w], axis=1), piece.turned, (0.0, 0.0))
    cover = dust.curve(frame, line, 9.0)
    core = dust.curve(frame, line, 4.0)
    scene = mix(scene, f32(material.POM * 0.42), 0.85 * cover[..., None])
    return mix(scene, f32(material.TORN * 0.62), 0.7 * core[..., None])


def _background(full: Frame, piece: ProfilePiece, seeds: Seeds, lamps: light.Light) -> F32:
    """Return what lies far behind, out of focus, worked out on coarser pixels."""
    rng = seeds.look(1)
    frame = full.coarse(4)
    shape = outline(frame, piece, seeds)
    uneven = 0.16 * noise(rng, frame.shape, 700.0 / frame.pixel) + 0.05 * noise(
        rng, frame.shape, 160.0 / frame.pixel
    )
    base = f32(material.STAGE * (0.95 * np.clip(1.0 + uneven, 0.5, 1.6))[..., None] * lamps.exposure)
    fluff = blur(dust.grains(frame, rng, 9, 14.0, 44.0), 4.0)
    base = f32(base * (1.0 + 2.2 * fluff[..., None]))
    halo = blur(step(shape.solid, 0.0, 4.0), 120.0 / frame.pixel) * 0.012
    made = f32(base + halo[..., None] * material.POM * lamps.exposure)
    planes = [grow(np.ascontiguousarray(made[..., c]), full.height, full.width, 4, 4) for c in range(3)]
    return f32(np.stack(planes, axis=-1))


def _with_dust(frame: Frame, scene: F32, shape: Outline, seeds: Seeds) -> F32:
    rng = seeds.look(2)
    low = (
        step(f32(-shape.v), 20.0, 40.0)
        * step(shape.wall, 20.0, 40.0)
        * (1 - step(f32(-shape.v), 120.0, 240.0))
    )
    bits = dust.grains(frame, rng, int(90 * frame.width * frame.height / 3.1e6) + 1, 2.5, 8.0) * low
    scene = f32(scene * (1.0 - 0.3 * np.roll(bits, 3, axis=0)[..., None]))
    return mix(scene, f32(np.array([0.66, 0.65, 0.62])), f32(0.5 * bits[..., None]))
