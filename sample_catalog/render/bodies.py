"""One picture of any of the other parts: its skin lit, laid over the stage, flash and dust on top."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from . import dust, lens, light, material
from .arrays import F32, F64, blur, f32, grow, mix, noise, shift, step
from .face import Seeds, stage_light
from .frame import Frame, turn, turn_back
from .marks import Fin, Mark, Nick, Offset, Stub, fin_heights, standing, stub_heights
from .skin import Skin, work_in
from .solids import Solid, cap, connector_end, connector_side, gear
from .stuff import PA_BLACK, PP_BLUE, Stuff, drawn, fibre_relief, stage_of

CAMERA = lens.Camera(aperture=0.016, sharp_um=2.2, grain=0.0048, vignette=0.14)


@dataclass(frozen=True)
class Kind:
    """A part in one view: its shape, what it is made of, how tall it stands, the height in focus."""

    shape: Callable[[F32, F32, int], Solid]
    stuff: Stuff
    tall_um: float
    focus_um: float = 0.0
    turns: bool = True
    """Whether pieces lie turned a little; a profile is set upright."""


KINDS: dict[str, Kind] = {
    "gear": Kind(gear, PA_BLACK, 700.0),
    "cap-outside": Kind(lambda x, y, mark: cap(x, y, mark, inside=False), PA_BLACK, 420.0),
    "cap-inside": Kind(lambda x, y, mark: cap(x, y, mark, inside=True), PA_BLACK, 420.0),
    "connector-end": Kind(connector_end, PP_BLUE, 900.0),
    "connector-side": Kind(connector_side, PP_BLUE, 300.0, 120.0, turns=False),
}


@dataclass(frozen=True)
class Posed:
    """A piece under the lens: which part and view, cavity, turn, and its faults."""

    kind: str
    cavity: int
    turned: float
    marks: tuple[Mark, ...]


def render_posed(frame: Frame, piece: Posed, *, low: bool, seeds: Seeds, camera: lens.Camera = CAMERA) -> F32:
    """Return the linear light that reaches the sensor plane, before the lens."""
    kind = KINDS[piece.kind]
    x, y = turn(*frame.grid(), piece.turned)
    solid = shaped(x, y, piece)
    lamps = _lamps(kind.stuff, low, seeds)
    cover = step(solid.edge, -0.5 * frame.pixel, 0.5 * frame.pixel)
    skin = _skin(frame, x, y, piece, solid, seeds)
    if low and kind.stuff.fibres:
        # what is black sends a low lamp's light up only where its skin is matt enough
        skin.rough, skin.gloss = f32(skin.rough + 0.18), f32(skin.gloss * 1.9)
    colour = _lit(skin, solid, cover, lamps, low=low)
    back = _behind(frame, piece, lamps, seeds, camera)
    scene = _onto(back, colour, cover, frame, solid, kind, camera)
    for k, mark in enumerate(piece.marks):
        if isinstance(mark, Fin | Stub):
            scene = _standing(scene, frame, piece, solid, lamps, seeds, k)
    return _with_dust(frame, scene, solid, seeds, kind.stuff)


def shaped(x: F32, y: F32, piece: Posed) -> Solid:
    """The piece's solid, with what bites into its outline or shifts a part of it."""
    for mark in piece.marks:
        if isinstance(mark, Offset):
            there = step(y, mark.from_y - 3.0, mark.from_y + 3.0) * (1.0 - step(y, mark.to_y - 3.0, mark.to_y + 3.0))
            x = f32(x - mark.shift_um * there)
    solid = KINDS[piece.kind].shape(x, y, piece.cavity)
    for mark in piece.marks:
        if isinstance(mark, Nick):
            away = f32(np.hypot(x - np.float32(mark.x), y - np.float32(mark.y)) - mark.radius_um)
            lip = np.exp(-((away / 16.0) ** 2))
            solid = Solid(f32(np.minimum(solid.edge, away)), f32(solid.z + 6.0 * lip), solid.polish, solid.deep)
    return solid


def _lamps(stuff: Stuff, low: bool, seeds: Seeds) -> light.Light:
    return light.low_light(seeds.look(9), stuff.low) if low else light.ring_light(seeds.look(9), stuff.ring)


def _skin(frame: Frame, x: F32, y: F32, piece: Posed, solid: Solid, seeds: Seeds) -> Skin:
    rng, stuff, pixel = seeds.look(0), KINDS[piece.kind].stuff, frame.pixel
    pits, orange = material.eroded(frame, rng, 5.5), noise(rng, frame.shape, 30.0 / pixel)
    warp = noise(rng, frame.shape, 480.0 / pixel)
    raw = f32(1.0 - solid.polish)
    z = f32(solid.z + 0.55 * pits * raw + 0.10 * orange + 0.8 * warp)
    tone = 1.0 + 0.05 * raw * pits + 0.02 * orange + 0.03 * warp
    albedo = f32(f32(stuff.albedo) * tone[..., None])
    rough = f32(stuff.rough + 0.10 * raw)
    edges = np.exp(-((np.maximum(solid.edge, 0.0) / 14.0) ** 2))
    if stuff.fibres:
        rods = fibre_relief(frame, rng)
        z = f32(z + stuff.fibres * 0.9 * rods)
        albedo = f32(albedo * (1.0 + 0.5 * rods[..., None]) + 0.010 * rods[..., None])
    rough = f32(np.clip(rough - 0.10 * edges, 0.16, 0.8))
    skin = Skin(frame, x, y, piece.turned, z, albedo, rough, f32(np.full_like(z, stuff.gloss)), stuff, [])
    for k, mark in enumerate(piece.marks):
        work_in(skin, mark, seeds.shape(k))
    return skin


def _lit(skin: Skin, solid: Solid, cover: F32, lamps: light.Light, *, low: bool) -> F32:
    frame, stuff = skin.frame, skin.stuff
    nx, ny, nz = light.normals(skin.z, frame.sx, frame.sy)
    surface = light.Surface(nx, ny, nz, skin.albedo, skin.rough, skin.gloss, stuff.soften_um)
    high = f32(np.where(solid.edge > 0, skin.z, -600.0))
    shadows = [
        light.shadow(high, lamp, sx=frame.sx, sy=frame.sy, deepest=160.0, factor=2 if low else 4)
        for lamp in lamps.lamps
    ]
    shade = light.hollow_shade(f32(np.maximum(skin.z, -260.0)), frame.pixel, (6.0, 24.0, 90.0), 0.5)
    colour = light.reflect_all(surface, lamps, shadows, shade, cover, frame.pixel)
    if stuff.glow:
        colour = f32(colour + _glow(frame, solid, skin, lamps))
    for tint, part in skin.over:
        colour = mix(colour, tint * np.float32(min(lamps.exposure, 1.2)), part[..., None])
    return colour


def _glow(frame: Frame, solid: Solid, skin: Skin, lamps: light.Light) -> F32:
    """Light that came through the wall: more where the wall is thin, and near the edges."""
    out = np.maximum(solid.edge, 0.0)
    near = 0.5 * np.exp(-out / 60.0) + 0.35 * np.exp(-out / 260.0)
    through = np.clip(1.0 - solid.deep, 0.0, 1.0) * 0.5
    return f32(skin.albedo * ((near + through) * skin.stuff.glow * lamps.exposure)[..., None])


def _onto(back: F32, colour: F32, cover: F32, frame: Frame, solid: Solid, kind: Kind, camera: lens.Camera) -> F32:
    width = f32(np.abs(solid.z - kind.focus_um) * (camera.aperture * 0.62 / frame.pixel))
    width = f32(np.where(width < 0.5, 0.0, np.minimum(width, 9.0)))
    if float((width * cover).max()) < 0.8:
        return mix(back, colour, cover[..., None])
    # An outline lies where its own height is in focus or not, whatever stands behind it.
    width = blur(f32(width * (solid.edge > 0)), 3.0)
    return lens.over(back, *lens.defocus(colour, cover, width))


def _behind(full: Frame, piece: Posed, lamps: light.Light, seeds: Seeds, camera: lens.Camera) -> F32:
    kind, rng = KINDS[piece.kind], seeds.look(1)
    frame = full.coarse(4)
    solid = f32(shaped(*turn(*frame.grid(), piece.turned), piece).edge > 0)
    lit = stage_light(frame, solid, lamps, kind.tall_um)
    stage = stage_of(frame, kind.stuff, rng) * lit[..., None]
    bounce = blur(solid, 200.0 / frame.pixel) * 0.05
    stage = f32(stage * (1.0 - 0.4 * bounce[..., None]) + bounce[..., None] * f32(kind.stuff.albedo) * lamps.exposure)
    bits = dust.grains(frame, rng, int(16 * frame.width * frame.height / 1e5) + 1, 10.0, 40.0)
    stage = mix(stage, f32(stage * 0.6), 0.5 * bits[..., None])
    width = lens.focus_blur(frame, camera, kind.tall_um)
    planes = [blur(np.ascontiguousarray(stage[..., c]), width) for c in range(3)]
    return f32(np.stack([grow(p, full.height, full.width, 4, 4) for p in planes], axis=-1))


def standing_outline(mark: Fin | Stub, rng: np.random.Generator) -> tuple[F64, F64]:
    """The outline of what stands on an edge, with its root, and its crest alone."""
    if isinstance(mark, Fin):
        return standing(mark.edge, fin_heights(mark, rng), mark.behind_um)
    return standing(mark.edge, stub_heights(mark, rng), 40.0)


def _standing(scene: F32, frame: Frame, piece: Posed, solid: Solid, lamps: light.Light, seeds: Seeds, k: int) -> F32:
    stuff, look, mark = KINDS[piece.kind].stuff, seeds.look(40 + k), piece.marks[k]
    assert isinstance(mark, Fin | Stub)
    outline, _ = standing_outline(mark, seeds.shape(k))
    grown = drawn(frame, turn_back(outline, piece.turned, (0.0, 0.0)))
    inside = blur(grown, 7.0 / frame.pixel)
    crest = np.clip(1.0 - np.abs(inside - 0.6) / 0.28, 0.0, 1.0) * grown
    cover = f32(grown * (1.0 - step(solid.edge, 2.0, 10.0)))
    ripple = noise(look, frame.shape, 26.0 / frame.pixel)
    thin = isinstance(mark, Fin)
    base = f32(stuff.albedo) * (0.85 if thin else 1.0) + (0.03 if stuff.fibres else 0.05 if thin else 0.015)
    tone = (0.85 if thin else 1.15) + 0.10 * ripple + 0.45 * crest
    colour = f32(base * (tone * min(lamps.exposure, 1.2))[..., None])
    opaque = np.clip((0.80 if thin else 0.985) + 0.15 * crest + 0.04 * ripple * thin, 0.0, 1.0)
    return mix(scene, colour, f32(cover * opaque)[..., None])


def _with_dust(frame: Frame, scene: F32, solid: Solid, seeds: Seeds, stuff: Stuff) -> F32:
    rng = seeds.look(2)
    on = step(solid.edge, 4.0, 10.0)
    bits = dust.grains(frame, rng, 26, 4.0, 12.0) * on
    scene = f32(scene * (1.0 - 0.3 * shift(bits, -2, -1, 0.0)[..., None]))
    return mix(scene, f32(np.array([0.46, 0.46, 0.45])), (0.35 if stuff.fibres else 0.5) * bits[..., None])
