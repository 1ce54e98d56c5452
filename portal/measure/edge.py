"""Finds the edge near a point of a picture: where the light is halfway between both sides, to a fraction of a pixel.

A blurred straight edge is an error function, and its 50 % point is the edge whatever the blur; any other threshold
is off by a share of the blur. So an error function is fitted to the pixels around the point, along an edge that may be
slanted and bent. Where the other side of a line lies in reach too, both sides are fitted at once; a line narrower than
2.5 sigma of its blur never reaches its own brightness, its sides can't be had from 50 % points, and it is refused.

Values have to be proportional to light: what a picture file holds isn't, see `linear`.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from portal.measure.leastsquares import Fit, fitted

Array = npt.NDArray[np.float64]
Pair = tuple[float, float]

REACH_PX, BESIDE_PX = 12.0, 3.0
"""How far along the way an edge is looked for, and how far to either side of it pixels count."""
NARROWEST = 2.5
"""A line has to be so many sigma of its blur wide."""
APART = 6.0
"""Two edges so many sigma of blur apart don't touch each other; each is then fitted alone."""
CLEAREST = 6.0
"""The step has to be so many times the noise of a pixel's value."""
PIXEL_BLUR = 1 / math.sqrt(12)
"""Sigma of a pixel that takes in all light that falls on its width."""
SURELY_PX = 0.02
"""Standard uncertainty of what the model of a straight, evenly blurred edge leaves out."""

_P, _A = 0.3275911, (1.061405429, -1.453152027, 1.421413741, -0.284496736, 0.254829592)
"""Of Abramowitz and Stegun's 7.1.26, from memory; a test holds it against the exact function."""


@dataclass(frozen=True, slots=True)
class EdgeFound:
    """Where the edge crosses the way that was looked along, in pixels of the picture."""

    x: float
    y: float
    u_px: float
    """Standard uncertainty along the way."""
    blur_px: float
    """Sigma of the edge's blur, along the way."""


@dataclass(frozen=True, slots=True)
class NoEdge:
    """Why there is no edge to be had: a key of the message catalogue below `edge.`."""

    key: str


def linear(coded: npt.NDArray[np.uint8]) -> Array:
    """Values of an sRGB picture as shares of light (IEC 61966-2-1), 0 to 1; grey of shape (h, w)."""
    share = np.arange(256) / 255
    table = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    found: Array = table[coded]
    return found


def find_edge(light: Array, at: Pair, way: Pair) -> EdgeFound | NoEdge:
    """The edge nearest to a point along a way, of a picture (h, w) proportional to light.

    `at` is in pixels from the first pixel's corner, `way` a direction of any length. The nearest clear step counts.
    """
    length = math.hypot(*way)
    if length == 0:
        raise ValueError("a way has a direction")
    along = (way[0] / length, way[1] / length)
    window = _window(light, at, along)
    if window is None:
        return NoEdge("outside")
    t, s, value = window
    start = _nearest_step(t, value)
    if start is None:
        return NoEdge("faint")
    return _fit(t, s, value, start, at=at, along=along)


def _window(light: Array, at: Pair, along: Pair) -> tuple[Array, Array, Array] | None:
    """Pixels around the point: how far along the way, how far beside it, and their values."""
    height, width = light.shape
    reach = math.ceil(REACH_PX + BESIDE_PX)
    left, right = max(0, int(at[0]) - reach), min(width, int(at[0]) + reach + 1)
    top, bottom = max(0, int(at[1]) - reach), min(height, int(at[1]) + reach + 1)
    if right - left < 4 or bottom - top < 4:
        return None
    y, x = np.mgrid[top:bottom, left:right] + 0.5
    dx, dy = x - at[0], y - at[1]
    t, s = dx * along[0] + dy * along[1], dy * along[0] - dx * along[1]
    near = (np.abs(t) <= REACH_PX) & (np.abs(s) <= BESIDE_PX)
    if near.sum() < 40:
        return None
    return t[near], s[near], light[top:bottom, left:right][near]


@dataclass(frozen=True, slots=True)
class _Start:
    """A first guess: where the step is, how high, and where another one follows, if one does."""

    at: float
    step: float
    low: float
    other: float | None


def _nearest_step(t: Array, value: Array) -> _Start | None:
    """The nearest clear step of the values along the way; None where there is none."""
    places = np.arange(-REACH_PX, REACH_PX + 0.5, 0.5)
    weights = np.exp(-0.5 * ((t[None, :] - places[:, None]) / 0.6) ** 2)
    totals = weights.sum(axis=1)
    profile = (weights @ value) / np.where(totals > 1e-9, totals, np.nan)
    slope = np.gradient(profile, places)
    if np.isnan(slope).all():
        return None
    slope = np.nan_to_num(slope)
    noise = float(
        np.median(np.abs(value - np.interp(t, places, np.nan_to_num(profile, nan=float(np.nanmean(profile))))))
    )
    peak = float(np.abs(slope).max())
    clear = np.abs(slope) >= max(0.5 * peak, 1e-9)
    tops = [
        place
        for place in range(1, len(places) - 1)
        if clear[place] and abs(slope[place]) >= max(abs(slope[place - 1]), abs(slope[place + 1]))
    ]
    spread = float(np.nanmax(profile) - np.nanmin(profile))
    if not tops or spread < CLEAREST * 1.4826 * noise / 3 or spread < 1e-6:
        return None
    first = min(tops, key=lambda place: abs(places[place]))
    others = [place for place in tops if slope[place] * slope[first] < 0]
    other = min(others, key=lambda place: abs(places[place] - places[first])) if others else None
    low = float(np.nanmin(profile)) if slope[first] > 0 else float(np.nanmax(profile))
    step = math.copysign(spread, slope[first])
    return _Start(float(places[first]), step, low, None if other is None else float(places[other]))


def _fit(t: Array, s: Array, value: Array, start: _Start, *, at: Pair, along: Pair) -> EdgeFound | NoEdge:
    wanted = [start.low, start.step, start.at, 0.0, 1.2, 0.0]
    fit = _fitted(t, s, value, wanted if start.other is None else [*wanted, start.other - start.at])
    if fit is not None and len(fit.values) > 6 and abs(fit.values[6]) > APART * _blur(fit.values):
        own = np.abs(t - fit.values[2]) < abs(fit.values[6]) / 2
        fit = _fitted(t[own], s[own], value[own], [float(each) for each in fit.values[:6]])
    if fit is None:
        return NoEdge("unclear")
    refused = _refusal(fit)
    if refused is not None:
        return refused
    place, blur = float(fit.values[2]), _blur(fit.values)
    u = math.hypot(float(fit.u[2]), SURELY_PX)
    return EdgeFound(at[0] + place * along[0], at[1] + place * along[1], u, blur)


def _fitted(t: Array, s: Array, value: Array, start: list[float]) -> Fit | None:
    return fitted(lambda p: _model(p, t, s), value, np.array(start))


def _model(p: Array, t: Array, s: Array) -> Array:
    """Values by low, step, place, slant, blur, bend, and the width of the line where there is one."""
    far = t - p[2] - p[3] * s - p[5] * s * s
    blur = _blur(p)
    share = _rise(far, blur)
    if len(p) > 6:
        share = share - _rise(far - p[6], blur) if p[6] > 0 else share + _rise(p[6] - far, blur)
    found: Array = p[0] + p[1] * share
    return found


def _blur(p: Array) -> float:
    """Sigma of the blur; a pixel alone blurs by what it is wide."""
    return math.hypot(float(p[4]), PIXEL_BLUR)


def _rise(far: Array, blur: float) -> Array:
    return 0.5 * (1 + erf(far / (math.sqrt(2) * blur)))


def erf(x: Array) -> Array:
    """The error function of many numbers, within 1.5e-7."""
    t = 1 / (1 + _P * np.abs(x))
    series = np.zeros_like(t)
    for factor in _A:
        series = (series + factor) * t
    found: Array = np.sign(x) * (1 - series * np.exp(-x * x))
    return found


def _refusal(fit: Fit) -> NoEdge | None:
    low, step, place, slant = (float(each) for each in fit.values[:4])
    blur = _blur(fit.values)
    if abs(step) < CLEAREST * fit.noise:
        return NoEdge("faint")
    if abs(place) > REACH_PX - 1 or abs(slant) > 1.5:
        return NoEdge("far")
    if len(fit.values) > 6 and abs(float(fit.values[6])) < NARROWEST * blur:
        return NoEdge("narrow")
    if blur > REACH_PX / 2 or not math.isfinite(low):
        return NoEdge("unclear")
    return None
