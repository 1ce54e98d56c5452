"""Reads the divisions of a stage micrometer in a picture: how many pixels one of them is, and how sure that is.

The marks are parallel lines at equal distances. Their direction is that in which brightness changes most. Along it,
strips of the picture are averaged; the strips in which the finest divisions stand clearest are kept, so that numbers
and the ends of long marks don't count. Each mark's middle is where its darkness balances, and one division is the
slope of a straight line through all marks by their numbers, which is far surer than the distance from first to last.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from portal.model.result import Term

Array = npt.NDArray[np.float64]
Values = npt.NDArray[np.floating] | npt.NDArray[np.uint8]

STRIPS = 24
LEAST_MARKS = 6
STRAIGHT = 1e-3
"""A direction that is right within so much needs no second look; its cosine is 1 within a millionth."""
CLEAR = 0.5
"""A strip counts where its marks stand at least so clearly as in the clearest one."""
SCATTER = 0.06
"""Marks that lie further off their places than this share of a division are those of no graticule."""
SPAN_PX = 0.012
"""What uneven light and averaging in strips may leave over all marks together, as a standard uncertainty; our own
assumption, held against rendered pictures."""
DIRECTION = 2e-5
"""What a direction that isn't quite known may change, relative, as a standard uncertainty; our own assumption too."""
MOSTLY = 0.7
"""So many of the marks have to be where they belong."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark where it was read, the mean of all strips in which it was."""

    number: int
    """Counted along the direction from the first mark that was read."""
    x: float
    y: float
    left_px: float
    """How far along the direction it lies beyond its place among marks at equal distances."""


@dataclass(frozen=True, slots=True)
class Graticule:
    """What a picture of a graticule says; pixels are those of the picture."""

    division_px: float
    u_px: float
    """Standard uncertainty of one division, without the artefact's."""
    marks: int
    angle_deg: float
    """Direction across the marks, from x, clockwise."""
    terms: tuple[Term, ...]
    """What the uncertainty is made of, in pixels of a division."""
    places: tuple[Mark, ...]

    @property
    def divisions(self) -> int:
        """How many divisions lie between the first mark that was read and the last."""
        return self.places[-1].number

    @property
    def ends(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The first and the last mark, each where marks at equal distances have it."""
        return self._place(0), self._place(self.divisions)

    def within(self, width: float, height: float) -> tuple[int, tuple[float, float], tuple[float, float]]:
        """The most divisions along one straight line that lies in a picture, and its ends at a mark each.

        Where the marks stand aslant and reach over the picture's edge, the line from the first to the last leaves it.
        """
        inside = [
            number
            for number in range(self.divisions + 1)
            if 0 <= self._place(number)[0] <= width and 0 <= self._place(number)[1] <= height
        ]
        first, last = (inside[0], inside[-1]) if len(inside) > 1 else (0, self.divisions)
        return last - first, self._place(first), self._place(last)

    def _place(self, number: int) -> tuple[float, float]:
        """Where marks at equal distances have that one, counted from the first that was read."""
        way = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))
        first = self.places[0]
        far = self.division_px * number - first.left_px
        return first.x + far * way[0], first.y + far * way[1]


@dataclass(frozen=True, slots=True)
class NoGraticule:
    """Why a picture isn't one of a graticule: a key of the message catalogue below `graticule.`."""

    key: str


def read_graticule(light: Values) -> Graticule | NoGraticule:
    """The divisions in a picture of shape (h, w), in any steady measure of brightness."""
    angle = _direction(light)
    if angle is None:
        return NoGraticule("even")
    found = _along(light, angle)
    for _ in range(2):  # strips that run straight along the marks tell their direction better
        if isinstance(found, NoGraticule) or abs(math.radians(found.angle_deg) - angle) < STRAIGHT:
            return found
        angle = math.radians(found.angle_deg)
        found = _along(light, angle)
    return found


def _along(light: Values, angle: float) -> Graticule | NoGraticule:
    """The divisions along a direction."""
    division, best = _division(_strips(light, angle))
    if division is None:
        return NoGraticule("no-divisions")
    marks = [each for strip in best for each in _marks(strip, division)]
    height, width = light.shape
    if len(marks) < LEAST_MARKS:
        return NoGraticule("few")
    return _fitted(np.array(marks), division, angle, middle=(width / 2, height / 2))


def slope_u(marks: int, scatter: float) -> float:
    """Relative standard uncertainty of a division by least squares through that many marks, whose places scatter by
    `scatter` divisions.

    >>> f"{slope_u(11, 0.01):.4e}"
    '9.5346e-04'
    """
    return scatter / math.sqrt(marks * (marks * marks - 1) / 12)


def _direction(light: Values) -> float | None:
    """The direction in which brightness changes most, from x, clockwise."""
    dy, dx = np.gradient(light.astype(np.float32))
    xx, yy, xy = (float((one * other).sum(dtype=np.float64)) for one, other in ((dx, dx), (dy, dy), (dx, dy)))
    if xx + yy <= 0 or math.hypot(xx - yy, 2 * xy) < 0.02 * (xx + yy):
        return None
    return 0.5 * math.atan2(2 * xy, xx - yy)


@dataclass(frozen=True, slots=True)
class _Strip:
    """The mean brightness along the direction, pixel by pixel, of a strip at `s` beside the middle."""

    s: float
    t: Array
    value: Array


def _strips(light: Values, angle: float) -> list[_Strip]:
    height, width = light.shape
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    dx, dy = x + 0.5 - width / 2, y + 0.5 - height / 2
    t = (dx * math.cos(angle) + dy * math.sin(angle)).ravel()
    s = (dy * math.cos(angle) - dx * math.sin(angle)).ravel()
    values = light.ravel()
    lowest, highest = float(s.min()), float(s.max())
    which = np.minimum((STRIPS * (s - lowest) / (highest - lowest)).astype(np.int64), STRIPS - 1)
    first = math.floor(float(t.min()))
    place = np.floor(t).astype(np.int64) - first
    count = int(place.max()) + 1
    key = which * count + place
    size = STRIPS * count
    number = np.bincount(key, minlength=size).reshape(STRIPS, count)
    where = np.bincount(key, weights=t, minlength=size).reshape(STRIPS, count)
    beside = np.bincount(key, weights=s, minlength=size).reshape(STRIPS, count)
    mean = np.bincount(key, weights=values, minlength=size).reshape(STRIPS, count)
    found = []
    for row in range(STRIPS):
        enough = number[row] >= max(4, 0.3 * float(np.median(number[row][number[row] > 0])))
        if enough.sum() >= 40:
            n = number[row][enough]
            found.append(
                _Strip(float(beside[row][enough].sum() / n.sum()), where[row][enough] / n, mean[row][enough] / n)
            )
    return found


def _division(strips: list[_Strip]) -> tuple[float | None, list[_Strip]]:
    """About how long the finest clear division is, and the strips that show it."""
    peaks = [(_period(each), each) for each in strips]
    clear = [(period, strength, each) for (period, strength), each in peaks if period > 0]
    if not clear:
        return None, []
    most = max(strength for _, strength, _ in clear)
    good = [(period, each) for period, strength, each in clear if strength >= CLEAR * most]
    finest = min(period for period, _ in good)
    return finest, [each for period, each in good if abs(period - finest) < 0.06 * finest]


def _period(strip: _Strip) -> tuple[float, float]:
    """The period that stands out of a strip, and the height of its wave; 0 where none does."""
    places = np.arange(strip.t[0], strip.t[-1])
    value = np.interp(places, strip.t, strip.value)
    smooth = _without_drift(value)
    window = np.hanning(len(smooth))
    size = 8 * len(smooth)
    power = np.abs(np.fft.rfft(smooth * window, size)) ** 2
    frequency = np.fft.rfftfreq(size)
    usable = (frequency >= 4.0 / len(smooth)) & (frequency <= 1 / 5.0)
    if not usable.any() or power[usable].max() <= 0:
        return 0.0, 0.0
    power = np.where(usable, power, 0.0)
    top = int(power.argmax())
    for part in (2, 3):  # a wave's overtone may be higher than itself where marks are thin
        low = round(top / part)
        near = slice(max(0, low - 8), low + 9)
        if power[near].max(initial=0.0) > 0.35 * power[top]:
            top = int(near.start + power[near].argmax())
            break
    around = slice(max(0, top - 16), top + 17)
    share = float(power[around].sum() / np.abs(np.fft.rfft(smooth * window, size)[usable.argmax() :] ** 2).sum())
    if share < 0.15:
        return 0.0, 0.0
    return float(1 / frequency[top]), float(power[top]) ** 0.5


def _without_drift(value: Array) -> Array:
    """The values less what changes slowly, as uneven light does."""
    width = max(5, len(value) // 12)
    kernel = np.ones(width) / width
    padded = np.pad(value, width, mode="edge")
    found: Array = value - np.convolve(padded, kernel, mode="same")[width:-width]
    return found


def _marks(strip: _Strip, division: float) -> list[tuple[float, float]]:
    """Where the marks of a strip have their middles: along the direction, and beside it."""
    value = _without_drift(strip.value)
    sign = 1.0 if np.abs(np.percentile(value, 98)) > np.abs(np.percentile(value, 2)) else -1.0
    dark = sign * value
    half = max(2, round(0.3 * division))
    tops = [
        place for place in range(half, len(dark) - half) if dark[place] == dark[place - half : place + half + 1].max()
    ]
    level = 0.4 * float(np.percentile(dark[tops], 80)) if tops else 0.0
    reach = 0.5 * division
    found = []
    for top in tops:
        if dark[top] < level:
            continue
        near = np.abs(strip.t - strip.t[top]) <= reach
        if strip.t[top] - reach < strip.t[0] or strip.t[top] + reach > strip.t[-1]:
            continue
        middle = _balance(strip.t[near], sign * strip.value[near], float(strip.t[top]), division)
        found.append((middle, strip.s))
    return found


def _balance(t: Array, value: Array, start: float, division: float) -> float:
    """Where what stands out of a straight line between the gaps to both sides balances."""
    weight = np.clip(value - _ground(t, value, start, division), 0, None)
    middle, reach = start, 0.42 * division
    for _ in range(8):
        own = weight * np.clip(reach - np.abs(t - middle) + 0.5, 0, 1)
        total = float(own.sum())
        if total <= 0:
            return middle
        moved = float((own * t).sum() / total)
        if abs(moved - middle) < 1e-4:
            return moved
        middle = moved
    return middle


def _ground(t: Array, value: Array, start: float, division: float) -> Array:
    """The brightness between marks, as uneven light lets it slope."""
    far = t - start
    sides = [(side * far > 0.3 * division) for side in (-1, 1)]
    if not all(side.any() for side in sides):
        return np.full_like(t, float(np.median(value)))
    ends = [(float(t[side].mean()), float(np.median(value[side]))) for side in sides]
    found: Array = ends[0][1] + (t - ends[0][0]) * (ends[1][1] - ends[0][1]) / (ends[1][0] - ends[0][0])
    return found


def _fitted(marks: Array, division: float, angle: float, *, middle: tuple[float, float]) -> Graticule | NoGraticule:
    """One division by least squares through all marks by their numbers; those of no graticule are refused."""
    t, s = marks[:, 0], marks[:, 1]
    numbers = _numbered(t, division)
    keep = np.ones(len(t), dtype=bool)
    for _ in range(8):
        design = np.column_stack([t, s, np.ones(len(t))])
        (a, b, c), *_ = np.linalg.lstsq(design[keep], numbers[keep], rcond=None)
        numbers = np.rint(design @ np.array([a, b, c]))
        left = numbers - design @ np.array([a, b, c])
        spread = 1.4826 * float(np.median(np.abs(left[keep])))
        after = np.abs(left) <= max(4 * spread, 1e-3)
        if (after == keep).all():
            break
        keep = after
    kept = np.unique(numbers[keep])
    if len(kept) < LEAST_MARKS:
        return NoGraticule("few")
    if keep.mean() < MOSTLY or float(np.std(left[keep])) > SCATTER or len(kept) < MOSTLY * (kept[-1] - kept[0] + 1):
        return NoGraticule("uneven")
    own = [keep & (numbers == number) for number in kept]
    per_mark = np.array([left[each].mean() for each in own])
    spread_of_marks = float(np.sqrt((per_mark**2).sum() / (len(kept) - 2)))
    away = float(np.sqrt(((kept - kept.mean()) ** 2).sum()))
    found = 1 / math.hypot(a, b)
    turned = math.degrees(angle + math.atan2(b, a))
    terms = (
        Term("marks", found * spread_of_marks / away, dof=len(kept) - 2),
        Term("light", SPAN_PX / (kept[-1] - kept[0])),
        Term("direction", DIRECTION * found),
    )
    where = np.array([[t[each].mean(), s[each].mean()] for each in own])
    x = middle[0] + where @ np.array([math.cos(angle), -math.sin(angle)])
    y = middle[1] + where @ np.array([math.sin(angle), math.cos(angle)])
    listed = zip((kept - kept[0]).tolist(), x.tolist(), y.tolist(), (-found * per_mark).tolist(), strict=True)
    places = tuple(Mark(int(number), *place) for number, *place in listed)
    return Graticule(found, math.hypot(*(each.u for each in terms)), len(kept), turned, terms, places)


def _numbered(t: Array, division: float) -> Array:
    """Each mark's number: by the division near the one found at which all marks fall into step."""
    span = float(t.max() - t.min())
    step = division / (10 * max(span, division))
    tried = division * (1 + np.arange(-0.04, 0.04 + step, step))
    turns = np.exp(2j * np.pi * t[None, :] / tried[:, None]).sum(axis=1)
    best = int(np.abs(turns).argmax())
    start = float(np.angle(turns[best])) / (2 * np.pi)
    found: Array = np.rint(t / tried[best] - start)
    return found
