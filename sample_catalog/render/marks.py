"""Faults of moulded plastic on any of the other parts, each with its exact place in µm of the piece."""

from dataclasses import dataclass

import numpy as np

from .arrays import F64
from .defects import _ragged

Line = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class At:
    """Where the middle of a fault lies, in µm of the piece."""

    x: float
    y: float


@dataclass(frozen=True)
class Round(At):
    """A fault as wide as it is long."""

    diameter_um: float


@dataclass(frozen=True)
class Patch(At):
    """A fault that is longer than wide, turned from the x axis towards y."""

    long_um: float
    wide_um: float
    turned_deg: float = 0.0


@dataclass(frozen=True)
class Along:
    """A fault along a line of the piece."""

    points: Line


@dataclass(frozen=True)
class Grain(Round):
    """A foreign particle of the area of a disc: dark in pale plastic, pale in black."""

    pale: bool = False


@dataclass(frozen=True)
class Bubble(Round):
    """A round gas pocket in a translucent wall."""


@dataclass(frozen=True)
class Pin(Round):
    """The print of an ejector pin, proud (+) or sunk (-), with a ring around it."""

    step_um: float


@dataclass(frozen=True)
class Scar(Round):
    """A gate's torn stub from above: its footprint only."""


@dataclass(frozen=True)
class Scratch(Along):
    """A groove with burrs along a line."""

    width_um: float = 9.0
    depth_um: float = 3.0


@dataclass(frozen=True)
class Weld(Along):
    """A hair line where two melt fronts met, with a sheen beside it."""

    notch_um: float = 2.2


@dataclass(frozen=True)
class Crack(Along):
    """A fine jagged crack, bright where it opens to the light."""


@dataclass(frozen=True)
class Lint(Along):
    """A fibre that lies on the skin."""

    width_um: float = 13.0


@dataclass(frozen=True)
class Burn(Patch):
    """A scorched patch with a pitted, ragged border."""


@dataclass(frozen=True)
class Drag(Patch):
    """Parallel scrapes along the draw direction."""

    turned_deg: float = 90.0


@dataclass(frozen=True)
class Whitening(Patch):
    """A milky patch where the plastic was strained."""

    strength: float = 1.0


@dataclass(frozen=True)
class FibreShow(Patch):
    """Glass fibres that lie bare in the skin."""


@dataclass(frozen=True)
class Jet(Patch):
    """A rope of melt that shot into the open cavity and was covered: folds beside each other."""


@dataclass(frozen=True)
class Dimple(At):
    """A soft hollow: half its depth on an ellipse."""

    long_um: float
    wide_um: float
    depth_um: float
    turned_deg: float = 0.0


@dataclass(frozen=True)
class FlowLines(At):
    """Wavy bands around the gate, within a sector."""

    near_um: float
    far_um: float
    start_deg: float
    end_deg: float
    pitch_um: float = 74.0


@dataclass(frozen=True)
class Nick(At):
    """A bite out of the edge, its lip raised."""

    radius_um: float


@dataclass(frozen=True)
class Fin:
    """Flash beyond an edge: along an arc around the middle, or along a straight edge.

    `edge` gives the sound edge as points in order; the fin stands on the left of somebody who walks along it (y down).
    """

    edge: Line
    reach_um: float
    behind_um: float = 30.0


@dataclass(frozen=True)
class Stub:
    """A gate's stub in profile, on a straight edge given from foot to foot."""

    edge: Line
    height_um: float


@dataclass(frozen=True)
class Offset:
    """Both mould halves don't line up: what lies below `from_y` is shifted sideways."""

    from_y: float
    to_y: float
    shift_um: float


Mark = (
    Grain
    | Scratch
    | Weld
    | Crack
    | Lint
    | FlowLines
    | Bubble
    | Burn
    | Drag
    | Pin
    | Whitening
    | FibreShow
    | Dimple
    | Jet
    | Scar
    | Nick
    | Fin
    | Stub
    | Offset
)


def arc(radius: float, start_deg: float, end_deg: float, count: int = 61) -> Line:
    """Points of an arc around the middle; from a larger angle to a smaller one its outside lies on the right."""
    angles = np.radians(np.linspace(start_deg, end_deg, count))
    return tuple((float(radius * np.cos(a)), float(radius * np.sin(a))) for a in angles)


def ellipse(x: float, y: float, size: tuple[float, float], turned_deg: float, count: int = 72) -> F64:
    """Corners of an ellipse of that length and width."""
    t = np.linspace(0.0, 2 * np.pi, count, endpoint=False)
    along, across = size[0] / 2 * np.cos(t), size[1] / 2 * np.sin(t)
    a = np.radians(turned_deg)
    return np.stack([x + along * np.cos(a) - across * np.sin(a), y + along * np.sin(a) + across * np.cos(a)], axis=1)


def patch(mark: Burn | FibreShow | Scar, rng: np.random.Generator) -> F64:
    """Corners of an irregular patch."""
    if isinstance(mark, Scar):
        size, turned, rough = (mark.diameter_um, mark.diameter_um), 0.0, 0.035
    else:
        size, turned, rough = (mark.long_um, mark.wide_um), mark.turned_deg, 0.10
    corners = ellipse(mark.x, mark.y, size, turned, 180)
    t = np.linspace(0.0, 2 * np.pi, 180, endpoint=False)
    grown = np.ones_like(t)
    for k in (2, 3, 5, 7, 11, 16):
        grown += rough * float(rng.normal(0.0, 1.0)) / np.sqrt(k) * np.cos(k * t + float(rng.uniform(0, 2 * np.pi)))
    middle = np.array([mark.x, mark.y])
    return np.asarray(middle + (corners - middle) * np.clip(grown, 0.6, 1.5)[:, None])


def jagged(points: Line, rng: np.random.Generator, spread_um: float) -> F64:
    """A line walked with small corners; its ends stay."""
    line = walked(points, 9.0)
    off = np.cumsum(rng.normal(0.0, 1.0, len(line)))
    off -= np.linspace(off[0], off[-1], len(off))
    off *= spread_um / max(float(np.abs(off).max()), 1e-6)
    along = np.gradient(line, axis=0)
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.hypot(along[:, 0], along[:, 1])[:, None]
    return np.asarray(line + normal * off[:, None])


def walked(points: Line, pitch_um: float) -> F64:
    """Points along a line, evenly."""
    corners = np.asarray(points, np.float64)
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    at = np.linspace(0.0, way[-1], max(int(way[-1] / pitch_um), 2) + 1)
    return np.stack([np.interp(at, way, corners[:, 0]), np.interp(at, way, corners[:, 1])], axis=1)


def standing(edge: Line, heights: F64, behind_um: float) -> tuple[F64, F64]:
    """What stands on an edge: its outline with its root behind the edge, and its crest alone."""
    line = walked(edge, 2.0)
    along = np.gradient(line, axis=0)
    left = np.stack([along[:, 1], -along[:, 0]], axis=1) / np.hypot(along[:, 0], along[:, 1])[:, None]
    at = np.interp(np.linspace(0.0, 1.0, len(line)), np.linspace(0.0, 1.0, len(heights)), heights)
    crest = line + left * at[:, None]
    root = line - left * behind_um
    return np.concatenate([crest, root[::-1]]), crest


def fin_heights(fin: Fin, rng: np.random.Generator) -> F64:
    """How far a ragged fin reaches along its edge."""
    corners = np.asarray(fin.edge)
    length = float(np.hypot(*np.diff(corners, axis=0).T).sum())
    s = np.linspace(0.0, length, 401)
    humps = 0.9 + _ragged(rng, s, ((130.0, 0.20), (48.0, 0.09), (20.0, 0.04)))
    t = np.clip(np.minimum(s, length - s) / (0.42 * length / 2), 0.0, 1.0)
    reach = np.clip(humps, 0.15, None) * np.sqrt(t * (2.0 - t))
    return np.asarray(reach * (fin.reach_um / float(reach.max())))


def stub_heights(stub: Stub, rng: np.random.Generator) -> F64:
    """The torn crest of a gate's stub from foot to foot."""
    s = np.linspace(-1.0, 1.0, 401)
    rise = np.clip((1.0 - np.abs(s)) / 0.16, 0.0, 1.0)
    torn = 0.9 + 0.5 * _ragged(rng, np.linspace(0, 200, 401), ((70.0, 0.14), (26.0, 0.08), (10.0, 0.04)))
    crest = np.clip(torn + 0.12 * rng.normal() * s, 0.3, None) * rise**0.7
    return np.asarray(crest * (stub.height_um / float(crest.max())))


def jet_path(mark: Jet, rng: np.random.Generator) -> F64:
    """The middle of the rope, from where it shot in to its last fold."""
    t = np.linspace(0.0, 1.0, 240)
    bend = np.sin(2 * np.pi * (2.1 * t + 2.3 * t * t) + float(rng.uniform(0, 6.28)))
    along = (t - 0.5) * mark.long_um + 0.05 * mark.long_um * np.sin(2 * np.pi * 5 * t)
    across = bend * mark.wide_um / 2 * np.clip(0.15 + 1.3 * t, 0.0, 1.0) * (1.0 + 0.12 * np.sin(9.0 * t))
    a = np.radians(mark.turned_deg)
    return np.stack(
        [mark.x + along * np.cos(a) - across * np.sin(a), mark.y + along * np.sin(a) + across * np.cos(a)], axis=1
    )
