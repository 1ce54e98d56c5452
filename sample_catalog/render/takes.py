"""One picture of any of the other parts as it is asked for: rendered, and told truly."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from . import burned, exif, lens
from .arrays import F32, F64, f32
from .bodies import CAMERA, Posed, render_posed, standing_outline
from .defects import callipers, polygon_area
from .dust import curve
from .face import Seeds
from .files import encode, put
from .frame import Frame, turn_back
from .marks import (
    Bubble,
    Burn,
    Crack,
    Dimple,
    Drag,
    FibreShow,
    Fin,
    FlowLines,
    Grain,
    Jet,
    Lint,
    Mark,
    Nick,
    Offset,
    Pin,
    Scar,
    Scratch,
    Stub,
    Weld,
    Whitening,
    ellipse,
    jagged,
    jet_path,
    patch,
    walked,
)
from .skin import grain_outline
from .solids import side_radius
from .truth import Record, um

SCALES = {
    "zoom-2": (2.204, 2.200),
    "zoom-5": (0.8840, 0.8825),
    "zoom-5-moved": (0.8951, 0.8936),
    "zoom-1-binned": (8.816, 8.800),
    "zoom-2-binned": (4.408, 4.400),
    "zoom-5-binned": (1.7680, 1.7650),
}
LARGEST = 128_000


@dataclass(frozen=True)
class Take:
    """A picture: where it goes, which part in which view, cavity, start, time, and the piece's faults."""

    path: str
    kind: str
    view: str
    seed: int
    cavity: int
    taken: str
    marks: tuple[Mark, ...] = ()
    setting: str = "zoom-2"
    middle: tuple[float, float] = (0.0, 0.0)
    low: bool = False
    resized: tuple[int, int] | None = None
    size: tuple[int, int] = (1600, 1200)
    bar_um: int = 0
    """How long a bar the camera program burned into it; none where it is 0."""

    @property
    def turned(self) -> float:
        """How the piece lies, in radians; what is set upright for a profile leans less."""
        spread = 0.25 if self.kind.endswith("side") else 1.4
        return float(np.radians(np.random.default_rng([self.seed, 0, 1]).uniform(-spread, spread)))

    @property
    def frame(self) -> Frame:
        """The window onto the piece."""
        sx, sy = SCALES[self.setting]
        off = np.random.default_rng([self.seed, 0]).uniform(-18.0, 18.0, 2)
        return Frame(*self.size, sx, sy, self.middle[0] + float(off[0]), self.middle[1] + float(off[1]))


def write_take(take: Take, out: Path, truth: Path) -> str:
    """Make a picture and its truth; returns a line about them."""
    frame, seeds = take.frame, Seeds(take.seed)
    if take.kind == "graticule":
        light = graticule(frame, seeds)
    else:
        light = render_posed(frame, _posed(take), low=take.low, seeds=seeds)
    grey = lens.sharpen(lens.expose(light, frame, CAMERA, seeds.sensor()), 0.35, 1.3)
    if take.resized is not None:
        grey = lens.resize(grey, take.resized)
    pixels = lens.to_bytes(f32(np.clip(grey, 0.0, 255.0)))
    if take.bar_um:
        pixels = burned.burn_in(pixels, take.bar_um, take.bar_um / SCALES[take.setting][0])
    shot = exif.Shot(take.taken, take.size, 1, take.seed * 7 + 310, 22, "CX-3", "CX3-0020316", 3)
    data, quality = encode(pixels, shot, start=84, largest=LARGEST)
    put(out / take.path, data)
    return f"{write_take_truth(take, truth)}: {len(data) / 1000:.0f} kB, quality {quality}"


def write_take_truth(take: Take, folder: Path) -> str:
    """Write a picture's truth, one line for each fault; returns the picture's path."""
    told = take_truth(take)
    faults = ",\n".join("  " + json.dumps(each) for each in told.pop("defects"))
    head = json.dumps(told, indent=1)[:-2]
    text = f'{head},\n "defects": [\n{faults}\n ]\n}}\n' if faults else f'{head},\n "defects": []\n}}\n'
    put((folder / take.path).with_suffix(".json"), text.encode())
    return take.path


def take_truth(take: Take) -> Record:
    """What is true in a picture, from its geometry alone."""
    stored = take.resized or take.size
    factor = (stored[0] / take.size[0], stored[1] / take.size[1])
    sx, sy = SCALES[take.setting]
    seeds = Seeds(take.seed)
    faults = [_told(take, mark, seeds.shape(k)) for k, mark in enumerate(take.marks)]
    bar = [list(end) for end in burned.ends(stored, take.bar_um / sx)] if take.bar_um else []
    return {
        "picture": take.path,
        "frame": list(stored),
        "orientation": 1,
        "scale_um": {"x": round(sx / factor[0], 6), "y": round(sy / factor[1], 6)},
        "coordinates": "upright picture, x right, y down, the first pixel's corner is (0, 0)",
        "view": take.view,
        "light": "low-angle" if take.low else "ring",
        "setting": take.setting,
        "cavity": take.cavity,
        "seed": take.seed,
        "taken": take.taken,
        **({"burned_in_bar": {"length_um": take.bar_um, "ends": bar}} if bar else {}),
        "defects": faults,
    }


def on_picture(take: Take, points: F64) -> list[list[float]]:
    """Points of the piece in the picture's pixels."""
    stored = take.resized or take.size
    pixels = np.asarray(take.frame.to_pixels(turn_back(np.asarray(points, np.float64), take.turned, (0.0, 0.0))))
    return (pixels * (stored[0] / take.size[0], stored[1] / take.size[1])).round(3).tolist()  # type: ignore[no-any-return]


def graticule(frame: Frame, seeds: Seeds) -> F32:
    """A stage micrometer in bright field: 2 mm in 10 µm divisions, longer at 50 and 100."""
    glass = np.full((*frame.shape, 3), 0.0, np.float32) + f32((0.58, 0.60, 0.58))
    lines = np.zeros(frame.shape, np.float32)
    half = min(1000.0, 0.46 * frame.width * frame.sx)
    pitch = 10.0 if frame.pixel < 1.5 else 50.0
    for k in range(int(half / pitch) * 2 + 1):
        x = -int(half / pitch) * pitch + k * pitch
        tall = 150.0 if round(x) % 100 == 0 else 105.0 if round(x) % 50 == 0 else 70.0
        lines = np.maximum(lines, curve(frame, np.array([[x, 0.0], [x, -tall]]), 2.6))
    lines = np.maximum(lines, curve(frame, np.array([[-half, 0.0], [half, 0.0]]), 2.6))
    return f32(glass * (1.0 - 0.88 * np.clip(lines, 0.0, 1.0))[..., None])


def _posed(take: Take) -> Posed:
    return Posed(take.kind, take.cavity, take.turned, take.marks)


def _told(take: Take, mark: Mark, rng: np.random.Generator) -> Record:
    if isinstance(mark, Scratch | Weld | Crack | Lint):
        return _line(take, mark, rng)
    if isinstance(mark, Fin | Stub):
        return _standing(take, mark, rng)
    if isinstance(mark, Offset):
        return _offset(take, mark)
    if isinstance(mark, Nick):
        return _nick(take, mark)
    return _area(take, mark, rng)


def _line(take: Take, mark: Scratch | Weld | Crack | Lint, rng: np.random.Generator) -> Record:
    spread = {Scratch: 2.0, Weld: 7.0, Crack: 16.0, Lint: 5.0}[type(mark)]
    line = jagged(mark.points, rng, spread)
    wide = mark.width_um if isinstance(mark, Scratch | Lint) else 4.0
    middle = len(line) // 2
    way = np.diff(line[middle - 1 : middle + 2 : 2], axis=0)[0]
    side = np.array([-way[1], way[0]]) / np.hypot(*way) * wide / 2
    return {
        "kind": type(mark).__name__.lower(),
        "length_um": um(float(np.hypot(*np.diff(line, axis=0).T).sum())),
        "width_um": um(wide),
        "what_true_means": "the line's own length with its small corners; its width where it was drawn",
        "line": on_picture(take, line[np.linspace(0, len(line) - 1, min(len(line), 26)).astype(int)]),
        "across": on_picture(take, np.stack([line[middle] - side, line[middle] + side])),
    }


def _standing(take: Take, mark: Fin | Stub, rng: np.random.Generator) -> Record:
    _, crest = standing_outline(mark, rng)
    edge = walked(mark.edge, 2.0)
    away = np.hypot(*(crest - edge).T)
    far = int(np.argmax(away))
    beyond = _beyond(take, mark)
    return {
        "kind": "flash" if isinstance(mark, Fin) else "gate vestige",
        "projection_um" if isinstance(mark, Fin) else "height_um": um(away[far]),
        "length_um": um(float(np.hypot(*np.diff(edge, axis=0).T).sum())),
        "what_true_means": "greatest distance of the crest from the sound edge, at right angles to it",
        "base": on_picture(take, beyond),
        "farthest": on_picture(take, crest[far : far + 1])[0],
        "outline": on_picture(take, np.concatenate([crest[::6], edge[::-20]])),
    }


def _beyond(take: Take, mark: Fin | Stub) -> F64:
    """Points on the sound edge beside what stands on it, in the order of the edge."""
    edge = walked(mark.edge, 2.0)
    radii = np.hypot(*edge.T)
    if float(np.ptp(radii)) < 1.0 and not take.kind.endswith("side"):
        start, end = np.unwrap(np.arctan2(*edge[[0, -1]].T[::-1]))
        step = np.sign(end - start) * (0.03 if radii[0] > 600 else 0.08)
        room = 1 if radii[0] > 1190 and take.kind == "gear" else 5
        angles = [*(start - step * k for k in range(room, 0, -1)), *(end + step * k for k in range(1, room + 1))]
        if room == 1:
            angles = [*np.linspace(start, end, 6)]
        return np.asarray(radii[0] * np.stack([np.cos(angles), np.sin(angles)], axis=1))
    first, last = edge[0], edge[-1]
    way = (last - first) / np.hypot(*(last - first))
    near, far = (8.0, 34.0) if isinstance(mark, Stub) else (14.0, 90.0)
    before = [first - way * d for d in np.linspace(far, near, 4)]
    after = [last + way * d for d in np.linspace(near, far, 4)]
    return np.asarray(before + after)


def _offset(take: Take, mark: Offset) -> Record:
    """Seen at the right outline: the base on the half that stands still, the point on the one that moved."""
    sound = np.linspace(mark.from_y - 190.0, mark.from_y - 25.0, 6)
    moved = mark.from_y + 60.0
    base = np.stack([side_radius(sound), sound], axis=1)
    point = np.array([[float(side_radius(np.array([moved]))[0]) + mark.shift_um, moved]])
    return {
        "kind": "mismatch",
        "step_um": um(mark.shift_um),
        "what_true_means": "how far the lower half is shifted sideways at the outline",
        "base": on_picture(take, base),
        "farthest": on_picture(take, point)[0],
        "outline": on_picture(take, np.concatenate([base, point])),
    }


def _nick(take: Take, mark: Nick) -> Record:
    ring = ellipse(mark.x, mark.y, (2 * mark.radius_um, 2 * mark.radius_um), 0.0, 48)
    inside = ring[np.hypot(*ring.T) < 1198.0]
    inside = inside[np.argsort(inside[:, 1])]
    return {
        "kind": "nick",
        "length_um": um(float(np.hypot(*(inside[-1] - inside[0])))),
        "what_true_means": "straight distance of both ends of the bite on the sound edge",
        "line": on_picture(take, inside[[0, -1]]),
        "outline": on_picture(take, inside),
    }


def _area(take: Take, mark: Any, rng: np.random.Generator) -> Record:
    corners, kind, means = _corners(mark, rng)
    largest, smallest = callipers(corners)
    return {
        "kind": kind,
        "area_um2": um(polygon_area(corners)),
        "largest_calliper_um": um(largest),
        "smallest_calliper_um": um(smallest),
        **({"step_um": um(mark.step_um)} if isinstance(mark, Pin) else {}),
        **({"depth_um": um(mark.depth_um)} if isinstance(mark, Dimple) else {}),
        "what_true_means": means,
        "centre": on_picture(take, corners.mean(axis=0)[None, :])[0],
        "outline": on_picture(take, corners[:: max(1, len(corners) // (90 if isinstance(mark, Burn) else 36))]),
    }


def _corners(mark: Any, rng: np.random.Generator) -> tuple[F64, str, str]:
    own, soft = "its own outline before any blur", "half of its strength; it has no true outline"
    if isinstance(mark, Grain):
        return grain_outline(mark, rng), "particle", own
    if isinstance(mark, Burn | FibreShow | Scar):
        return patch(mark, rng), {Burn: "burn", FibreShow: "glass fibres", Scar: "gate scar"}[type(mark)], own
    if isinstance(mark, Bubble | Pin):
        size = (mark.diameter_um, mark.diameter_um)
        return ellipse(mark.x, mark.y, size, 0.0), type(mark).__name__.lower(), own
    if isinstance(mark, FlowLines):
        angles = np.radians(np.linspace(mark.start_deg, mark.end_deg, 30))
        ring = np.stack([np.cos(angles), np.sin(angles)], axis=1)
        middle = np.array([mark.x, mark.y])
        return np.concatenate([middle + mark.far_um * ring, middle + mark.near_um * ring[::-1]]), "flow lines", soft
    if isinstance(mark, Jet):
        rope = jet_path(mark, rng)
        x, y = (float(each) for each in rope.mean(axis=0))
        return ellipse(x, y, (mark.long_um * 1.1, mark.wide_um * 1.2), mark.turned_deg), "jetting", soft
    assert isinstance(mark, Dimple | Drag | Whitening)
    size = (mark.long_um, mark.wide_um)
    return ellipse(mark.x, mark.y, size, mark.turned_deg), type(mark).__name__.lower(), soft
