"""Scalars that a file holds as text: lengths with units, days, moments, frames, points.

Every scalar of a catalogue file arrives as the text that stands there; the type of the field decides
what it means. Each type here reads its text once and keeps it, so that what was agreed is shown as written.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, is_dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Annotated, Any

from pydantic import Field, GetCoreSchemaHandler, GetJsonSchemaHandler, StringConstraints, WithJsonSchema
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

UM_PER_INCH = 25_400.0
"""Exact: 1 inch = 25.4 mm by definition (International yard and pound agreement, 1959)."""

_UM_PER_UNIT = {"nm": 0.001, "um": 1.0, "µm": 1.0, "μm": 1.0, "mm": 1000.0, "cm": 10_000.0, "m": 1e6, "in": UM_PER_INCH}
_NUMBER = r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{0,15})?|\.[0-9]{1,15})"
"""So many digits, so that no number overflows to infinity."""
_POINT = re.compile(rf"({_NUMBER}),({_NUMBER})")
_QUANTITY = re.compile(rf"({_NUMBER})\s*(\S.*)?")


@dataclass(frozen=True, slots=True)
class Length:
    """A length in micrometres and the text in which it was written."""

    um: float
    text: str

    @property
    def unit(self) -> str:
        """The unit as written: `mm`, `um`, `in` ..."""
        return self.text.lstrip("+-.0123456789").strip()

    @property
    def decimals(self) -> int:
        """How many digits were written after the decimal point."""
        number = self.text.removesuffix(self.unit).strip()
        return len(number.partition(".")[2])


@dataclass(frozen=True, slots=True)
class Area:
    """An area in square micrometres and the text in which it was written."""

    um2: float
    text: str

    @property
    def unit(self) -> str:
        """The unit of length whose square was written: `mm`, `um`, `in` ..."""
        return _area_unit(self.text.lstrip("+-.0123456789").strip())


@dataclass(frozen=True, slots=True)
class Seconds:
    """A span of time, written as `1.5 s`."""

    value: float
    text: str


@dataclass(frozen=True, slots=True)
class Ratio:
    """A plain ratio, written as a percentage."""

    value: float
    text: str


@dataclass(frozen=True, slots=True)
class Angle:
    """An angle in degrees."""

    degrees: float
    text: str


@dataclass(frozen=True, slots=True)
class Frame:
    """Width and height of a picture in pixels."""

    width: int
    height: int

    def __str__(self) -> str:
        return f"{self.width}x{self.height}"

    @property
    def turned(self) -> "Frame":
        """The same frame on its side."""
        return Frame(self.height, self.width)


@dataclass(frozen=True, slots=True)
class Points:
    """Points of a shape in pixels of the upright picture: x right, y down, first pixel's corner (0, 0)."""

    xy: tuple[tuple[float, float], ...]
    text: str


@dataclass(frozen=True, slots=True)
class Moment:
    """A time as it was written; an offset is kept, the day is never shifted."""

    text: str

    @property
    def day(self) -> date:
        """The day as written."""
        return date.fromisoformat(self.text[:10])

    @property
    def order(self) -> str:
        """What sorts moments as they were written; an offset isn't reckoned with."""
        return self.text.replace(" ", "T")


def read_length(text: str) -> Length:
    """Read `0.15 mm`, `150 um`, `150 µm`, `0.006 in`; a bare number is refused."""
    match = _QUANTITY.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"`{text}` is not a length; write a number and a unit, as `0.15 mm`, `150 um` or `0.006 in`")
    number, unit = match.groups()
    if unit is None:
        raise ValueError(f"`{text}` has no unit; write `{text} mm`, `{text} um` or `{text} in`")
    if unit not in _UM_PER_UNIT:
        raise ValueError(f"`{unit}` is not a unit of length; known are mm, um, µm, nm, cm, m, in")
    return Length(float(number) * _UM_PER_UNIT[unit], text.strip())


def read_area(text: str) -> Area:
    """Read `0.02 mm²`, `0.02 mm2`, `500 um²`, `0.00003 in²`."""
    match = _QUANTITY.fullmatch(text.strip())
    number, unit = match.groups() if match else ("", None)
    if unit is None or unit == _area_unit(unit) or _area_unit(unit) not in _UM_PER_UNIT:
        raise ValueError(f"`{text}` is not an area; write a number and a unit, as `0.02 mm²` or `500 um²`")
    return Area(float(number) * _UM_PER_UNIT[_area_unit(unit)] ** 2, text.strip())


def _area_unit(unit: str) -> str:
    """The unit of length without its square; the same where it has none."""
    return unit[:-1] if unit.endswith(("²", "2")) else unit


def read_ratio(text: str) -> Ratio:
    """Read `0.2 %`."""
    match = _QUANTITY.fullmatch(text.strip())
    if match is None or match.group(2) != "%":
        raise ValueError(f"`{text}` is not a percentage; write it as `0.2 %`")
    return Ratio(float(match.group(1)) / 100, text.strip())


def read_angle(text: str) -> Angle:
    """Read `6 deg`."""
    match = _QUANTITY.fullmatch(text.strip())
    if match is None or match.group(2) not in {"deg", "°"}:
        raise ValueError(f"`{text}` is not an angle; write it as `6 deg`")
    return Angle(float(match.group(1)), text.strip())


def read_seconds(text: str) -> Seconds:
    """Read `1.5 s`."""
    match = _QUANTITY.fullmatch(text.strip())
    if match is None or match.group(2) != "s" or float(match.group(1)) < 0:
        raise ValueError(f"`{text}` is not a time from the start; write seconds, as `1.5 s`")
    return Seconds(float(match.group(1)), text.strip())


def read_frame(text: str) -> Frame:
    """Read `4000x3000`."""
    match = re.fullmatch(r"([1-9][0-9]{0,5})x([1-9][0-9]{0,5})", text.strip())
    if match is None:
        raise ValueError(f"`{text}` is not a picture size; write width x height in pixels, as `4000x3000`")
    return Frame(int(match.group(1)), int(match.group(2)))


@lru_cache(maxsize=256)
def read_points(text: str) -> Points:
    """Read `1203.5,844 1210,851.25`; what was read of late is at hand, since a tag is read again with each stroke."""
    words = text.split()
    if not words:
        raise ValueError("no points; write x,y in pixels, points apart by a blank")
    pairs = []
    for word in words:
        match = _POINT.fullmatch(word)
        if match is None:
            raise ValueError(f"`{word}` is not a point; write x,y in pixels, points apart by a blank")
        pairs.append((float(match[1]), float(match[2])))
    return Points(tuple(pairs), " ".join(words))


def read_day(text: str) -> date:
    """Read `2026-03-04`."""
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise ValueError(f"`{text}` is not a date; write year-month-day, as `2026-03-04`")


def read_moment(text: str) -> Moment:
    """Read `2026-03-04T15:12`, with seconds and an offset where they are known."""
    shape = r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:\d{2})?"
    try:
        if re.fullmatch(shape, text):
            datetime.fromisoformat(text)
            return Moment(text)
    except ValueError:
        pass
    raise ValueError(f"`{text}` is not a time; write `2026-03-04T15:12`")


def read_yes_no(text: str) -> bool:
    """Read `true` or `false`."""
    if text not in {"true", "false"}:
        raise ValueError(f"`{text}` is not `true` or `false`")
    return text == "true"


def read_whole(text: str) -> int:
    """Read a whole number of at least 0."""
    if not re.fullmatch(r"[0-9]{1,9}", text):
        raise ValueError(f"`{text}` is not a whole number")
    return int(text)


def read_number(text: str) -> float:
    """Read a plain decimal number."""
    if not re.fullmatch(_NUMBER, text):
        raise ValueError(f"`{text}` is not a number")
    return float(text)


def _as_text(value: Any) -> str:
    return str(getattr(value, "text", value))


_SAID = core_schema.plain_serializer_function_ser_schema(
    _as_text, return_schema=core_schema.str_schema(), when_used="json"
)


@dataclass(frozen=True, slots=True, eq=False)
class _Written:
    """How the value of a field is read from the text that stands there, and what an editor may take for such a text.

    One mark says it all, so that pydantic doesn't look into the value's class anew for each field that has it.
    """

    read: Callable[[str], object]
    as_json: dict[str, Any]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Text is read, any other value has to be one already; one of a class of ours is told as it was written."""
        if is_dataclass(source) or source is date:
            made = core_schema.is_instance_schema(source)
            return core_schema.no_info_before_validator_function(self._validate, made, serialization=_SAID)
        return core_schema.no_info_before_validator_function(self._validate, handler(source))

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """What stands in the file."""
        return dict(self.as_json)

    def _validate(self, value: Any) -> Any:
        return self.read(value) if isinstance(value, str) else value


def _written(read: Callable[[str], object], *patterns: str, numbers: tuple[str, ...] = ()) -> _Written:
    """Read so; an editor takes text of a pattern, or what YAML takes for a number or a yes or no."""
    return _Written(read, _taken(*patterns, numbers=numbers))


def _taken(*patterns: str, numbers: tuple[str, ...] = ()) -> dict[str, Any]:
    texts: list[dict[str, Any]] = [{"type": "string", "pattern": rf"^\s*{pattern}\s*$"} for pattern in patterns]
    every = [*texts, *({"type": each} for each in numbers)]
    return {"anyOf": every} if len(every) > 1 else every[0]


_UNITS = "|".join(_UM_PER_UNIT)
_XY = rf"{_NUMBER},{_NUMBER}"
_DAY, _TIME = r"[0-9]{4}-[0-9]{2}-[0-9]{2}", r"[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?(Z|[+-][0-9]{2}:[0-9]{2})?"

LengthField = Annotated[Length, _written(read_length, rf"{_NUMBER}\s*({_UNITS})")]
AreaField = Annotated[Area, _written(read_area, rf"{_NUMBER}\s*({_UNITS})[²2]")]
RatioField = Annotated[Ratio, _written(read_ratio, rf"{_NUMBER}\s*%")]
AngleField = Annotated[Angle, _written(read_angle, rf"{_NUMBER}\s*(deg|°)")]
SecondsField = Annotated[Seconds, _written(read_seconds, rf"{_NUMBER}\s*s")]
FrameField = Annotated[Frame, _written(read_frame, "[1-9][0-9]{0,5}x[1-9][0-9]{0,5}")]
PointsField = Annotated[Points, _written(read_points, rf"{_XY}(\s+{_XY})*")]
Day = Annotated[date, _written(read_day, _DAY)]
MomentField = Annotated[Moment, _written(read_moment, rf"{_DAY}[T ]{_TIME}")]
YesNo = Annotated[bool, _written(read_yes_no, "(true|false)", numbers=("boolean",))]
Whole = Annotated[int, _written(read_whole, "[0-9]{1,9}", numbers=("integer",))]
Number = Annotated[float, _written(read_number, _NUMBER, numbers=("number",))]
Count = Annotated[int, Field(strict=True, ge=0, le=2**53 - 1)]
"""A whole number of a JSON file, as large as every reader of JSON has it exactly."""
_TEXT = WithJsonSchema({"type": ["string", "number", "boolean"]})
"""Every scalar is read as the text that stands there, also where YAML would take it for a number."""

Text = Annotated[str, StringConstraints(min_length=1, max_length=20_000), _TEXT]
Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
FindingId = Annotated[
    str,
    StringConstraints(pattern=r"^[0-9A-HJKMNP-TV-Z]{4}$"),
    WithJsonSchema(_taken("[0-9A-HJKMNP-TV-Z]{4}", numbers=("number",))),
]
"""Four characters of Crockford's base 32: no I, L, O or U."""
