"""What the optics and the camera do to the light: focus, glare, noise, tone."""

from dataclasses import dataclass

import numpy as np
from PIL import Image

from .arrays import F32, blur, f32, in_bands, magnify_about_centre, noise
from .frame import Frame


@dataclass(frozen=True)
class Camera:
    """A microscope camera: aperture, sharpness, noise, all of it mild."""

    aperture: float = 0.028
    sharp_um: float = 1.9
    grain: float = 0.0065
    vignette: float = 0.16
    fringe: float = 0.00028


def focus_blur(frame: Frame, camera: Camera, distance_um: float) -> float:
    """Return the Gaussian width in pixels for a distance from the plane in focus."""
    return abs(distance_um) * camera.aperture / frame.pixel * 0.62


def defocus(colour: F32, cover: F32, width_px: F32) -> tuple[F32, F32]:
    """Blur premultiplied colour and cover by a width that changes over the picture."""
    widest = float(width_px.max())
    levels = [0.0]
    while levels[-1] < widest:
        levels.append(max(0.8, levels[-1] * 2.0))
    stack = [np.ascontiguousarray(colour[..., c]) * cover for c in range(3)] + [cover]
    out = [np.zeros_like(plane) for plane in stack]
    for k, level in enumerate(levels):
        weight = _tent(width_px, levels, k)
        rows = np.flatnonzero(weight.max(axis=1) > 0.0)
        if rows.size == 0:
            continue
        at = slice(int(rows[0]), int(rows[-1]) + 1)
        margin = int(4 * level) + 4
        wide = slice(max(0, at.start - margin), min(cover.shape[0], at.stop + margin))
        inner = slice(at.start - wide.start, at.stop - wide.start)
        for plane, made in zip(stack, out, strict=True):
            made[at] += weight[at] * blur(plane[wide], level)[inner]
    return f32(np.stack(out[:3], axis=-1)), out[3]


def _tent(width: F32, levels: list[float], k: int) -> F32:
    weight = np.ones_like(width)
    if k > 0:
        weight = np.minimum(weight, (width - levels[k - 1]) / (levels[k] - levels[k - 1]))
    if k < len(levels) - 1:
        weight = np.minimum(weight, (levels[k + 1] - width) / (levels[k + 1] - levels[k]))
    return f32(np.clip(weight, 0.0, 1.0))


def over(back: F32, colour: F32, cover: F32) -> F32:
    """Lay premultiplied colour over what is behind it."""
    return in_bands(lambda b, c, a: f32(b * (1.0 - a[..., None]) + c), back, colour, cover)


def expose(scene: F32, frame: Frame, camera: Camera, rng: np.random.Generator | None) -> F32:
    """Return the picture in grey levels 0..255 as floats; without a random start, free of noise."""
    planes = [_through_lens(np.ascontiguousarray(scene[..., c]), frame, camera, c) for c in range(3)]
    dim = _vignette(frame, camera)
    grain = _grain(frame.shape, rng) if rng is not None else [np.zeros(frame.shape, np.float32)] * 3

    def work(red: F32, green: F32, blue: F32, dim: F32, *grain: F32) -> F32:
        made = []
        for plane, speckle in zip((red, green, blue), grain, strict=True):
            seen = plane * dim
            made.append(develop(seen + camera.grain * np.sqrt(np.maximum(seen, 0.0) + 0.012) * speckle))
        return f32(np.stack(made, axis=-1))

    return in_bands(work, *planes, dim, *grain)


def _through_lens(plane: F32, frame: Frame, camera: Camera, channel: int) -> F32:
    sharp = blur(plane, camera.sharp_um / frame.pixel * (1.0, 0.92, 1.08)[channel])
    glare = blur(plane, 0.06 * frame.width)
    near = blur(plane, 9.0)
    plane = f32(0.93 * sharp + 0.035 * near + 0.035 * glare)
    factor = 1.0 + camera.fringe * (1, 0, -1)[channel]
    return plane if channel == 1 else magnify_about_centre(plane, factor)


def _vignette(frame: Frame, camera: Camera) -> F32:
    y = np.linspace(-1.0, 1.0, frame.height, dtype=np.float32)[:, None]
    x = np.linspace(-1.0, 1.0, frame.width, dtype=np.float32)[None, :]
    away = (x - 0.06) ** 2 * 0.6 + (y + 0.04) ** 2 * 0.4
    return f32(1.0 - camera.vignette * away)


def _grain(shape: tuple[int, int], rng: np.random.Generator) -> list[F32]:
    grey = noise(rng, shape, 2.4)
    return [f32(grey + 0.35 * noise(rng, shape, 8.0)) for _ in range(3)]


def develop(light: F32) -> F32:
    """Turn linear light into grey levels: soft shoulder, then the sRGB curve."""
    x = np.maximum(light, 0.0)
    knee = 0.62
    x = np.where(x > knee, knee + (1.0 - knee) * (1.0 - np.exp((knee - x) / (1.0 - knee))), x)
    curve = 1.055 * np.power(np.maximum(x, 1e-6), 1.0 / 2.4) - 0.055
    return f32(255.0 * np.where(x < 0.0031308, 12.92 * x, curve))


def sharpen(picture: F32, amount: float, width: float) -> F32:
    """Sharpen a little, as such cameras do."""
    out = np.empty_like(picture)
    for c in range(3):
        plane = np.ascontiguousarray(picture[..., c])
        out[..., c] = plane + amount * (plane - blur(plane, width))
    return out


def to_bytes(picture: F32) -> "np.ndarray[tuple[int, ...], np.dtype[np.uint8]]":
    """Round to eight bits."""
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8)


def resize(picture: F32, size: tuple[int, int]) -> F32:
    """Make a smaller copy, as a mail program does."""
    planes = [Image.fromarray(np.ascontiguousarray(picture[..., c]), "F") for c in range(3)]
    return f32(np.stack([np.asarray(p.resize(size, Image.Resampling.BICUBIC)) for p in planes], axis=-1))
