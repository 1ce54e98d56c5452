"""Finds the edge near a point of a picture: where the light is halfway between both sides, to a fraction of a pixel.

A blurred straight edge is an error function, and its 50 % point is the edge whatever the blur; any other threshold
is off by a share of the blur. So an error function is fitted to the pixels around the point, along an edge that may be
slanted and bent. Where the other side of a line lies in reach too, both sides are fitted at once; a line narrower than
2.5 sigma of its blur never reaches its own brightness, its sides can't be had from 50 % points, and it is refused.

Values have to be proportional to light: what a picture file holds isn't, see `linear`.
"""

import math
from collections.abc import Callable
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


_SHARE = np.arange(256) / 255
_TABLE: Array = np.where(_SHARE <= 0.04045, _SHARE / 12.92, ((_SHARE + 0.055) / 1.055) ** 2.4)

Part = Callable[[slice, slice], Array]
"""The values of some rows and columns of a picture."""


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
    found: Array = _TABLE[coded]
    return found


def find_edge(light: Array, at: Pair, way: Pair) -> EdgeFound | NoEdge:
    """The edge nearest to a point along a way, of a picture (h, w) proportional to light; see `find_edges`."""
    height, width = light.shape
    return find_edges(lambda rows, columns: light[rows, columns], Looked(at, way), shape=(height, width))[0]


@dataclass(frozen=True, slots=True)
class Looked:
    """From where, in pixels from the first pixel's corner, and along which way, a direction of any length."""

    at: Pair
    way: Pair

    @property
    def along(self) -> Pair:
        """The way with a length of 1."""
        length = math.hypot(*self.way)
        if length == 0:
            raise ValueError("a way has a direction")
        return self.way[0] / length, self.way[1] / length


def find_edges(part: Part, *looks: Looked, shape: tuple[int, int]) -> list[EdgeFound | NoEdge]:
    """The edge nearest to each point along its way, of a picture of that shape (h, w); the nearest clear step counts.

    `part` gives the rows and columns that are asked for, proportional to light. All are fitted at once.
    """
    windows = [_window(part, each, shape) for each in looks]
    starts = [None if each is None else _nearest_step(each.t, each.value) for each in windows]
    waiting = [
        _Waiting(look, window, start)
        for look, window, start in zip(looks, windows, starts, strict=True)
        if window is not None and start is not None
    ]
    fits = iter(_fits(waiting))
    return [
        NoEdge("outside") if window is None
        else NoEdge("faint") if start is None
        else _told(look, next(fits))
        for look, window, start in zip(looks, windows, starts, strict=True)
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Window:
    """Pixels around a point: how far along the way, how far beside it, and their values."""

    t: Array
    s: Array
    value: Array


def _window(part: Part, look: Looked, shape: tuple[int, int]) -> _Window | None:
    (height, width), at, along = shape, look.at, look.along
    reach = math.ceil(REACH_PX + BESIDE_PX)
    left, right = max(0, int(at[0]) - reach), min(width, int(at[0]) + reach + 1)
    top, bottom = max(0, int(at[1]) - reach), min(height, int(at[1]) + reach + 1)
    if right - left < 4 or bottom - top < 4:
        return None
    dx = np.arange(left, right)[None, :] + 0.5 - at[0]
    dy = np.arange(top, bottom)[:, None] + 0.5 - at[1]
    t, s = dx * along[0] + dy * along[1], dy * along[0] - dx * along[1]
    near = (np.abs(t) <= REACH_PX) & (np.abs(s) <= BESIDE_PX)
    if near.sum() < 40:
        return None
    return _Window(t[near], s[near], part(slice(top, bottom), slice(left, right))[near])


@dataclass(frozen=True, slots=True)
class _Start:
    """A first guess: where the step is, how high, and where another one follows, if one does."""

    at: float
    step: float
    low: float
    other: float | None


_PLACES = np.arange(-REACH_PX, REACH_PX + 0.5, 0.5)


def _nearest_step(t: Array, value: Array) -> _Start | None:
    """The nearest clear step of the values along the way; None where there is none."""
    weights = t[None, :] - _PLACES[:, None]
    weights *= math.sqrt(0.5) / 0.6
    np.multiply(weights, weights, out=weights)
    np.exp(np.negative(weights, out=weights), out=weights)
    totals, heights = (weights @ np.stack([np.ones_like(value), value], axis=1)).T
    has = totals > 1e-9
    if not has.any():
        return None
    profile = np.interp(_PLACES, _PLACES[has], heights[has] / totals[has])
    slope = np.empty_like(profile)
    slope[1:-1] = profile[2:] - profile[:-2]  # places are half a pixel apart
    slope[0], slope[-1] = 2 * (profile[1] - profile[0]), 2 * (profile[-1] - profile[-2])
    steep = np.abs(slope)
    noise = _middle(np.abs(value - np.interp(t, _PLACES, profile)))
    inner = steep[1:-1]
    is_top = (inner >= max(0.5 * float(steep.max()), 1e-9)) & (inner >= steep[:-2]) & (inner >= steep[2:])
    tops = (np.flatnonzero(is_top) + 1).tolist()
    spread = float(profile.max() - profile.min())
    if not tops or spread < CLEAREST * 1.4826 * noise / 3 or spread < 1e-6:
        return None
    first = min(tops, key=lambda place: abs(_PLACES[place]))
    others = [place for place in tops if slope[place] * slope[first] < 0]
    other = min(others, key=lambda place: abs(_PLACES[place] - _PLACES[first])) if others else None
    low = float(profile.min()) if slope[first] > 0 else float(profile.max())
    step = math.copysign(spread, slope[first])
    return _Start(float(_PLACES[first]), step, low, None if other is None else float(_PLACES[other]))


def _middle(values: Array) -> float:
    """The median of some values; for so few, NumPy's own takes ten times as long to look what it was given."""
    ordered, half = np.sort(values), len(values) // 2
    return float(ordered[half]) if len(values) % 2 else float(ordered[half - 1] + ordered[half]) / 2


@dataclass(frozen=True, slots=True)
class _Waiting:
    """What is to be fitted: pixels and a first guess."""

    look: Looked
    window: _Window
    start: _Start

    @property
    def wanted(self) -> list[float]:
        """Low, step, place, slant, blur, bend, and the width of the line where there is one."""
        known = [self.start.low, self.start.step, self.start.at, 0.0, 1.2, 0.0]
        return known if self.start.other is None else [*known, self.start.other - self.start.at]


def _fits(waiting: list[_Waiting]) -> list[Fit | None]:
    """A fit for each; of two sides so far apart that they don't touch, the nearer one is fitted alone."""
    found: list[Fit | None] = [None] * len(waiting)
    for many in (6, 7):
        places = [place for place, each in enumerate(waiting) if len(each.wanted) == many]
        for place, fit in zip(
            places, _fitted([(waiting[each].window, waiting[each].wanted) for each in places]), strict=True
        ):
            found[place] = fit
    apart = [place for place, fit in enumerate(found) if fit is not None and _is_apart(fit)]
    alone = []
    for place in apart:
        fit, window = found[place], waiting[place].window
        assert fit is not None
        own = np.abs(window.t - fit.values[2]) < abs(fit.values[6]) / 2
        alone.append(
            (_Window(window.t[own], window.s[own], window.value[own]), [float(each) for each in fit.values[:6]])
        )
    for place, again in zip(apart, _fitted(alone), strict=True):
        found[place] = again
    return found


def _is_apart(fit: Fit) -> bool:
    return len(fit.values) > 6 and abs(fit.values[6]) > APART * _blur(fit.values[4])


def _told(look: Looked, fit: Fit | None) -> EdgeFound | NoEdge:
    if fit is None:
        return NoEdge("unclear")
    refused = _refusal(fit)
    if refused is not None:
        return refused
    place, along, at = float(fit.values[2]), look.along, look.at
    u = math.hypot(float(fit.u[2]), SURELY_PX)
    return EdgeFound(at[0] + place * along[0], at[1] + place * along[1], u, float(_blur(fit.values[4])))


def _fitted(wanted: list[tuple[_Window, list[float]]]) -> list[Fit | None]:
    """All at once, in rows of the same length; what a window has less isn't counted."""
    if not wanted:
        return []
    most = max(len(window.t) for window, _ in wanted)
    shape = (len(wanted), most)
    t, s, value, counted = np.zeros(shape), np.zeros(shape), np.zeros(shape), np.zeros(shape, dtype=np.bool_)
    for row, (window, _) in enumerate(wanted):
        many = len(window.t)
        t[row, :many], s[row, :many], value[row, :many], counted[row, :many] = window.t, window.s, window.value, True
    start = np.array([each for _, each in wanted])
    return fitted(lambda p, places: _model(p, t[places], s[places]), value, start, counted=counted)


def _model(p: Array, t: Array, s: Array) -> tuple[Array, Array]:
    """Values by low, step, place, slant, blur, bend, and the width of the line where there is one; and their slopes."""
    column = p[:, :, None]
    far = t - column[:, 2] - column[:, 3] * s - column[:, 5] * s * s
    blur = _blur(column[:, 4])
    share, rate = _rise(far, blur)
    by_blur = -far * rate / blur
    slopes = np.empty((len(p), p.shape[1], t.shape[1]))
    if p.shape[1] > 6:
        beyond = far - column[:, 6]
        other, steep = _rise(beyond, blur)
        share = share - other + (column[:, 6] <= 0)
        by_blur = by_blur + beyond * steep / blur
        rate = rate - steep
        np.multiply(column[:, 1], steep, out=slopes[:, 6])
    slopes[:, 0] = 1
    slopes[:, 1] = share
    np.multiply(-column[:, 1], rate, out=slopes[:, 2])
    np.multiply(slopes[:, 2], s, out=slopes[:, 3])
    np.multiply(column[:, 1] * column[:, 4] / blur, by_blur, out=slopes[:, 4])
    np.multiply(slopes[:, 3], s, out=slopes[:, 5])
    return column[:, 0] + column[:, 1] * share, slopes.transpose(0, 2, 1)


def _blur(sigma: Array) -> Array:
    """Sigma of the blur; a pixel alone blurs by what it is wide."""
    return np.hypot(sigma, PIXEL_BLUR)


def _rise(far: Array, blur: Array) -> tuple[Array, Array]:
    """A blurred step, and its slope."""
    x = far / (math.sqrt(2) * blur)
    bell = np.exp(-x * x)
    return 0.5 * (1 + _erf(x, bell)), bell / (math.sqrt(2 * math.pi) * blur)


def erf(x: Array) -> Array:
    """The error function of many numbers, within 1.5e-7."""
    return _erf(x, np.exp(-x * x))


def _erf(x: Array, bell: Array) -> Array:
    """The same where exp(-x * x) is known."""
    t = np.abs(x)
    t *= _P
    t += 1
    np.reciprocal(t, out=t)
    series = _A[0] * t
    for factor in _A[1:]:
        series += factor
        series *= t
    series *= bell
    found: Array = np.copysign(1 - series, x)
    return found


def _refusal(fit: Fit) -> NoEdge | None:
    low, step, place, slant = (float(each) for each in fit.values[:4])
    blur = float(_blur(fit.values[4]))
    if abs(step) < CLEAREST * fit.noise:
        return NoEdge("faint")
    if abs(place) > REACH_PX - 1 or abs(slant) > 1.5:
        return NoEdge("far")
    if len(fit.values) > 6 and abs(float(fit.values[6])) < NARROWEST * blur:
        return NoEdge("narrow")
    if blur > REACH_PX / 2 or not math.isfinite(low):
        return NoEdge("unclear")
    return None
