"""Rendered pictures of stage micrometers, as hard as real ones: turned, blurred, noisy, unevenly lit, with numbers."""

import math

import numpy as np
import numpy.typing as npt


def rendered(
    rng: np.random.Generator,
    division: float,
    *,
    size: tuple[int, int] = (900, 1200),
    turned: float | None = None,
    bent: float = 0.0,
    beside: float = 0.0,
) -> npt.NDArray[np.float64]:
    """A picture with a division of so many pixels; every fifth mark is longer, every tenth longest and numbered.

    `bent` is a lens's distortion: at a distance r from the middle, R that of a corner, everything shows farther out by
    about `bent` r²/R² of r. `beside` moves the micrometer along its marks, in heights of the picture.
    """
    height, width = size
    angle = math.radians(rng.uniform(-10, 10) if turned is None else turned)
    y, x = np.mgrid[0:height, 0:width] + 0.5
    dx, dy = x - width / 2, y - height / 2
    inwards = 1 - bent * (dx**2 + dy**2) / ((width / 2) ** 2 + (height / 2) ** 2)
    qx, qy = dx * inwards, dy * inwards
    t = qx * math.cos(angle) + qy * math.sin(angle) + rng.uniform(0, division)
    s = qy * math.cos(angle) - qx * math.sin(angle) - beside * height
    number = np.rint(t / division)
    far = np.abs(t - number * division)
    reach = np.where(number % 10 == 0, 0.32, np.where(number % 5 == 0, 0.26, 0.2)) * height
    half, blur = 0.14 * division, max(0.7, 0.05 * division) * rng.uniform(0.7, 1.3)
    across = 1 / (1 + np.exp((far - half) / (0.6 * blur)))
    along = 1 / (1 + np.exp((np.abs(s) - reach) / blur))
    written = ((np.abs(s - 0.38 * height) < 0.03 * height) & (number % 10 == 0) & (far < 0.35 * division)).astype(float)
    written *= (np.sin(t * 0.9) * np.sin(s * 0.7) > 0).astype(float)
    ink = np.maximum(across * along, written)
    light = 0.75 + 0.15 * dx / width - 0.2 * (dy / height) ** 2
    return np.asarray(light * (1 - 0.7 * ink) + rng.normal(0, 0.015, t.shape))
