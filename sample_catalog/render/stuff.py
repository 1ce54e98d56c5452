"""What the other parts are made of: black glass-filled polyamide, blue polypropylene; and what they lie on."""

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw

from .arrays import F32, F64, TILE, blur, f32, fractal, noise, tiled
from .frame import Frame


@dataclass(frozen=True)
class Stuff:
    """A plastic: colour, how it shines, how far light wanders in it, and the light that suits it."""

    name: str
    albedo: tuple[float, float, float]
    rough: float
    gloss: float
    soften_um: tuple[float, float, float]
    fibres: float
    """How strongly glass fibres show in the skin."""
    glow: float
    """How much of the light that enters by the walls comes out near the edges."""
    stage: tuple[float, float, float]
    ring: float
    low: float
    dark: tuple[float, float, float] = field(default=(0.02, 0.02, 0.02))


PA_BLACK = Stuff(
    "PA66-GF30 black", (0.017, 0.017, 0.019), 0.27, 1.0, (5.0, 5.0, 5.0), 1.0, 0.0, (0.27, 0.275, 0.285), 1.15, 1.9
)
PP_BLUE = Stuff(
    "PP blue", (0.060, 0.230, 0.500), 0.30, 0.9, (26.0, 22.0, 20.0), 0.0, 0.32, (0.12, 0.12, 0.125), 0.78, 1.5
)


def stage_of(frame: Frame, stuff: Stuff, rng: np.random.Generator) -> F32:
    """Return the matt plate that the piece lies on, softly uneven."""
    uneven = 0.035 * noise(rng, frame.shape, 1300.0 / frame.pixel)
    uneven += 0.03 * fractal(rng, frame.shape, max(36.0 / frame.pixel, 2.0))
    return f32(f32(stuff.stage) * np.clip(1.0 + uneven, 0.6, 1.4)[..., None])


def fibre_relief(frame: Frame, rng: np.random.Generator) -> F32:
    """Return glass fibres just under the skin: short rods, most of them along the flow, of unit height."""
    return tiled(_rods(round(frame.pixel, 2), int(rng.integers(1 << 30))), frame.shape)


@lru_cache(maxsize=4)
def _rods(pixel: float, start: int) -> F32:
    rng = np.random.default_rng([start, 61])
    height, width = TILE
    sheet = Image.new("L", (width * 2, height * 2), 0)
    draw = ImageDraw.Draw(sheet)
    for _ in range(int(height * width * pixel * pixel / 1500.0)):
        x, y = rng.uniform(0, width * 2), rng.uniform(0, height * 2)
        half, angle = rng.uniform(14.0, 62.0) / pixel, rng.normal(0.35, 0.85)
        dx, dy = half * float(np.cos(angle)), half * float(np.sin(angle))
        ends = [(x - dx, y - dy), (x + dx, y + dy)]
        draw.line(ends, fill=int(255 * rng.power(0.7)), width=max(1, round(2 * 6.5 / pixel)))
    plane = np.asarray(sheet.resize((width, height), Image.Resampling.BOX), np.float32) / 255.0
    return blur(f32(plane), max(0.5, 2.0 / pixel))


def drawn(frame: Frame, corners_um: F64, *, soft_px: float = 0.55) -> F32:
    """Return the cover of a polygon of µm points, drawn four times finer than the pixels."""
    points = np.asarray(frame.to_pixels(corners_um))
    low = np.clip(np.floor(points.min(axis=0)) - 8, 0, (frame.width, frame.height)).astype(int)
    high = np.clip(np.ceil(points.max(axis=0)) + 8, 0, (frame.width, frame.height)).astype(int)
    out = np.zeros(frame.shape, np.float32)
    if (high - low).min() < 4:
        return out
    size = (int(high[0] - low[0]), int(high[1] - low[1]))
    sheet = Image.new("L", (size[0] * 4, size[1] * 4), 0)
    # Pillow's pixel centres lie on whole numbers.
    ImageDraw.Draw(sheet).polygon([(float(x) * 4 - 0.5, float(y) * 4 - 0.5) for x, y in points - low], fill=255)
    plane = np.asarray(sheet.resize(size, Image.Resampling.BOX), np.float32) / 255.0
    out[low[1] : high[1], low[0] : high[0]] = blur(f32(plane), soft_px)
    return out
