"""Write the sample's tags, looked-at files, limit samples and zone outlines from the truth, as an inspector would.

Points are the true ones, thinned and moved by what a hand with a mouse misses (half a pixel, fixed random start), so
that the sample is measured as honestly as real pictures are. Run it again whenever the pictures changed: a tag names
its picture by hash.
"""

import hashlib
import json
import re
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from .arrays import F64
from .cases import CASES, LOOKED, Case
from .defects import BORE_UM, RIM_UM, SEAT_UM, TAB_END_UM, TAB_HALF_UM
from .files import put
from .frame import turn_back
from .scenes import Scene, _frame, _turned
from .shots import SHOTS

HERE = Path(__file__).resolve().parent
MISSES_PX = 0.5
SETTINGS = {"zoom-1": "zoom-1-adapter-0.5", "zoom-4": "zoom-4-adapter-0.5", "zoom-8": "zoom-8-adapter-0.5"}
CATALOGUE = HERE.parent


@dataclass(frozen=True)
class Shot:
    """What a trial picture's name says."""

    mould: str
    trial: str
    cavity: str
    shot: int
    view: str

    @classmethod
    def of(cls, path: str) -> "Shot":
        """Read `.../M-118_T2_c3_s14_low-angle.jpg`."""
        match = re.search(r"/([^/_]+)_(T\d)_c(\d)_s(\d\d)_([a-z-]+)\.jpg$", path)
        if match is None:
            raise ValueError(f"{path} is not named as a trial's picture")
        mould, trial, cavity, shot, view = match.groups()
        return cls(mould, trial, cavity, int(shot), view)


def write_all(catalogue: Path = CATALOGUE, truth: Path = HERE / "truth") -> int:
    """Write every file that follows from the pictures; returns how many."""
    trials = [scene for scene in SHOTS if scene.path.startswith("moulds/")]
    for scene in trials:
        data = json.loads((truth / scene.path).with_suffix(".json").read_text(encoding="utf-8"))
        name = scene.path.rpartition("/")[2]
        put(
            catalogue / scene.path.replace("/images/", "/tags/").replace(name, f"{name}.yaml"),
            _tag(scene, data, catalogue),
        )
    for at, text in LOOKED:
        put(catalogue / at, text.encode())
    samples = [scene for scene in SHOTS if scene.path.startswith("limit-samples/")]
    for scene in samples:
        file = catalogue / Path(scene.path).parent / "sample.yaml"
        put(file, _pinned(file.read_text(encoding="utf-8"), catalogue / scene.path, scene).encode())
    part = catalogue / "parts/LC-0440/part.yaml"
    put(part, _outlined(part.read_text(encoding="utf-8")).encode())
    return len(trials) + len(LOOKED) + len(samples) + 1


def _tag(scene: Scene, truth: dict[str, Any], catalogue: Path) -> bytes:
    shot, name = Shot.of(scene.path), scene.path.rpartition("/")[2]
    day, clock = scene.taken.split(" ")
    lines = [
        "format: 1",
        f"picture: {{sha256: {_hash(catalogue / scene.path)}, stored: {truth['frame'][0]}x{truth['frame'][1]}}}",
        f"taken: {day.replace(':', '-')}T{clock}",
        f'cavity: "{shot.cavity}"',
        f"shot: {shot.shot}",
        f"piece: {shot.trial}-{shot.cavity}-{shot.shot}-1",
        *([] if shot.view == "overview" else [f"view: {shot.view}"]),
        "scope: stereo-1",
        f"setting: {SETTINGS[truth['setting']]}",
        "made: single",
        *([] if tuple(truth["frame"]) != scene.size else _known(scene, shot.view, name)),
    ]
    cases = CASES.get(name, ())
    lines += [f"caption: {case.caption}" for case in cases if case.caption]
    if cases:
        lines.append("findings:")
    for case in cases:
        lines += _finding(case, scene, truth, f"{day.replace(':', '-')}T{clock[:5]}", zlib.crc32(case.id.encode()))
    return ("\n".join(lines) + "\n").encode()


def _known(scene: Scene, view: str, name: str) -> list[str]:
    """The bore, drawn from edge to edge where the view shows it: it has to measure as the drawing says."""
    if view not in ("top-face", "low-angle"):
        return []
    ends = turn_back(np.array([[-BORE_UM, 0.0], [BORE_UM, 0.0]]), _turned(scene), (0.0, 0.0))
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    return [f'known: {{feature: bore, points: "{_text(_missed(np.asarray(_frame(scene).to_pixels(ends)), rng))}"}}']


def _finding(case: Case, scene: Scene, truth: dict[str, Any], at: str, start: int) -> list[str]:
    lines = [
        f"  - id: {case.id}",
        f"    defect: {case.defect}",
        f"    zone: {case.zone}",
        f"    seen: {case.seen}",
    ]
    lines += [f"    {key}: {value}" for key, value in case.more.items()]
    if case.shapes:
        lines.append("    shapes:")
    for number, (characteristic, kind, edge) in enumerate(case.shapes):
        defect = _gate_from_above(scene) if case.from_above else truth["defects"][case.index]
        rng = np.random.default_rng([start, number])
        lines += [f"      - characteristic: {characteristic}", f"        shape: {kind}"]
        lines += [f'        {key}: "{text}"' for key, text in _points(kind, characteristic, defect, rng)]
        lines += [f"        edge: {edge}", "        drawn: by hand"]
    hour, minute = int(at[11:13]) + 2, at[14:16]
    return [*lines, f"    by: {case.by}", f"    at: {at[:11]}{hour:02d}:{minute}"]


def _points(kind: str, characteristic: str, defect: dict[str, Any], rng: np.random.Generator) -> list[tuple[str, str]]:
    if kind == "outline":
        return [("points", _text(_missed(_thin(np.asarray(defect["outline"]), 26), rng)))]
    tip = np.asarray(next(defect[key] for key in ("peak", "deepest", "farthest") if key in defect))
    base = _thin(np.asarray(defect["base"]), 8)
    wanted = {"projection": True, "missing-length": False}.get(characteristic)
    if wanted is not None and _is_left(base, tip) != wanted:
        base = base[::-1]
    return [("base", _text(_missed(base, rng))), ("point", _text(_missed(tip.reshape(1, 2), rng)))]


def _is_left(base: F64, tip: F64) -> bool:
    """Whether the tip lies on the left of somebody who walks along the base (y down), judged at the base's middle."""
    before, after = base[len(base) // 2 - 1], base[len(base) // 2]
    along, away = after - before, tip - before
    return bool(along[0] * away[1] - along[1] * away[0] < 0)


def _gate_from_above(scene: Scene) -> dict[str, Any]:
    """The gate as it shows from above: a stub beyond the rim at 6 o'clock, no height to be had."""
    sides = [_circle(RIM_UM, start=start, end=start + 9.0)[::16] for start in (97.0, 73.0)]
    points = {
        "base": np.concatenate([side[::-1] for side in sides]),
        "peak": np.array([[0.0, RIM_UM + 82.0]]),
    }
    return {key: _frame(scene).to_pixels(turn_back(each, _turned(scene), (0.0, 0.0))) for key, each in points.items()}


def _thin(points: F64, count: int) -> F64:
    if len(points) <= count:
        return points
    return np.asarray(points[np.linspace(0, len(points), count, endpoint=False).astype(int)])


def _missed(points: F64, rng: np.random.Generator) -> F64:
    return np.asarray(points + rng.normal(0.0, MISSES_PX, points.shape))


def _text(points: F64) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _pinned(text: str, picture: Path, scene: Scene) -> str:
    """The sample's record with its picture's hash."""
    return re.sub(r"sha256: [0-9a-f]{64}", f"sha256: {_hash(picture)}", text)


def _outlined(text: str) -> str:
    """The part's record with its zones outlined on the reference pictures; each line `{as: …}` is written anew."""
    outlines = _outlines()
    view, lines = "", []
    for line in text.splitlines():
        named = re.match(r"  ([a-z-]+):$", line)
        view = named.group(1) if named else view
        sees = re.match(r"(      ([ABC]): \{as: \w+)[^}]*\}$", line)
        if sees and (view, sees.group(2)) in outlines:
            line = f'{sees.group(1)}, outline: "{outlines[view, sees.group(2)]}"}}'
        lines.append(line)
    return "\n".join(lines) + "\n"


def _outlines() -> dict[tuple[str, str], str]:
    scenes = {scene.view: scene for scene in SHOTS if scene.path.startswith("parts/")}
    found = {}
    for view in ("top-face", "low-angle"):
        found[view, "B"] = _on(scenes[view], _ring(_face_edge(), _circle(SEAT_UM)))
    found["top-face", "A"] = _on(scenes["top-face"], _ring(_circle(SEAT_UM), _circle(BORE_UM)))
    found["top-face", "C"] = _on(scenes["top-face"], _ring(_circle(RIM_UM + 25), _circle(RIM_UM)))
    wall = np.array([[-540.0, 30.0], [-540.0, -20.0], [-130.0, -20.0], [-120.0, -330.0],
                     [120.0, -330.0], [130.0, -20.0], [540.0, -20.0], [540.0, 30.0]])  # fmt: skip
    found["gate-profile", "C"] = _on(scenes["gate-profile"], wall)
    return found


def _on(scene: Scene, points: F64) -> str:
    pixels = np.asarray(_frame(scene).to_pixels(turn_back(points, _turned(scene), (0.0, 0.0))))
    width, height = scene.size
    return _text(np.clip(pixels, 0, [width, height]))


def _ring(outer: F64, inner: F64) -> F64:
    """What lies between two rims as one outline: out along the first, over to the second, and back the same way."""
    return np.concatenate([outer, outer[:1], inner[::-1]])


def _circle(radius: float, *, start: float = 0.0, end: float = 360.0) -> F64:
    angle = np.radians(np.linspace(start, end, 49))
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def _face_edge() -> F64:
    """The ring's rim with the tab at the right."""
    half = float(np.degrees(np.arcsin(TAB_HALF_UM / RIM_UM)))
    tab = np.array([[TAB_END_UM, -TAB_HALF_UM], [TAB_END_UM, TAB_HALF_UM]])
    return np.concatenate([_circle(RIM_UM, start=half, end=360.0 - half), tab])


if __name__ == "__main__":
    print(f"{write_all()} files written")
