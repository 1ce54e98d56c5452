"""Lamps and what a surface sends back: diffuse light, gloss, shadow, light inside the plastic."""

from dataclasses import dataclass, field

import numpy as np

from .arrays import F32, blur, f32, grow, in_bands, shift, shrink, slopes


@dataclass(frozen=True)
class Lamp:
    """A distant lamp: unit direction towards it (x right, y down, z to the viewer) and strength."""

    x: float
    y: float
    z: float
    power: float
    size: float = 0.08

    @property
    def reach(self) -> float:
        """Horizontal way per unit of height."""
        return float(np.hypot(self.x, self.y)) / max(self.z, 1e-3)


@dataclass(frozen=True)
class Light:
    """A set of lamps with the even light from everywhere."""

    lamps: tuple[Lamp, ...]
    ambient: float
    exposure: float


@dataclass(frozen=True)
class Surface:
    """What the light falls on: normals, colour, gloss per pixel."""

    nx: F32
    ny: F32
    nz: F32
    albedo: F32
    rough: F32
    gloss: F32 | float = 1.0
    soften_um: tuple[float, float, float] = field(default=(16.0, 11.0, 8.0))


def lamp(azimuth: float, elevation: float, power: float, size: float = 0.08) -> Lamp:
    """Make a lamp from degrees: azimuth from 3 o'clock clockwise, elevation above the stage."""
    a, e = np.radians(azimuth), np.radians(elevation)
    return Lamp(float(np.cos(a) * np.cos(e)), float(np.sin(a) * np.cos(e)), float(np.sin(e)), power, size)


def ring_light(rng: np.random.Generator, exposure: float = 1.0) -> Light:
    """Return eight lamps around the lens, none exactly like another."""
    start = 11.0
    lamps = tuple(
        lamp(start + 45.0 * k, 57.0 + rng.normal(0, 0.8), 0.125 * (1.0 + rng.normal(0, 0.07)), 0.10)
        for k in range(8)
    )
    return Light(lamps, 0.22, exposure)


def low_light(rng: np.random.Generator, exposure: float = 1.0) -> Light:
    """Return one grazing lamp from upper left with a little light from the room."""
    azimuth, tall = 214.0 + rng.normal(0, 2.0), 10.5 + rng.normal(0, 0.4)
    return Light((lamp(azimuth, tall, 1.0, 0.05), lamp(azimuth + 9, tall + 4, 0.35, 0.1)), 0.045, exposure)


def normals(height: F32, sx: float, sy: float) -> tuple[F32, F32, F32]:
    """Return unit normals of a height field."""
    dx, dy = slopes(height, sx, sy)
    scale = f32(1.0 / np.sqrt(1.0 + dx * dx + dy * dy))
    return f32(-dx * scale), f32(-dy * scale), scale


def shadow(height: F32, source: Lamp, *, sx: float, sy: float, deepest: float, factor: int = 2) -> F32:
    """Return 1 where the lamp reaches the height field, 0 in full shadow, softly between."""
    small = shrink(height, factor, factor)
    px, py = sx * factor, sy * factor
    flat = float(np.hypot(source.x, source.y))
    ux, uy = source.x / flat, source.y / flat
    far = deepest * source.reach
    dark = np.zeros_like(small)
    away = 1.2 * max(px, py)
    while away <= far:
        other = shift(small, int(round(uy * away / py)), int(round(ux * away / px)), -1e6)
        over = other - small - away / source.reach
        dark = np.maximum(dark, np.clip(over / (0.8 + 0.05 * away), 0.0, 1.0))
        away *= 1.22 if factor < 4 else 1.35
    return f32(1.0 - grow(f32(dark), height.shape[0], height.shape[1], factor, factor))


def hollow_shade(height: F32, pixel_um: float, reaches_um: tuple[float, ...], strength: float) -> F32:
    """Darken what lies below its surroundings, at several widths."""
    shade = np.ones_like(height)
    for reach in reaches_um:
        depth = blur(height, reach / pixel_um) - height
        shade *= np.clip(1.0 - strength * depth / reach, 0.25, 1.12).astype(np.float32)
    return f32(shade)


def reflect(surface: Surface, light: Light, shadows: list[F32] | None, shade: F32) -> tuple[F32, F32]:
    """Return the diffuse light received and the gloss sent back, each one plane."""
    gloss = np.broadcast_to(np.asarray(surface.gloss, np.float32), shade.shape)
    seen = shadows if shadows is not None else [shade] * len(light.lamps)

    def work(nx: F32, ny: F32, nz: F32, rough: F32, shade: F32, gloss: F32, *seen: F32) -> F32:
        received = light.ambient * shade * (0.6 + 0.4 * nz)
        shine = np.zeros_like(nz)
        for source, open_sky in zip(light.lamps, seen, strict=True):
            facing = nx * source.x + ny * source.y + nz * source.z
            received += np.maximum((facing + 0.06) / 1.06, 0.0) * open_sky * (source.power * 1.25)
            shine += _gloss(nx, ny, nz, rough, source) * np.maximum(facing, 0.0) * open_sky
        return f32(np.stack([received, shine * gloss], axis=-1))

    both = in_bands(work, surface.nx, surface.ny, surface.nz, surface.rough, shade, gloss, *seen)
    return np.ascontiguousarray(both[..., 0]), np.ascontiguousarray(both[..., 1])


def _gloss(nx: F32, ny: F32, nz: F32, rough: F32, source: Lamp) -> F32:
    """Return the share of the lamp thrown to the viewer by a rough surface (GGX lobe, Schlick's Fresnel term)."""
    long = float(np.sqrt(source.x**2 + source.y**2 + (source.z + 1.0) ** 2))
    hx, hy, along = source.x / long, source.y / long, (source.z + 1.0) / long
    fresnel = 0.045 + 0.955 * (1.0 - along) ** 5
    near = nx * hx + ny * hy + nz * along
    wide = rough * rough + source.size * source.size
    a2 = wide * wide
    fall = near * near * (a2 - 1.0) + 1.0
    return f32(a2 / (fall * fall) * (fresnel * source.power * 3.0 / (4.0 * along * along * np.pi)))


def spread_inside(
    received: F32, cover: F32, pixel_um: float, widths_um: tuple[float, float, float]
) -> list[F32]:
    """Let the light wander in the milky plastic, red farthest; returns three planes, worked out coarsely."""
    factor = max(1, min(4, int(7.0 / pixel_um)))
    weight, solid = shrink(f32(received * cover), factor, factor), shrink(cover, factor, factor)
    coarse = pixel_um * factor
    wide = blur(weight, 70.0 / coarse) / (0.25 + 0.75 * blur(solid, 70.0 / coarse) + 1e-3)
    planes = []
    for width in widths_um:
        near = blur(weight, width / coarse) / (blur(solid, width / coarse) + 1e-3)
        planes.append(grow(f32(0.40 * near + 0.26 * wide), received.shape[0], received.shape[1], factor, factor))
    return planes


def reflect_all(
    surface: Surface, light: Light, shadows: list[F32] | None, shade: F32, cover: F32, pixel_um: float
) -> F32:
    """Return the colour sent to the lens by a milky surface, three planes, linear."""
    received, shine = reflect(surface, light, shadows, shade)
    inside = spread_inside(received, cover, pixel_um, surface.soften_um)

    def work(albedo: F32, received: F32, shine: F32, *inside: F32) -> F32:
        milky = np.stack(inside, axis=-1) + 0.34 * received[..., None]
        return f32((albedo * milky + shine[..., None]) * light.exposure)

    return in_bands(work, surface.albedo, received, shine, *inside)
