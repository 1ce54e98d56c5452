"""From a description of a shot to its picture and its truth."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from . import lens
from .arrays import F32
from .defects import Defect
from .face import FacePiece, Seeds, render_face
from .frame import Frame
from .overview import overview_frame, render_overview
from .profile import ProfilePiece, render_profile
from .truth import Record, face_truth, profile_truth

SCALES = {"zoom-1": (5.5, 5.495), "zoom-4": (1.72, 1.718), "zoom-8": (0.86, 0.859)}
SETTINGS = {"top-face": "zoom-4", "low-angle": "zoom-4", "gate-profile": "zoom-8", "overview": "zoom-1"}
Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Scene:
    """One picture to be made: where it goes, what it shows, when it was taken."""

    path: str
    view: str
    seed: int
    cavity: int
    taken: str
    defects: tuple[Defect, ...] = ()
    orientation: int = 1
    resized: tuple[int, int] | None = None
    size: tuple[int, int] = (2048, 1536)
    gate_um: float = field(default=130.0)


@dataclass(frozen=True)
class Made:
    """A finished picture as stored: grey levels before rounding, free of noise, and its truth."""

    grey: F32
    quiet: F32 | None
    truth: Record


def light_name(view: str) -> str:
    """Return the light a view is taken in."""
    return "low-angle" if view == "low-angle" else "ring"


def make_scene(scene: Scene, *, quiet: bool = False, cut: tuple[slice, slice] | None = None) -> Made:
    """Render a scene; `quiet` adds the picture without noise, `cut` renders only a part (for a look)."""
    frame = _frame(scene) if cut is None else _frame(scene).cut(*cut)
    light, seeds, camera = _light(scene, frame), Seeds(scene.seed), _camera(scene)
    grey = _finish(lens.expose(light, frame, camera, seeds.sensor()), scene)
    calm = _finish(lens.expose(light, frame, camera, None), scene) if quiet else None
    return Made(grey, calm, scene_truth(scene))


def _camera(scene: Scene) -> lens.Camera:
    return lens.Camera(sharp_um=1.5) if scene.view == "gate-profile" else lens.Camera()


def _frame(scene: Scene) -> Frame:
    sx, sy = SCALES[SETTINGS[scene.view]]
    width, height = scene.size
    if scene.orientation == 6:
        width, height, sx, sy = height, width, sy, sx
    jitter = np.random.default_rng([scene.seed, 0]).uniform(-1.0, 1.0, 2)
    if scene.view == "gate-profile":
        return Frame(width, height, sx, sy, 40.0 * float(jitter[0]), 150.0 + 30.0 * float(jitter[1]))
    if scene.orientation == 6:
        return Frame(width, height, sx, sy, 30.0 * float(jitter[0]), -150.0 + 60.0 * float(jitter[1]))
    return Frame(width, height, sx, sy, 150.0 + 60.0 * float(jitter[0]), 40.0 * float(jitter[1]))


def _turned(scene: Scene) -> float:
    angle = float(np.random.default_rng([scene.seed, 0, 1]).uniform(-1.6, 1.6))
    return float(np.radians(angle - 90.0 if scene.orientation == 6 else angle))


def scene_truth(scene: Scene) -> Record:
    """Return what is true in a scene, from its geometry alone: nothing is rendered."""
    frame, seeds, piece = _frame(scene), Seeds(scene.seed), _piece(scene)
    if isinstance(piece, ProfilePiece):
        found = profile_truth(frame, piece, seeds)
    elif scene.view == "overview":
        found = face_truth(overview_frame(frame), piece, seeds)
    else:
        found = face_truth(frame, piece, seeds)
    return _record(scene, found)


def _piece(scene: Scene) -> ProfilePiece | FacePiece:
    if scene.view == "gate-profile":
        return ProfilePiece(_turned(scene), 0.0, scene.defects)
    turned = float(np.radians(24.0)) if scene.view == "overview" else _turned(scene)
    return FacePiece(scene.cavity, turned, scene.defects, scene.gate_um)


def _light(scene: Scene, frame: Frame) -> F32:
    seeds, camera, piece = Seeds(scene.seed), _camera(scene), _piece(scene)
    if isinstance(piece, ProfilePiece):
        return render_profile(frame, piece, seeds=seeds, camera=camera)
    if scene.view == "overview":
        return render_overview(frame, piece, seeds=seeds)
    return render_face(frame, piece, low=scene.view == "low-angle", seeds=seeds, camera=camera)


def _finish(picture: F32, scene: Scene) -> F32:
    picture = lens.sharpen(picture, 0.35, 1.3)
    if scene.orientation == 6:
        picture = np.ascontiguousarray(np.rot90(picture, 1))
    if scene.resized is not None:
        picture = lens.resize(picture, scene.resized)
    return np.clip(picture, 0.0, 255.0)


def _record(scene: Scene, defects: list[Record]) -> Record:
    sx, sy = SCALES[SETTINGS[scene.view]]
    stored = scene.resized or scene.size
    scale = {"x": round(sx * scene.size[0] / stored[0], 6), "y": round(sy * scene.size[1] / stored[1], 6)}
    factor = (stored[0] / scene.size[0], stored[1] / scene.size[1])
    return {
        "picture": scene.path,
        "frame": list(stored),
        "orientation": scene.orientation,
        "scale_um": scale,
        "scale_note": "true micrometres per pixel of the stored frame, before orientation",
        "coordinates": "upright picture, x right, y down, the first pixel's corner is (0, 0)",
        "view": scene.view,
        "light": light_name(scene.view),
        "setting": SETTINGS[scene.view],
        "cavity": scene.cavity,
        "seed": scene.seed,
        "taken": scene.taken,
        "defects": [_scaled(d, factor) for d in defects],
    }


def _scaled(defect: Record, factor: tuple[float, float]) -> Record:
    """Move a defect's points into a resized picture."""
    if factor == (1.0, 1.0):
        return defect
    moved = dict(defect)
    for key, value in defect.items():
        if isinstance(value, list):
            points = np.asarray(value, dtype=np.float64) * np.asarray(factor)
            moved[key] = np.round(points, 3).tolist()
    return moved
