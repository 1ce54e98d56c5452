"""The scale that a TIFF states of itself in physical units: in its description text, or as OME-XML there.

- A line `unit=…` in the description text (tag 270): the resolution tags (282, 283) then count pixels per that unit.
  Where the resolution unit (tag 296) is inch or centimetre as well, the tags by themselves say a second number, and
  both are told: they are never multiplied. TIFF revision 6.0 section 8.
- OME-XML there: `PhysicalSizeX` and `PhysicalSizeY` of the first `Pixels`, in µm where no unit is named, of an image of
  the size of this page. OME data model, schema 2016-06.

A resolution without such a unit is a print density and never a scale.
"""

import re
from contextlib import suppress
from xml.parsers import expat

from portal.model.picture import WrittenScale
from portal.model.scalars import UM_PER_INCH, Frame
from portal.pictures.ifd import Directory

_DESCRIPTION, _X_RESOLUTION, _Y_RESOLUTION, _UNIT = 270, 282, 283, 296
_LONGEST = 4_000_000
"""Bytes of a description that are read; one of a large stack, with a line for each plane, is long."""
_DEEPEST = 100
"""Elements one within another; the schema has some ten."""

_LINE = re.compile(r"^unit=(.+)$", re.MULTILINE)

_UM_PER_UNIT = {
    "nm": 1e-3,
    "um": 1.0,
    "µm": 1.0,
    "μm": 1.0,
    r"\u00b5m": 1.0,
    "micron": 1.0,
    "microns": 1.0,
    "micrometer": 1.0,
    "micrometre": 1.0,
    "mm": 1e3,
    "cm": 1e4,
    "m": 1e6,
    "in": UM_PER_INCH,
    "inch": UM_PER_INCH,
    "inches": UM_PER_INCH,
}
_UM_PER_OME_UNIT = {
    **{"pm": 1e-6, "Å": 1e-4, "nm": 1e-3, "µm": 1.0, "μm": 1.0, "mm": 1e3, "cm": 1e4, "dm": 1e5, "m": 1e6},
    **{"thou": UM_PER_INCH / 1000, "in": UM_PER_INCH},
}
_UM_PER_TAG_UNIT = {2: UM_PER_INCH, 3: 1e4}


def written_scales(page: Directory, frame: Frame) -> tuple[WrittenScale, ...]:
    """Every scale that a page states in physical units, of its stored frame; none where it states none."""
    described = page.raw(_DESCRIPTION, most=_LONGEST)
    if b"<OME" in described[:2000]:
        ome = _of_ome(described, frame)
        return (ome,) if ome else ()
    line = _LINE.search(_decoded(described).replace("\r", "\n"))
    unit = _UM_PER_UNIT.get(line[1].strip().lower()) if line else None
    if unit is None:
        return ()
    by_text = _by_resolution(page, unit, "text")
    if by_text is None:
        return ()
    tag_unit = _UM_PER_TAG_UNIT.get(page.number(_UNIT, 1))
    by_tag = _by_resolution(page, tag_unit, "tag") if tag_unit else None
    return (by_text, by_tag) if by_tag else (by_text,)


def _decoded(text: bytes) -> str:
    try:
        return text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("latin-1")


def _by_resolution(page: Directory, um_per_unit: float, by: str) -> WrittenScale | None:
    x, y = page.ratio(_X_RESOLUTION), page.ratio(_Y_RESOLUTION)
    if not x or not y:
        return None
    return WrittenScale(um_per_unit / x, um_per_unit / y, by)


def _of_ome(text: bytes, frame: Frame) -> WrittenScale | None:
    if b"<!DOCTYPE" in text or b"<!ENTITY" in text:  # nothing in the schema needs one, and it may grow without end
        return None
    try:
        said = _first_pixels(text)
        return _of_pixels(said, frame) if said is not None else None
    except (expat.ExpatError, ValueError, LookupError):  # the last of an encoding that nobody knows
        return None


class _Enough(Exception):
    """What was looked for, or more than is looked at: what follows isn't read."""


def _first_pixels(text: bytes) -> dict[str, str] | None:
    """What the first element named `Pixels` says; no tree is kept, which a deep one would fill the memory with."""
    found: list[dict[str, str]] = []
    within: list[str] = []

    def begins(name: str, said: dict[str, str]) -> None:
        within.append(name)
        if name.rpartition("}")[2] == "Pixels":
            found.append(said)
        if found or len(within) > _DEEPEST:
            raise _Enough

    def ends(_: str) -> None:
        within.pop()

    parser = expat.ParserCreate(namespace_separator="}")
    parser.StartElementHandler, parser.EndElementHandler = begins, ends
    with suppress(_Enough):
        parser.Parse(text, True)
    return found[0] if found else None


def _of_pixels(said: dict[str, str], frame: Frame) -> WrittenScale | None:
    if (said.get("SizeX"), said.get("SizeY")) != (str(frame.width), str(frame.height)):
        return None
    sizes = []
    for axis in ("X", "Y"):
        unit = _UM_PER_OME_UNIT.get(said.get(f"PhysicalSize{axis}Unit", "µm"))
        size = float(said.get(f"PhysicalSize{axis}", "0"))
        if unit is None or not 0 < size < float("inf"):
            return None
        sizes.append(size * unit)
    return WrittenScale(sizes[0], sizes[1], "ome")
