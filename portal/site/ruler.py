"""The limit ruler: limits as tall ticks, the guard band hatched, the value as a dot with its whisker.

Places along the ruler are shares of its width, so that its text keeps its size on every screen.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from portal.model.result import Held, Measurement
from portal.model.say import Quantity, Say, Value
from portal.model.scalars import Length
from portal.model.show import fixed, in_unit, unit_text
from portal.site.labels import Placed, Wish, place, text_width, uncrossed
from portal.site.words import Speaker

WIDE_PX, NARROW_PX = 560.0, 220.0
"""The least widths at which each of the two rulers is shown."""
MARGIN_PX = 28.0


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the scale; only long ones have a label."""

    at: float
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Band:
    """A hatched part of the ruler."""

    at: float
    width: float


@dataclass(frozen=True, slots=True)
class Ruler:
    """One drawing of a ruler; every place is a share of its width."""

    ticks: tuple[Tick, ...]
    unit: str
    limits: tuple[float, ...]
    bands: tuple[Band, ...]
    dot: float
    whisker: tuple[float, float]
    above: tuple[Placed, ...]
    below: tuple[Placed, ...]
    """Where conforming ends."""
    part_only: bool
    """Whether it shows the neighbourhood of the limit only."""
    tops: tuple[int, ...] = ()
    """For each limit the row of text that its line begins below, so that it strikes no word through; 0 is the top."""


@dataclass(frozen=True, slots=True)
class Rulers:
    """The same ruler for a wide and for a narrow screen, and its sentence."""

    wide: Ruler
    narrow: Ruler
    sentence: Say | str
    banded: bool
    """Whether there is a guard band to be explained."""


@dataclass(frozen=True)
class Reading:
    """What a ruler shows, in µm, with the texts that stand beside it."""

    value: float
    expanded: float
    lower: Length | None
    upper: Length | None
    accept: tuple[float | None, float | None]
    reject: tuple[float | None, float | None]
    shown: Quantity | str
    sentence: Say | str
    accept_shown: tuple[Value | None, Value | None] = (None, None)

    @property
    def limits(self) -> tuple[Length, ...]:
        """The limits that there are, lower first."""
        return tuple(limit for limit in (self.lower, self.upper) if limit is not None)

    @property
    def ends(self) -> tuple[float, float]:
        """The whisker's ends."""
        return (self.value - self.expanded, self.value + self.expanded)


def of_held(held: Held) -> Reading | None:
    """What a ruler shows of a limit; None where nothing was measured, or an area."""
    measurement = held.measurement
    if measurement is None or measurement.power != 1:
        return None
    values = dict(held.sentence.values)
    accept = values.get("accept")
    accept_words = dict(accept.values) if isinstance(accept, Say) else {}
    shown = values.get("value")
    return Reading(
        value=measurement.value,
        expanded=measurement.expanded,
        lower=held.limit.min,
        upper=held.limit.max,
        accept=(held.accept_min_um, held.accept_max_um),
        reject=(held.reject_below_um, held.reject_above_um),
        shown=shown if isinstance(shown, Quantity) else _plain(measurement),
        sentence=held.sentence,
        accept_shown=(accept_words.get("min"), accept_words.get("max")),
    )


def of_measurement(measurement: Measurement) -> Reading | None:
    """What a ruler shows where no limit is agreed."""
    if measurement.power != 1:
        return None
    shown = _plain(measurement)
    name = Say.of(f"characteristic.{measurement.characteristic.value}")
    sentence = Say.of("ruler.no_limit_sentence", characteristic=name, value=shown)
    return Reading(measurement.value, measurement.expanded, None, None, (None, None), (None, None), shown, sentence)


def _plain(measurement: Measurement) -> Quantity:
    return Quantity(measurement.value, measurement.expanded, power=measurement.power)


def rulers(reading: Reading, speaker: Speaker) -> Rulers:
    """Both drawings of a reading."""
    like = reading.limits[0].unit if reading.limits else speaker.unit
    unit = like if like in {"mm", "in", "um", "µm", "μm"} else "mm"
    wide = _draw(reading, speaker, unit, domain=_all_of(reading), least=WIDE_PX, part_only=False)
    narrow = _draw(reading, speaker, unit, domain=_near(reading), least=NARROW_PX, part_only=bool(reading.limits))
    banded = any(each is not None for each in (*reading.accept, *reading.reject)) and bool(wide.bands)
    return Rulers(wide, narrow, reading.sentence, banded)


def _all_of(reading: Reading) -> tuple[float, float]:
    """From nothing (or the lower limit) to beyond the limit and the value."""
    marks = [limit.um for limit in reading.limits] + list(reading.ends)
    marks += [each for each in (*reading.accept, *reading.reject) if each is not None]
    low, high = min(0.0, *marks), max(0.0, *marks)
    span = high - low or 1.0
    return (low - 0.12 * span if low < 0 else low, high + 0.12 * span if high > 0 else high)


def _near(reading: Reading) -> tuple[float, float]:
    """The neighbourhood of the limit that the value is nearest to, wide enough for the value."""
    if not reading.limits:
        return _all_of(reading)
    limit = min(reading.limits, key=lambda each: abs(each.um - reading.value)).um
    marks = [limit, *reading.ends]
    edges = [each for each in (*reading.accept, *reading.reject) if each is not None]
    reach = max(reading.ends[1] - reading.ends[0], abs(limit - reading.value))
    marks += [each for each in edges if abs(each - limit) <= 2 * reach]
    low, high = min(marks), max(marks)
    room = 0.45 * (high - low) or 1.0
    return (low - room, high + room)


def _draw(
    reading: Reading, speaker: Speaker, unit: str, *, domain: tuple[float, float], least: float, part_only: bool
) -> Ruler:
    low, high = _with_room(reading, speaker, domain, least)

    def share(um: float) -> float:
        return (um - low) / (high - low)

    def shown(um: float | None) -> bool:
        return um is not None and low <= um <= high

    limits = tuple(limit for limit in reading.limits if shown(limit.um))
    turns = tuple((um, text) for um, text in zip(reading.accept, reading.accept_shown, strict=True) if shown(um))
    lines = tuple(share(limit.um) for limit in limits)
    whisker = (share(reading.ends[0]), share(reading.ends[1]))
    value = Wish(
        speaker.value(reading.shown), share(reading.value), "value",
        clear=(whisker[1] - whisker[0]) * least / 2 + 8, anchors=_sides(reading), row=1,
    )  # fmt: skip
    names = [
        Wish(_limit_text(limit, reading, speaker), share(limit.um), "limit", anchors=_outward(limit, reading))
        for limit in limits
    ]
    above = place([*names, value], least=least, margin=MARGIN_PX, rows=2, lines=lines)
    if any(_crossed(above, line, least) for line in lines):
        above = place([replace(value, row=0), *(replace(each, row=1) for each in names)],
                      least=least, margin=MARGIN_PX, rows=2)  # fmt: skip
    below = place(
        [
            Wish(_turn_text(reading, um, text, speaker), share(um), "turn", clear=0, anchors=("middle", "end", "start"))
            for um, text in turns
            if um is not None
        ],
        least=least,
        margin=MARGIN_PX,
        rows=1,
    )
    ticks = _ticks(low, high, unit, least=least)
    return Ruler(
        ticks=tuple(replace(tick, label=tick.label and speaker.number(tick.label)) for tick in ticks),
        unit=unit_text(unit),
        limits=lines,
        bands=tuple(_bands(reading, share)),
        dot=share(reading.value),
        whisker=whisker,
        above=above,
        below=below,
        part_only=part_only and domain != _all_of(reading),
        tops=tuple(max((label.row + 1 for label in _crossed(above, line, least)), default=0) for line in lines),
    )


def _crossed(labels: Sequence[Placed], line: float, least: float) -> list[Placed]:
    """The texts that a limit's line would strike through, from the least width up to any larger one."""
    return [label for label in labels if not uncrossed(label, (line,), least)]


def _with_room(reading: Reading, speaker: Speaker, domain: tuple[float, float], least: float) -> tuple[float, float]:
    """The same, widened until the value's text fits on the far side of the limit that the value is beyond."""
    low, high = domain
    share = min(0.7, (text_width(speaker.value(reading.shown)) + 12 - MARGIN_PX) / least)
    if _sides(reading)[0] == "start":
        end = max(reading.ends[1], reading.value)
        return low, max(high, (end - share * low) / (1 - share))
    if reading.lower and reading.value < reading.lower.um:
        start = min(reading.ends[0], reading.value)
        return min(low, (start - share * high) / (1 - share)), high
    return domain


def _sides(reading: Reading) -> tuple[str, ...]:
    """The value's text stands on the side away from the limit."""
    nearest = min((limit.um for limit in reading.limits), key=lambda um: abs(um - reading.value), default=math.inf)
    return ("end", "start", "middle") if reading.value <= nearest else ("start", "end", "middle")


def _outward(limit: Length, reading: Reading) -> tuple[str, ...]:
    """A lower limit's text stands below it, an upper one's above it."""
    return ("end", "start") if limit is reading.lower else ("start", "end")


def _limit_text(limit: Length, reading: Reading, speaker: Speaker) -> str:
    return speaker.text("ruler.at_least" if limit is reading.lower else "ruler.at_most", limit=limit)


def _turn_text(reading: Reading, um: float, text: Value | None, speaker: Speaker) -> str:
    like = reading.limits[0] if reading.limits else None
    key = "ruler.conforms_from" if um == reading.accept[0] else "ruler.conforms_up_to"
    return speaker.text(key, value=text if text is not None else Quantity(um, like=like))


def _bands(reading: Reading, share: Callable[[float], float]) -> list[Band]:
    pairs = ((reading.reject[0], reading.accept[0]), (reading.accept[1], reading.reject[1]))
    found = []
    for low, high in pairs:
        if low is not None and high is not None and high > low:
            left, right = max(0.0, share(low)), min(1.0, share(high))
            if right > left:
                found.append(Band(left, right - left))
    return found


def _ticks(low: float, high: float, unit: str, *, least: float) -> tuple[Tick, ...]:
    """Marks in the 1-2-5 series, as many labelled ones as fit side by side."""
    start, end = in_unit(low, unit), in_unit(high, unit)
    step = _step(start, end, least)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    minor = step / 2 if f"{step:e}"[0] == "2" else step / 5
    ticks = []
    for number in range(math.ceil(start / minor - 1e-6), math.floor(end / minor + 1e-6) + 1):
        value = number * minor
        long = abs(value / step - round(value / step)) < 1e-6
        ticks.append(Tick((value - start) / (end - start), fixed(value, decimals) if long else None))
    return tuple(ticks)


def _step(start: float, end: float, least: float) -> float:
    power = math.floor(math.log10((end - start) / 20))
    for step in (m * 10.0**p for p in range(power, power + 4) for m in (1, 2, 5)):
        decimals = max(0, -math.floor(math.log10(step) + 1e-9))
        widest = max(text_width(fixed(start, decimals), 13), text_width(fixed(end, decimals), 13))
        if step / (end - start) * least >= widest + 22:
            return step
    return (end - start) / 2
