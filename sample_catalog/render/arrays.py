"""Array helpers used everywhere: fast blurs, band-limited noise, smooth steps."""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]


def f32(values: Any) -> F32:
    """Return the values as a float32 array."""
    return np.asarray(values, dtype=np.float32)


def step(values: F32, low: float, high: float) -> F32:
    """Rise smoothly from 0 at `low` to 1 at `high`."""

    def work(values: F32) -> F32:
        t = np.clip((values - low) * (1.0 / (high - low)), 0.0, 1.0)
        return f32(t * t * (3.0 - 2.0 * t))

    return in_bands(work, values) if values.size > BANDED else work(values)


def mix(a: F32 | float, b: F32 | float, t: F32 | float) -> F32:
    """Blend from `a` at t = 0 to `b` at t = 1."""

    def work(low: F32, high: F32, t: F32) -> F32:
        return f32(low + (high - low) * t)

    parts = np.asarray(a, np.float32), np.asarray(b, np.float32), np.asarray(t, np.float32)
    shape = np.broadcast_shapes(*(part.shape for part in parts))
    if np.prod(shape) <= BANDED:
        return work(*parts)
    return in_bands(work, *(np.broadcast_to(part, shape) for part in parts))


BANDED = 200_000


def in_bands(work: Callable[..., F32], *planes: F32, rows: int = 48) -> F32:
    """Apply pixelwise work band by band, so that what it needs stays in the processor's cache."""
    return all_in_bands(lambda *parts: (work(*parts),), *planes, rows=rows)[0]


def all_in_bands(work: Callable[..., tuple[F32, ...]], *planes: F32, rows: int = 48) -> tuple[F32, ...]:
    """Do the same for work that makes several planes."""
    height = planes[0].shape[0]
    first = work(*(plane[:rows] for plane in planes))
    out = tuple(np.empty((height, *part.shape[1:]), np.float32) for part in first)
    for whole, part in zip(out, first, strict=True):
        whole[:rows] = part
    for at in range(rows, height, rows):
        for whole, part in zip(out, work(*(plane[at : at + rows] for plane in planes)), strict=True):
            whole[at : at + rows] = part
    return out


def blur(values: F32, sigma: float | tuple[float, float]) -> F32:
    """Blur a plane with a Gaussian; wide ones are made on a coarser grid."""
    sy, sx = sigma if isinstance(sigma, tuple) else (sigma, sigma)
    if max(sy, sx) < 0.15:
        return values
    fy, fx = max(1, int(sy / 2.5)), max(1, int(sx / 2.5))
    fy, fx = min(fy, values.shape[0] // 4), min(fx, values.shape[1] // 4)
    if fy <= 1 and fx <= 1:
        return f32(ndimage.gaussian_filter(values, (sy, sx), mode="nearest", truncate=3.5))
    small = shrink(values, fy, fx)
    small = f32(ndimage.gaussian_filter(small, (sy / fy, sx / fx), mode="nearest", truncate=3.5))
    return grow(small, values.shape[0], values.shape[1], fy, fx)


def shrink(values: F32, fy: int, fx: int) -> F32:
    """Average blocks of fy by fx pixels, the last ones padded with the edge."""
    h, w = values.shape
    padded = np.pad(values, ((0, -h % fy), (0, -w % fx)), mode="edge")
    blocks = padded.reshape(padded.shape[0] // fy, fy, padded.shape[1] // fx, fx)
    return f32(blocks.mean(axis=(1, 3)))


def grow(small: F32, height: int, width: int, fy: int, fx: int) -> F32:
    """Enlarge blocks made by `shrink` again, linearly between block centres."""
    low, high, t = _between(width, fx, small.shape[1])
    wide = f32(small[:, low] * (1.0 - t) + small[:, high] * t)
    low, high, t = _between(height, fy, small.shape[0])
    out = np.empty((height, width), np.float32)
    for at in range(0, height, 48):
        part = slice(at, at + 48)
        weight = t[part, None]
        out[part] = wide[low[part]] * (1.0 - weight) + wide[high[part]] * weight
    return out


def _between(count: int, factor: int, size: int) -> tuple[NDArray[np.intp], NDArray[np.intp], F32]:
    """Return for each of `count` fine positions its two coarse neighbours and the share of the second."""
    at = np.clip((np.arange(count) + 0.5) / factor - 0.5, 0.0, size - 1.0)
    low = at.astype(np.intp)
    return low, np.minimum(low + 1, size - 1), f32(at - low)


TILE = (640, 704)


def tiled(tile: F32, shape: tuple[int, int]) -> F32:
    """Repeat a seamless tile over a shape."""
    rows, columns = -(-shape[0] // tile.shape[0]), -(-shape[1] // tile.shape[1])
    return np.ascontiguousarray(np.tile(tile, (rows, columns))[: shape[0], : shape[1]])


def noise(rng: np.random.Generator, shape: tuple[int, int], wave: float | tuple[float, float]) -> F32:
    """Make Gaussian noise of unit spread whose grains are about `wave` pixels (y, x) across.

    Fine grains come from a seamless tile, too fine for its repetition to be seen.
    """
    wy, wx = wave if isinstance(wave, tuple) else (wave, wave)
    if max(wy, wx) < 14.0 and shape[0] > TILE[0] and shape[1] > TILE[1]:
        return tiled(noise(rng, TILE, wave), shape)
    fy, fx = max(1, int(wy / 4)), max(1, int(wx / 4))
    whole = fy == 1 and fx == 1
    spare = 0 if whole else 2
    small = rng.standard_normal((-(-shape[0] // fy) + spare, -(-shape[1] // fx) + spare), dtype=np.float32)
    small = f32(ndimage.gaussian_filter(small, (wy / fy / 3.0, wx / fx / 3.0), mode="wrap"))
    small = f32(small / max(float(small.std()), 1e-6))
    return small if whole else grow(small, shape[0], shape[1], fy, fx)


def fractal(rng: np.random.Generator, shape: tuple[int, int], wave: float, octaves: int = 3) -> F32:
    """Sum noise of halving grain and halving strength, unit spread."""
    total = np.zeros(shape, np.float32)
    for k in range(octaves):
        total += noise(rng, shape, max(wave / 2**k, 1.5)) * np.float32(0.55**k)
    return f32(total / float(np.sqrt(sum(0.55 ** (2 * k) for k in range(octaves)))))


def craters(rng: np.random.Generator, shape: tuple[int, int], radius: float, cover: float) -> F32:
    """Scatter round pits with a raised rim, about one deep, `radius` in pixels."""
    size = (min(TILE[0], _even(shape[0])), min(TILE[1], _even(shape[1])))
    count = max(4, int(cover * size[0] * size[1] / (np.pi * radius**2)))
    seeds = np.zeros(size, np.float32)
    where = (rng.integers(0, size[0], count), rng.integers(0, size[1], count))
    np.add.at(seeds, where, rng.uniform(0.3, 1.0, count).astype(np.float32))
    y = np.minimum(np.arange(size[0]), size[0] - np.arange(size[0]))[:, None]
    x = np.minimum(np.arange(size[1]), size[1] - np.arange(size[1]))[None, :]
    t = f32(np.hypot(y, x) / radius)
    bowl = np.where(t < 1.0, t * t - 1.0, 0.0) + 0.35 * np.exp(-(((t - 1.08) / 0.22) ** 2))
    return tiled(f32(fft.irfft2(fft.rfft2(seeds) * fft.rfft2(f32(bowl)), s=size)), shape)


def _even(size: int) -> int:
    return fft.next_fast_len(size + size % 2, True)


def slopes(height: F32, sx: float, sy: float) -> tuple[F32, F32]:
    """Return dz/dx and dz/dy of a height field in the units of `sx` and `sy`."""
    dx = np.empty_like(height)
    dy = np.empty_like(height)
    dx[:, 1:-1] = (height[:, 2:] - height[:, :-2]) * np.float32(0.5 / sx)
    dx[:, 0], dx[:, -1] = dx[:, 1], dx[:, -2]
    dy[1:-1] = (height[2:] - height[:-2]) * np.float32(0.5 / sy)
    dy[0], dy[-1] = dy[1], dy[-2]
    return dx, dy


def sample(values: F32, y: F32, x: F32) -> F32:
    """Read a plane at fractional pixels, wrapping around at its borders."""
    return f32(ndimage.map_coordinates(values, np.stack([y, x]), order=1, mode="grid-wrap"))


def shift(values: F32, dy: int, dx: int, fill: float) -> F32:
    """Return values[y + dy, x + dx], `fill` beyond the border."""
    out = np.full_like(values, fill)
    h, w = values.shape
    if abs(dy) >= h or abs(dx) >= w:
        return out
    y0, y1 = max(0, -dy), min(h, h - dy)
    x0, x1 = max(0, -dx), min(w, w - dx)
    out[y0:y1, x0:x1] = values[y0 + dy : y1 + dy, x0 + dx : x1 + dx]
    return out


def magnify_about_centre(values: F32, factor: float) -> F32:
    """Scale a plane about its centre by a factor near one."""
    h, w = values.shape
    centre = np.array([(h - 1) / 2, (w - 1) / 2])
    inverse = 1.0 / factor
    return f32(
        ndimage.affine_transform(
            values, np.array([inverse, inverse]), centre * (1.0 - inverse), order=1, mode="nearest"
        )
    )
