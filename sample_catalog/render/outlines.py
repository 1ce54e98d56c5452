"""The zones of gear, cap and connector outlined on the reference pictures of their views."""

import re
from pathlib import Path

import numpy as np

from .arrays import F64
from .files import put
from .others import TAKES
from .solids import (
    BORE_END_UM,
    CAP_POST_UM,
    CAP_UM,
    FLANGE_UM,
    GEAR_BORE_UM,
    HUB_UM,
    LAND_IN_UM,
    LAND_OUT_UM,
    NOSE_UM,
    RIM_IN_UM,
    gear_outline,
    side_radius,
)
from .tags import _circle, _ring, _text
from .takes import Take, on_picture


def outlined(catalogue: Path) -> int:
    """Write each zone's outline into its line `Z: {as: …}` of the part's record; returns how many parts."""
    views = {(each.path.split("/")[1], each.view): each for each in TAKES if each.path.startswith("parts/")}
    parts = sorted({part for part, _ in views if (catalogue / "parts" / part / "part.yaml").exists()})
    for part in parts:
        file = catalogue / "parts" / part / "part.yaml"
        put(file, _written(file.read_text(encoding="utf-8"), part, views).encode())
    return len(parts)


def _written(text: str, part: str, views: dict[tuple[str, str], Take]) -> str:
    view, lines = "", []
    for line in text.splitlines():
        named = re.match(r"  ([a-z-]+):$", line)
        view = named.group(1) if named else view
        sees = re.match(r"(      ([A-Z]): \{as: \w+)[^}]*\}$", line)
        if sees and (view, sees.group(2)) in _ZONES:
            take = views[part, view]
            points = np.asarray(on_picture(take, _ZONES[view, sees.group(2)]))
            line = f'{sees.group(1)}, outline: "{_text(np.clip(points, 0, take.size))}"}}'
        lines.append(line)
    return "\n".join(lines) + "\n"


def _between(outer: float, inner: float) -> F64:
    return _ring(_circle(outer), _circle(inner))


def _fine(radius: float) -> F64:
    """A circle that stays round when it is seen close."""
    angle = np.linspace(0.0, 2 * np.pi, 145)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def _silhouette(start: float, end: float) -> F64:
    y = np.linspace(start, end, 34)
    right = np.stack([side_radius(y), y], axis=1)
    return np.concatenate([right, right[::-1] * (-1.0, 1.0)])


def _lugged() -> F64:
    half = float(np.degrees(np.arcsin(210.0 / FLANGE_UM)))
    right = np.array([[1390.0, -210.0], [1390.0, 210.0]])
    upper, lower = _circle(FLANGE_UM, start=180 + half, end=360 - half), _circle(FLANGE_UM, start=half, end=180 - half)
    return np.concatenate([right, lower, -right, upper])


_TEETH = _ring(gear_outline(5), _fine(RIM_IN_UM + 150.0))
_FACES = _ring(_fine(RIM_IN_UM + 150.0), _fine(RIM_IN_UM))
_ZONES: dict[tuple[str, str], F64] = {
    ("face", "T"): _TEETH,
    ("face", "R"): _FACES,
    ("face", "W"): _between(RIM_IN_UM, HUB_UM),
    ("face", "H"): _between(HUB_UM, GEAR_BORE_UM - 30.0),
    ("tooth", "T"): _TEETH,
    ("tooth", "R"): _FACES,
    ("outside", "S"): _circle(CAP_UM),
    ("inside", "I"): _between(CAP_UM, CAP_POST_UM),
    ("inside", "P"): _circle(CAP_POST_UM),
    ("end", "E"): _ring(_lugged(), _circle(LAND_OUT_UM)),
    ("end", "L"): _between(LAND_OUT_UM, LAND_IN_UM),
    ("end", "K"): _between(LAND_IN_UM, BORE_END_UM),
    ("land", "L"): _ring(_fine(LAND_OUT_UM), _fine(LAND_IN_UM)),
    ("land", "E"): _ring(_lugged(), _fine(LAND_OUT_UM)),
    ("side", "N"): _silhouette(200.0, NOSE_UM),
    ("side", "G"): _silhouette(-1300.0, 185.0),
}
