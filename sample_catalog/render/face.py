"""The collar's top face under the microscope, in ring light or in low-angle light."""

from dataclasses import dataclass

import numpy as np

from . import dust, lens, light, material
from .arrays import F32, F64, all_in_bands, blur, f32, grow, in_bands, mix, noise, shift, shrink, step
from .defects import BORE_UM, RIM_UM, SEAT_UM, TALL_UM, Defect, Flash, Speck, Splay, flash_profile, speck_outline
from .frame import Frame, turn, turn_back
from .heightfield import Collar, collar


@dataclass(frozen=True)
class FacePiece:
    """A piece lying face up: cavity number, how it is turned, its defects and its gate stub."""

    cavity: int
    turned: float
    defects: tuple[Defect, ...]
    stub_um: float = 130.0


@dataclass(frozen=True)
class Seeds:
    """Separate random starts, so a change of texture never moves a defect."""

    seed: int

    def shape(self, index: int) -> np.random.Generator:
        """Return the start for one defect's geometry."""
        return np.random.default_rng([self.seed, 1, index])

    def look(self, part: int = 0) -> np.random.Generator:
        """Return the start for textures, dust and lamps."""
        return np.random.default_rng([self.seed, 2, part])

    def sensor(self) -> np.random.Generator:
        """Return the start for the sensor's noise."""
        return np.random.default_rng([self.seed, 3])


def render_face(
    frame: Frame,
    piece: FacePiece,
    *,
    low: bool,
    seeds: Seeds,
    camera: lens.Camera,
    lamps: light.Light | None = None,
) -> F32:
    """Return the linear light that reaches the sensor plane, before the lens; `lamps` other than the view's own."""
    gx, gy = frame.grid()
    x, y = turn(gx, gy, piece.turned)
    body = collar(x, y, piece.cavity, piece.defects)
    if lamps is None:
        lamps = light.low_light(seeds.look(9), 1.38) if low else light.ring_light(seeds.look(9), 0.585)
    back = _behind(frame, piece, lamps, seeds, camera)
    colour = _face_colour(frame, body, piece, lamps, low, seeds)
    cover = step(body.edge, -0.5 * frame.pixel, 0.5 * frame.pixel)
    scene = mix(back, colour, cover[..., None])
    return _with_dust(frame, _with_flash(frame, scene, body, piece, lamps, seeds, camera), body, seeds)


def _face_colour(
    frame: Frame, body: Collar, piece: FacePiece, lamps: light.Light, low: bool, seeds: Seeds
) -> F32:
    rng = seeds.look(0)
    pixel = frame.pixel
    seat = 1.0 - step(body.r, 796.0, 804.0)
    texture, grain = _texture(frame, body, seat, rng)
    z = f32(body.z + texture)
    albedo, rough, gloss = material.plastic(frame, rng), f32(mix(0.50, 0.36, seat)), np.ones_like(z)
    albedo = f32(albedo * grain[..., None])
    edges = _rounded_edges(body)
    rough = mix(rough, 0.24, edges)
    z = f32(z - 0.75 * texture * edges)
    short = step(f32(-np.abs(body.front)), -130.0, -15.0)
    rough = mix(rough, 0.26, short)
    for k, defect in enumerate(piece.defects):
        if isinstance(defect, Splay):
            silver = splay_strength(body.x, body.y, defect, seeds.shape(k))
            albedo = f32(albedo * (1.0 + 0.10 * silver[..., None] * np.array([0.9, 1.0, 1.15])))
            z, gloss = f32(z + 0.5 * silver), f32(gloss + 2.2 * silver)
            rough = mix(rough, 0.42, np.clip(silver, 0, 1))
    nx, ny, nz = light.normals(z, frame.sx, frame.sy)
    surface = light.Surface(nx, ny, nz, albedo, rough, gloss)
    cover = step(body.edge, -0.5 * pixel, 0.5 * pixel)
    high = f32(np.where(body.edge > 0, z, -TALL_UM))
    shadows = [
        light.shadow(high, s, sx=frame.sx, sy=frame.sy, deepest=115.0, factor=2 if low else 4)
        for s in lamps.lamps
    ]
    shade = light.hollow_shade(f32(np.maximum(z, -140.0)), pixel, (6.0, 24.0, 90.0), 0.5)
    colour = light.reflect_all(surface, lamps, shadows, shade, cover, pixel)
    colour = f32(colour + albedo * _edge_glow(frame, body, lamps, low)[..., None])
    return _with_specks(frame, colour, piece, seeds)


def _rounded_edges(body: Collar) -> F32:
    """Return 1 on the edges' roundings, which the polished mould leaves smooth and shiny."""

    def work(edge: F32, r: F32) -> F32:
        near = np.exp(-((np.maximum(edge - 6.0, 0.0) / 8.0) ** 2))
        return f32(np.maximum(near, np.exp(-(((r - SEAT_UM - 6.0) / 8.0) ** 2))))

    return in_bands(work, body.edge, body.r)


def _texture(frame: Frame, body: Collar, seat: F32, rng: np.random.Generator) -> tuple[F32, F32]:
    pixel = frame.pixel
    rings = material.turned(body.r, rng)
    pits = material.eroded(frame, rng, 5.5)
    warp = noise(rng, frame.shape, 520.0 / pixel)
    orange = noise(rng, frame.shape, 34.0 / pixel)
    lines = material.scratches(frame, rng, 40)
    flat = 1.0 - step(body.pad, -2.0, 2.0)

    def work(
        rings: F32, pits: F32, warp: F32, orange: F32, seat: F32, lines: F32, flat: F32
    ) -> tuple[F32, F32]:
        land = 0.08 * rings + 0.34 * pits + 0.11 * orange + 0.9 * warp
        polished = 0.05 * rings + 0.05 * orange + 0.3 * lines
        made = land + (polished - land) * seat
        made += (1.0 - flat) * (0.9 * pits - 0.08 * rings) + lines * 0.15 * flat
        # the tool's pits and rings also catch light below the pixel's size
        tone = (0.055 * (pits + 0.45) * (1.6 - 0.6 * flat) + 0.010 * rings + 0.012 * orange) * (
            1.0 - 0.75 * seat
        )
        return f32(made), f32(1.0 + tone + 0.03 * warp)

    made, tone = all_in_bands(work, rings, pits, warp, orange, seat, lines, flat)
    return made, tone


def _edge_glow(frame: Frame, body: Collar, lamps: light.Light, low: bool) -> F32:
    """Return the light that entered by the walls and comes out near the edges."""
    x, y = frame.grid()

    def work(x: F32, y: F32, r: F32, out: F32, inner: F32) -> F32:
        r, out, inner = np.maximum(r, 1.0), np.maximum(out, 0.0), np.maximum(inner, 0.0)
        by_rim = 0.55 * np.exp(-out / 55.0) + 0.45 * np.exp(-out / 260.0)
        by_bore = 0.25 * np.exp(-inner / 70.0)
        glow = np.zeros_like(r)
        for lamp in lamps.lamps:
            facing = (x * lamp.x + y * lamp.y) * lamp.power / r
            glow += np.maximum(facing, 0.0) * by_rim + np.maximum(-facing, 0.0) * by_bore
        return f32(glow)

    return f32(
        in_bands(work, x, y, body.r, body.edge_out, body.edge_in) * (0.34 if low else 0.16) * lamps.exposure
    )


def splay_strength(x: F32, y: F32, splay: Splay, rng: np.random.Generator) -> F32:
    """Return how silvery each point is: streaks running away from the gate."""
    dx, dy = x, f32(RIM_UM - y)
    far = f32(np.hypot(dx, dy))
    angle = f32(np.arctan2(dx, np.maximum(dy, 1.0)))
    half = np.radians(splay.half_angle_deg)
    inside = np.clip(1.0 - (np.abs(angle) / half) ** 2, 0.0, 1.0)
    fade = step(far, 30.0, 140.0) * (1.0 - step(far, 0.45 * splay.reach_um, splay.reach_um))
    table = np.cumsum(rng.standard_normal(4000))
    fine = rng.standard_normal(4000)
    line = np.convolve(fine, np.hanning(9), "same") + 0.9 * np.convolve(fine[::-1], np.hanning(31), "same")
    line = line / line.std() + 0.0 * table
    bent = angle / half + 0.03 * np.sin(far / 140.0 + 7.0 * angle) + 0.02 * np.sin(far / 47.0)
    streak = np.interp(bent, np.linspace(-1.2, 1.2, 4000), line)
    ends = np.interp(
        bent, np.linspace(-1.2, 1.2, 4000), np.convolve(rng.uniform(-0.5, 0.5, 4000), np.hanning(40), "same")
    )
    length = np.clip(1.2 - far / splay.reach_um + 0.35 * ends, 0.0, 1.0)
    return f32(splay.strength * np.clip(streak * 0.55 + 0.25, 0.0, 1.8) * inside * fade * length)


def _with_specks(frame: Frame, colour: F32, piece: FacePiece, seeds: Seeds) -> F32:
    for k, defect in enumerate(piece.defects):
        if isinstance(defect, Speck):
            middle = place(_polar_point(defect.radius_um, defect.angle_deg), piece)
            at = frame.around(
                float(middle[0]), float(middle[1]), defect.diameter_um + 60, defect.diameter_um + 60
            )
            part = frame.cut(*at)
            colour[at] = _speck(part, colour[at], piece, defect, seeds.shape(k), seeds.look(20 + k))
    return colour


def _polar_point(radius: float, angle_deg: float) -> F64:
    a = np.radians(angle_deg)
    return np.array([radius * np.cos(a), radius * np.sin(a)])


def _speck(
    frame: Frame,
    colour: F32,
    piece: FacePiece,
    speck: Speck,
    rng: np.random.Generator,
    look: np.random.Generator,
) -> F32:
    angle, radius = speck_outline(speck, rng)
    x, y = turn(*frame.grid(), piece.turned)
    middle = _polar_point(speck.radius_um, speck.angle_deg)
    dx, dy = f32(x - float(middle[0])), f32(y - float(middle[1]))
    away = f32(np.hypot(dx, dy))
    around = np.mod(np.arctan2(dy, dx), 2 * np.pi)
    inside = f32(np.interp(around, np.append(angle, 2 * np.pi), np.append(radius, radius[0])) - away)
    cover = blur(
        step(inside, -0.5 * frame.pixel, 0.5 * frame.pixel), float(look.uniform(2.2, 3.4)) / frame.pixel
    )
    haze = np.clip(0.965 + 0.008 * noise(look, frame.shape, 22.0 / frame.pixel), 0.0, 1.0)
    halo = 0.10 * np.exp(-np.clip(-inside, 0, None) / 30.0) * (inside < 0)
    dark = f32(material.SPECK * 0.8 + 0.024 * colour.mean(axis=-1, keepdims=True))
    colour = f32(colour * (1.0 - halo[..., None]))
    return mix(colour, dark, f32(cover * haze)[..., None])


def _behind(full: Frame, piece: FacePiece, lamps: light.Light, seeds: Seeds, camera: lens.Camera) -> F32:
    """Return the stage, the bore's wall and the gate stub, all out of focus, worked out on coarser pixels."""
    rng = seeds.look(1)
    frame = full.coarse(4)
    body = collar(*turn(*frame.grid(), piece.turned), piece.cavity, piece.defects)
    solid = f32(body.edge > 0)
    lit = stage_light(frame, solid, lamps, TALL_UM)
    stage = material.stage_colour(frame, rng) * lit[..., None]
    bounce = blur(solid, 260.0 / frame.pixel) * 0.010
    stage = f32(stage + bounce[..., None] * material.POM * lamps.exposure)
    fluff = dust.grains(frame, rng, int(26 * frame.width * frame.height / 3.1e6) + 1, 12.0, 60.0)
    stage = mix(stage, f32(material.POM * 0.30) * lit[..., None], fluff[..., None] * 0.7)
    for _ in range(2):
        start = (rng.uniform(-1700, 1700), rng.uniform(-1300, 1300))
        lint = dust.fibre(frame, rng, start, rng.uniform(300, 900), 14.0)
        stage = mix(stage, f32(np.array([0.30, 0.33, 0.40])) * lit[..., None], 0.5 * lint[..., None])
    deep = np.clip((BORE_UM - body.r) / 20.0, 0.0, 1.0)
    wall = material.POM * (0.26 * np.exp(-3.0 * deep) + 0.05)[..., None] * lamps.exposure
    inside = step(f32(BORE_UM - body.r), -60.0, -40.0) * (1.0 - step(f32(BORE_UM - body.r), 15.0, 24.0))
    back = mix(stage, f32(wall), inside[..., None])
    width = lens.focus_blur(frame, camera, TALL_UM)
    back = f32(np.stack([blur(np.ascontiguousarray(back[..., c]), width) for c in range(3)], axis=-1))
    back = _with_stub(frame, back, body, piece, lamps, camera)
    planes = [grow(np.ascontiguousarray(back[..., c]), full.height, full.width, 4, 4) for c in range(3)]
    return f32(np.stack(planes, axis=-1))


def stage_light(frame: Frame, solid: F32, lamps: light.Light, tall_um: float) -> F32:
    """Return how much light each stage point gets, the piece standing in its way."""
    factor = max(1, min(8, frame.width // 64))
    small = shrink(solid, factor, factor)
    px, py = frame.sx * factor, frame.sy * factor
    total = np.full_like(small, lamps.ambient)
    total *= 1.0 - 0.55 * blur(small, 300.0 / px)
    for lamp in lamps.lamps:
        flat = float(np.hypot(lamp.x, lamp.y))
        blocked = np.zeros_like(small)
        steps = int(min(tall_um * lamp.reach, 4500.0) / px) + 1
        for k in range(steps):
            away = k * px
            part = shift(
                small, int(round(lamp.y / flat * away / py)), int(round(lamp.x / flat * away / px)), 0.0
            )
            blocked = np.maximum(blocked, part)
        total += (1.0 - 0.96 * blur(blocked, 40.0 / px)) * lamp.power * lamp.z * 1.25
    return f32(grow(f32(total), frame.height, frame.width, factor, factor) * lamps.exposure)


def _with_stub(
    frame: Frame, back: F32, body: Collar, piece: FacePiece, lamps: light.Light, camera: lens.Camera
) -> F32:
    past = body.y - RIM_UM
    half = 118.0 - 0.12 * past
    t = np.clip(body.x / half, -1, 1)
    cover = f32((np.abs(body.x) < half) & (past > -80) & (past < piece.stub_um + 6 * np.cos(body.x / 31.0)))
    facing = np.sqrt(1.0 - t * t)
    colour = material.POM * (0.22 + 0.62 * facing)[..., None] * lamps.exposure * 0.62
    width = np.full_like(cover, lens.focus_blur(frame, camera, 430.0))
    return lens.over(back, *lens.defocus(f32(colour), cover, width))


def _with_flash(
    frame: Frame,
    scene: F32,
    body: Collar,
    piece: FacePiece,
    lamps: light.Light,
    seeds: Seeds,
    camera: lens.Camera,
) -> F32:
    for k, defect in enumerate(piece.defects):
        if isinstance(defect, Flash):
            scene = _fin(frame, scene, piece, defect, lamps, seeds, k, camera)
    return scene


def _fin_window(frame: Frame, piece: FacePiece, flash: Flash) -> tuple[Frame, Collar, tuple[slice, slice]]:
    middle = place(_polar_point(flash.edge_um, flash.angle_deg), piece)
    reach = flash.arc_um / 2 + flash.reach_um + 60.0
    at = frame.around(float(middle[0]), float(middle[1]), reach, reach)
    part = frame.cut(*at)
    return part, collar(*turn(*part.grid(), piece.turned), piece.cavity, ()), at


def _fin(
    frame: Frame,
    scene: F32,
    piece: FacePiece,
    flash: Flash,
    lamps: light.Light,
    seeds: Seeds,
    k: int,
    camera: lens.Camera,
) -> F32:
    part, body, whole = _fin_window(frame, piece, flash)
    back, scene, frame = scene, scene[whole], part
    s, reach = flash_profile(flash, seeds.shape(k))
    middle = np.radians(flash.angle_deg)
    turn_by = np.mod(np.arctan2(body.y, body.x) - middle + np.pi, 2 * np.pi) - np.pi
    along = f32(turn_by * flash.edge_um)
    sign = -1.0 if flash.where == "bore" else 1.0
    out = f32((body.r - flash.edge_um) * sign)
    limit = f32(np.interp(along, s, reach, left=0.0, right=0.0))
    slope = np.interp(along, s, np.gradient(reach, s), left=0.0, right=0.0)
    inside = f32((limit - out) / np.sqrt(1.0 + slope * slope))
    cover = step(inside, -0.5 * frame.pixel, 0.5 * frame.pixel) * (limit > 0.3) * step(out, -6.0, -2.0)
    look = seeds.look(40 + k)
    ripple = noise(look, frame.shape, 30.0 / frame.pixel)
    rim = np.exp(-np.clip(inside, 0, None) / 4.5)
    root = np.exp(-np.clip(out, 0, None) / 16.0)
    grey = 0.60 + 0.05 * ripple + 0.30 * rim + 0.16 * root
    bright = 1.0 if len(lamps.lamps) > 2 else 0.45
    fin = material.POM * np.array([1.02, 1.0, 0.965]) * (grey * bright * lamps.exposure * 1.15)[..., None]
    opaque = np.clip(0.74 + 0.04 * ripple + 0.2 * rim + 0.2 * root, 0.0, 0.97)
    width = np.full_like(cover, lens.focus_blur(frame, camera, 40.0 if flash.where == "bore" else 6.0))
    back[whole] = lens.over(scene, *lens.defocus(f32(fin), f32(cover * opaque), width))
    return back


def _with_dust(frame: Frame, scene: F32, body: Collar, seeds: Seeds) -> F32:
    rng = seeds.look(2)
    area = frame.width * frame.height / 3.1e6
    solid = step(body.edge, 4.0, 8.0)
    bits = dust.grains(frame, rng, int(46 * area) + 1, 3.0, 11.0) * solid
    under = shift(bits, -2, -1, 0.0)
    scene = f32(scene * (1.0 - 0.35 * under[..., None]))
    scene = mix(scene, f32(np.array([0.70, 0.69, 0.66])), 0.55 * bits[..., None])
    angle, where = rng.uniform(0, 2 * np.pi), rng.uniform(920, 1120)
    start = (float(where * np.cos(angle)), float(where * np.sin(angle)))
    lint = dust.fibre(frame, rng, start, rng.uniform(120, 260), 6.5) * solid
    scene = f32(scene * (1.0 - 0.30 * blur(shift(lint, -3, -2, 0.0), 1.2)[..., None]))
    return mix(scene, f32(np.array([0.36, 0.40, 0.50])), 0.62 * lint[..., None])


def place(points: F64, piece: FacePiece) -> F64:
    """Turn points of the piece into µm of the picture."""
    return turn_back(points, piece.turned, (0.0, 0.0))
