"""Colours and surface textures: milky plastic, tool marks, eroded steel, stage."""

import numpy as np

from .arrays import F32, craters, f32, fractal, in_bands, noise
from .dust import curve
from .frame import Frame

POM = np.array([0.800, 0.778, 0.732], np.float32)
TORN = np.array([0.875, 0.865, 0.835], np.float32)
STAGE = np.array([0.050, 0.058, 0.071], np.float32)
SPECK = np.array([0.040, 0.034, 0.030], np.float32)


def plastic(frame: Frame, rng: np.random.Generator) -> F32:
    """Return the milky plastic's colour, very slightly cloudy."""
    cloud = (
        noise(rng, frame.shape, 90.0 / frame.pixel) * 0.008
        + noise(rng, frame.shape, 420.0 / frame.pixel) * 0.01
    )
    return in_bands(lambda c: f32(POM * (1.0 + c[..., None])), f32(cloud))


def turned(r: F32, rng: np.random.Generator) -> F32:
    """Return the fine rings a turning tool left in the insert, unit spread."""
    table = np.zeros(5000, np.float32)
    for wave, part in ((5.0, 0.5), (11.0, 0.8), (27.0, 1.0)):
        wide = rng.standard_normal(5000).astype(np.float32)
        kernel = np.exp(-((np.arange(-60, 61) * 0.5 / (wave / 3.2)) ** 2))
        line = np.convolve(wide, kernel, mode="same")
        table += f32(part * line / line.std())
    return f32(np.interp(r, np.arange(5000) * 0.5, table / table.std()))


def eroded(frame: Frame, rng: np.random.Generator, size_um: float = 6.0) -> F32:
    """Return the pitted texture of a spark-eroded face in units of one pit's depth."""
    pixel = frame.pixel
    fine = craters(rng, frame.shape, max(size_um * 0.55 / pixel, 1.4), 0.8) * 0.45
    return f32(craters(rng, frame.shape, max(size_um / pixel, 1.8), 0.7) + fine)


def scratches(frame: Frame, rng: np.random.Generator, count: int) -> F32:
    """Return faint straight ridges copied from scratches in the polished steel."""
    total = np.zeros(frame.shape, np.float32)
    for _ in range(count):
        angle, half, size = rng.uniform(0, np.pi), rng.uniform(90, 420), float(rng.uniform(0.3, 1.0))
        x, y = rng.uniform(-1300, 1300, 2)
        ends = [(x + k * half * np.cos(angle), y + k * half * np.sin(angle)) for k in (-1.0, 1.0)]
        total = np.maximum(total, curve(frame, np.asarray(ends), 2.6) * np.float32(size))
    return total


def stage_colour(frame: Frame, rng: np.random.Generator) -> F32:
    """Return a matte blue-grey stage, softly uneven and with the odd scuff."""
    uneven = 0.10 * noise(rng, frame.shape, 900.0 / frame.pixel) + 0.05 * fractal(
        rng, frame.shape, 120.0 / frame.pixel
    )
    return f32(STAGE * np.clip(1.0 + uneven, 0.5, 1.6)[..., None])
