"""Lint, dust and fluff: small things that lie about under every microscope."""

import numpy as np
from PIL import Image, ImageDraw

from .arrays import F32, F64, blur, f32
from .frame import Frame


def fibre(
    frame: Frame, rng: np.random.Generator, start: tuple[float, float], length_um: float, width_um: float
) -> F32:
    """Return the cover of one curly fibre starting near a µm point."""
    steps = 60
    heading = (
        rng.uniform(0, 2 * np.pi)
        + np.cumsum(np.cumsum(rng.normal(0, 0.014, steps)))
        + np.cumsum(rng.normal(0, 0.05, steps))
    )
    x = start[0] + np.cumsum(np.cos(heading)) * length_um / steps
    y = start[1] + np.cumsum(np.sin(heading)) * length_um / steps
    return curve(frame, np.stack([x, y], axis=1), width_um)


def curve(frame: Frame, line_um: F64, width_um: float) -> F32:
    """Return the cover of a drawn curve, worked out only where it lies."""
    points = np.asarray(frame.to_pixels(line_um))
    margin = width_um / frame.pixel + 6.0
    low = np.clip(np.floor(points.min(axis=0) - margin), 0, (frame.width, frame.height)).astype(int)
    high = np.clip(np.ceil(points.max(axis=0) + margin), 0, (frame.width, frame.height)).astype(int)
    out = np.zeros(frame.shape, np.float32)
    if (high - low).min() < 4:
        return out
    size = (int(high[0] - low[0]), int(high[1] - low[1]))
    sheet = Image.new("L", (size[0] * 2, size[1] * 2), 0)
    corners = [(float(a) * 2, float(b) * 2) for a, b in points - low]
    ImageDraw.Draw(sheet).line(
        corners, fill=255, width=max(1, round(2 * width_um / frame.pixel)), joint="curve"
    )
    plane = np.asarray(sheet.resize(size, Image.Resampling.BOX), dtype=np.float32)
    out[low[1] : high[1], low[0] : high[0]] = blur(f32(plane / 255.0), 0.7)
    return out


def grains(frame: Frame, rng: np.random.Generator, count: int, smallest_um: float, largest_um: float) -> F32:
    """Return the cover of scattered irregular grains."""
    sheet = Image.new("L", (frame.width, frame.height), 0)
    draw = ImageDraw.Draw(sheet)
    for _ in range(count):
        x, y = rng.uniform(0, sheet.width), rng.uniform(0, sheet.height)
        size = smallest_um * (largest_um / smallest_um) ** float(rng.power(0.6)) / frame.pixel
        angle = np.linspace(0, 2 * np.pi, 9, endpoint=False)
        radius = size / 2 * rng.uniform(0.6, 1.3, 9)
        corners = [
            (float(x + r * np.cos(a)), float(y + r * np.sin(a))) for a, r in zip(angle, radius, strict=True)
        ]
        draw.polygon(corners, fill=int(rng.integers(110, 255)))
    return blur(f32(np.asarray(sheet, dtype=np.float32) / 255.0), 0.6)
