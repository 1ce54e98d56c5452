"""Faults worked into a piece's skin: height, colour, gloss."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from . import dust
from .arrays import F32, F64, blur, f32, noise, shift, step
from .defects import Speck, speck_outline
from .frame import Frame, turn_back
from .marks import (
    Bubble,
    Burn,
    Crack,
    Dimple,
    Drag,
    FibreShow,
    FlowLines,
    Grain,
    Jet,
    Lint,
    Mark,
    Pin,
    Scar,
    Scratch,
    Weld,
    Whitening,
    jagged,
    jet_path,
    patch,
)
from .stuff import Stuff, drawn, fibre_relief

WHITE = np.array([0.74, 0.74, 0.72], np.float32)


@dataclass
class Skin:
    """A piece's skin while it is made: height, colour, roughness, gloss; and what is laid over it when it is lit."""

    frame: Frame
    x: F32
    y: F32
    turned: float
    z: F32
    albedo: F32
    rough: F32
    gloss: F32
    stuff: Stuff
    over: list[tuple[F32, F32]]
    """Colours with their cover, added after the light."""

    def put(self, points: F64) -> F64:
        """Points of the piece as µm of the picture."""
        return turn_back(np.asarray(points, np.float64), self.turned, (0.0, 0.0))

    def area(self, points: F64, soft_px: float = 0.55) -> F32:
        """The cover of a polygon of the piece."""
        return drawn(self.frame, self.put(points), soft_px=soft_px)

    def along(self, points: F64, width_um: float) -> F32:
        """The cover of a line of the piece."""
        return dust.curve(self.frame, self.put(points), width_um)

    def tint(self, colour: Any, cover: F32) -> None:
        """Colour the plastic where the cover says."""
        self.albedo = f32(self.albedo + (f32(colour) - self.albedo) * cover[..., None])

    def local(self, mark: Any) -> tuple[F32, F32]:
        """Coordinates along and across a mark that is `long_um` by `wide_um`, 1 on its ellipse."""
        a = np.radians(mark.turned_deg)
        dx, dy = self.x - np.float32(mark.x), self.y - np.float32(mark.y)
        along = (dx * np.cos(a) + dy * np.sin(a)) / (mark.long_um / 2)
        across = (dy * np.cos(a) - dx * np.sin(a)) / (mark.wide_um / 2)
        return f32(along), f32(across)


def grain_outline(mark: Grain, rng: np.random.Generator) -> F64:
    """Corners of a particle."""
    angle, radius = speck_outline(Speck(mark.diameter_um, 0.0, 0.0), rng, corners=180)
    return np.stack([mark.x + radius * np.cos(angle), mark.y + radius * np.sin(angle)], axis=1)


def work_in(skin: Skin, mark: Mark, rng: np.random.Generator) -> None:
    """Work one fault into the skin; those that only change the outline aren't known here."""
    maker: Callable[..., None] | None = _MAKERS.get(type(mark))
    if maker is not None:
        maker(skin, mark, rng)


def _grain(skin: Skin, mark: Grain, rng: np.random.Generator) -> None:
    cover = blur(skin.area(grain_outline(mark, rng)), 2.0 / skin.frame.pixel)
    uneven = np.clip(1.0 + 0.12 * noise(rng, skin.frame.shape, 14.0 / skin.frame.pixel), 0.6, 1.4)
    colour = np.array([0.42, 0.34, 0.22]) if mark.pale else np.array([0.035, 0.028, 0.022])
    halo = np.clip(blur(cover, 18.0 / skin.frame.pixel) - cover, 0.0, 1.0)
    skin.albedo = f32(skin.albedo * (1.0 - 0.25 * halo[..., None]))
    skin.tint(f32(colour) * uneven[..., None], f32(cover * 0.94))
    skin.gloss = f32(skin.gloss * (1.0 - 0.5 * cover))
    skin.over.append((f32(colour * 0.5), f32(0.55 * cover)))


def _scratch(skin: Skin, mark: Scratch, rng: np.random.Generator) -> None:
    line = jagged(mark.points, rng, 2.0)
    groove = skin.along(line, mark.width_um)
    burr = np.clip(skin.along(line, mark.width_um * 2.2) - groove, 0.0, 1.0)
    uneven = np.clip(1.0 + 0.5 * noise(rng, skin.frame.shape, 30.0 / skin.frame.pixel), 0.2, 1.6)
    skin.z = f32(skin.z - mark.depth_um * groove + 0.45 * mark.depth_um * burr * uneven)
    skin.tint(WHITE * 0.55, f32(0.42 * groove * np.clip(uneven, 0.4, 1.2)))
    skin.rough = f32(skin.rough - 0.10 * groove)


def _weld(skin: Skin, mark: Weld, rng: np.random.Generator) -> None:
    line = jagged(mark.points, rng, 7.0)
    hair = skin.along(line, 5.0)
    beside = blur(skin.along(line, 34.0), 14.0 / skin.frame.pixel)
    skin.z = f32(skin.z - mark.notch_um * blur(hair, 2.0 / skin.frame.pixel) * 1.6)
    skin.albedo = f32(skin.albedo * (1.0 - 0.34 * hair - 0.10 * beside)[..., None])
    skin.gloss = f32(skin.gloss * (1.0 - 0.35 * beside) + 0.35 * hair)


def _crack(skin: Skin, mark: Crack, rng: np.random.Generator) -> None:
    line = jagged(mark.points, rng, 16.0)
    hair = skin.along(line, 4.0)
    lit = shift(blur(hair, 0.8), 1, 1, 0.0)
    skin.z = f32(skin.z - 3.0 * hair)
    skin.tint(f32(skin.stuff.dark) * 0.5, f32(0.8 * hair))
    skin.tint(WHITE, f32(0.38 * np.clip(lit - hair, 0.0, 1.0)))
    skin.tint(WHITE, f32(0.05 * blur(skin.along(line, 30.0), 12.0 / skin.frame.pixel)))


def _lint(skin: Skin, mark: Lint, rng: np.random.Generator) -> None:
    line = jagged(mark.points, rng, 5.0)
    body = skin.along(line, mark.width_um)
    core = skin.along(line, mark.width_um * 0.4)
    shade = blur(shift(body, -4, -3, 0.0), 1.6)
    skin.over.append((f32(np.zeros(3)), f32(0.45 * shade)))
    bands = np.clip(0.8 + 0.15 * noise(rng, skin.frame.shape, 40.0 / skin.frame.pixel), 0.5, 1.2)[..., None]
    skin.over.append((f32(np.array([0.42, 0.50, 0.66]) * bands), f32(0.85 * body)))
    skin.over.append((f32(np.array([0.80, 0.84, 0.90])), f32(0.5 * core)))


def _flow_lines(skin: Skin, mark: FlowLines, rng: np.random.Generator) -> None:
    dx, dy = skin.x - np.float32(mark.x), skin.y - np.float32(mark.y)
    far = np.hypot(dx, dy)
    angle = np.mod(np.degrees(np.arctan2(dy, dx)) - mark.start_deg, 360.0)
    wide = np.mod(mark.end_deg - mark.start_deg, 360.0)
    inside = step(f32(angle), 0.0, 0.18 * wide) * (1.0 - step(f32(angle), 0.82 * wide, wide))
    inside = inside * step(f32(far), mark.near_um, mark.near_um + 80)
    inside = inside * (1.0 - step(f32(far), mark.far_um - 110, mark.far_um))
    bent = far + 16.0 * noise(rng, skin.frame.shape, 320.0 / skin.frame.pixel)
    wave = np.sin(2 * np.pi * bent / mark.pitch_um) + 0.4 * np.sin(4 * np.pi * bent / mark.pitch_um + 1.0)
    skin.z = f32(skin.z + 0.9 * wave * inside)
    skin.gloss = f32(skin.gloss * (1.0 - 0.28 * wave * inside))
    skin.albedo = f32(skin.albedo * (1.0 + 0.05 * wave * inside)[..., None])


def _bubble(skin: Skin, mark: Bubble, rng: np.random.Generator) -> None:
    half = mark.diameter_um / 2
    t = f32(np.hypot(skin.x - np.float32(mark.x), skin.y - np.float32(mark.y)) / half)
    inside = 1.0 - step(t, 1.0 - 3.0 / half, 1.0 + 3.0 / half)
    rim = np.exp(-(((t - 0.84) / 0.13) ** 2)) * inside
    wall = np.exp(-(((t - 0.98) / 0.07) ** 2))
    skin.albedo = f32(skin.albedo * (1.0 + 0.30 * inside * (1 - rim) - 0.50 * wall)[..., None])
    light = f32(skin.stuff.albedo) * 1.2 + 0.16
    skin.over.append((f32(light), f32(0.50 * rim)))
    glint = _spot(skin, (mark.x - 0.38 * half, mark.y - 0.42 * half), 0.15 * half)
    skin.over.append((f32(np.ones(3) * 0.95), f32(0.85 * glint)))
    low = _spot(skin, (mark.x + 0.45 * half, mark.y + 0.45 * half), 0.34 * half)
    skin.over.append((light, f32(0.35 * low * inside)))


def _spot(skin: Skin, at: tuple[float, float], wide_um: float) -> F32:
    """A soft round spot of light."""
    away = (skin.x - np.float32(at[0])) ** 2 + (skin.y - np.float32(at[1])) ** 2
    return f32(np.exp(-away / np.float32(wide_um**2)))


def _burn(skin: Skin, mark: Burn, rng: np.random.Generator) -> None:
    pixel = skin.frame.pixel
    cover = blur(skin.area(patch(mark, rng)), 5.0 / pixel)
    brown = blur(cover, 26.0 / pixel)
    pits = noise(rng, skin.frame.shape, 11.0 / pixel)
    skin.tint(np.array([0.20, 0.10, 0.035]), f32(0.75 * np.clip(brown * 1.3 - 0.1, 0.0, 1.0)))
    skin.tint(np.array([0.030, 0.020, 0.014]), f32(np.clip(cover * (0.86 + 0.16 * pits), 0.0, 0.97)))
    skin.z = f32(skin.z + cover * (1.6 * pits - 2.0))
    skin.gloss = f32(skin.gloss * (1.0 - 0.4 * cover))


def _drag(skin: Skin, mark: Drag, rng: np.random.Generator) -> None:
    along, across = skin.local(mark)
    inside = (1.0 - step(f32(np.abs(along)), 0.70, 1.0)) * (1.0 - step(f32(np.abs(across)), 0.80, 1.0))
    table = np.convolve(rng.standard_normal(1200), np.hanning(9), "same")
    ends = np.convolve(rng.uniform(0.0, 1.0, 1200), np.hanning(25), "same") / 12.0
    at = np.linspace(-1.1, 1.1, 1200)
    line = f32(np.interp(across, at, table / table.std()))
    reach = f32(np.interp(across, at, ends))
    part = inside * (1.0 - step(f32(np.abs(along + 0.3 * (reach - 0.5)) - 0.55 - 0.5 * reach), 0.0, 0.2))
    skin.z = f32(skin.z + 1.5 * line * part)
    skin.tint(WHITE * 0.6, f32(0.30 * np.clip(line - 0.2, 0.0, 1.4) * part))


def _pin(skin: Skin, mark: Pin, rng: np.random.Generator) -> None:
    r = f32(np.hypot(skin.x - np.float32(mark.x), skin.y - np.float32(mark.y)))
    half = mark.diameter_um / 2
    disc = 1.0 - step(r, half - 4.0, half + 4.0)
    ring = np.exp(-(((r - half) / 5.0) ** 2))
    rings = f32(np.interp(r, np.arange(0, 600, 3.0), np.convolve(rng.standard_normal(200), np.hanning(5), "same")))
    skin.z = f32(skin.z + mark.step_um * disc + (2.5 + 0.2 * abs(mark.step_um)) * ring + 0.35 * rings * disc)
    skin.rough = f32(skin.rough - 0.10 * disc)


def _whitening(skin: Skin, mark: Whitening, rng: np.random.Generator) -> None:
    along, across = skin.local(mark)
    milk = np.exp2(-(along**2 + across**2))
    fine = np.clip(1.0 + 0.22 * noise(rng, skin.frame.shape, 12.0 / skin.frame.pixel), 0.3, 1.7)
    skin.tint(WHITE, f32(np.clip(0.11 * mark.strength * milk * fine, 0.0, 0.9)))


def _fibre_show(skin: Skin, mark: FibreShow, rng: np.random.Generator) -> None:
    cover = blur(skin.area(patch(mark, rng)), 34.0 / skin.frame.pixel)
    rods = fibre_relief(skin.frame, rng)
    bare = np.clip(cover * 1.5 - 0.2, 0.0, 1.0)
    skin.z = f32(skin.z + 3.2 * rods * bare)
    skin.tint(np.array([0.42, 0.42, 0.41]), f32(np.clip(0.62 * rods**1.2 + 0.07, 0.0, 0.75) * bare))


def _dimple(skin: Skin, mark: Dimple, rng: np.random.Generator) -> None:
    along, across = skin.local(mark)
    skin.z = f32(skin.z - mark.depth_um * np.exp2(-(along**2 + across**2)))


def _jet(skin: Skin, mark: Jet, rng: np.random.Generator) -> None:
    rope, pixel = jet_path(mark, rng), skin.frame.pixel
    wide = skin.along(rope, 46.0)
    core = blur(skin.along(rope, 26.0), 7.0 / pixel)
    seam = np.clip(blur(wide, 2.0 / pixel) - skin.along(rope, 36.0), 0.0, 1.0)
    skin.z = f32(skin.z + 6.0 * core - 2.0 * seam)
    skin.albedo = f32(skin.albedo * (1.0 - 0.30 * seam + 0.12 * core)[..., None])
    skin.gloss = f32(skin.gloss * (1.0 - 0.3 * wide + 0.5 * core))


def _scar(skin: Skin, mark: Scar, rng: np.random.Generator) -> None:
    pixel = skin.frame.pixel
    cover = skin.area(patch(mark, rng), soft_px=1.2)
    torn = noise(rng, skin.frame.shape, 22.0 / pixel) + 0.6 * noise(rng, skin.frame.shape, 9.0 / pixel)
    r = np.hypot(skin.x - np.float32(mark.x), skin.y - np.float32(mark.y)) / (mark.diameter_um / 2)
    well = 1.0 - step(f32(r), 1.5, 1.62)
    ring = np.exp(-(((r - 1.56) / 0.05) ** 2))
    skin.z = f32(skin.z - 24.0 * well * (1 - cover) + cover * (18.0 + 7.0 * torn) - 3.0 * ring)
    skin.tint(f32(skin.stuff.albedo) * 1.5 + 0.03, f32(0.75 * cover * np.clip(0.7 + 0.3 * torn, 0.0, 1.0)))
    skin.rough = f32(skin.rough + 0.10 * cover)


_MAKERS: dict[type, Callable[..., None]] = {
    Grain: _grain,
    Scratch: _scratch,
    Weld: _weld,
    Crack: _crack,
    Lint: _lint,
    FlowLines: _flow_lines,
    Bubble: _bubble,
    Burn: _burn,
    Drag: _drag,
    Pin: _pin,
    Whitening: _whitening,
    FibreShow: _fibre_show,
    Dimple: _dimple,
    Jet: _jet,
    Scar: _scar,
}
