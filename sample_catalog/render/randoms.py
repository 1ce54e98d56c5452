"""Small pictures with random true sizes, for tests that measure many of them."""

from typing import Any

import numpy as np

from . import lens
from .defects import BORE_UM, RIM_UM, Flash, Speck, Vestige
from .face import FacePiece, Seeds, render_face
from .frame import Frame
from .profile import ProfilePiece, render_profile
from .scenes import SCALES, Made, Pixels
from .truth import Record, face_truth, profile_truth

KINDS = ("gate-profile", "speck", "flash")


def scene_random(kind: str, seed: int, size: tuple[int, int]) -> tuple[Pixels, Record]:
    """Return a picture (rows, columns, 3) of a random defect and its truth."""
    made = made_random(kind, seed, size)
    return lens.to_bytes(made.grey), made.truth


def made_random(kind: str, seed: int, size: tuple[int, int], *, quiet: bool = False) -> Made:
    """Return the same as floats before rounding, with the noise-free picture when asked."""
    if kind not in KINDS:
        raise ValueError(f"`{kind}` is not a kind of random picture ({', '.join(KINDS)})")
    rng = np.random.default_rng([seed, 5])
    camera = lens.Camera(sharp_um=1.5) if kind == "gate-profile" else lens.Camera()
    seeds = Seeds(seed)
    frame, piece = _profile(rng, size) if kind == "gate-profile" else _face(kind, rng, size)
    if isinstance(piece, ProfilePiece):
        light, found = (
            render_profile(frame, piece, seeds=seeds, camera=camera),
            profile_truth(frame, piece, seeds),
        )
    else:
        light = render_face(frame, piece, low=False, seeds=seeds, camera=camera)
        found = face_truth(frame, piece, seeds)
    grey = _finish(lens.expose(light, frame, camera, seeds.sensor()))
    calm = _finish(lens.expose(light, frame, camera, None)) if quiet else None
    return Made(grey, calm, _record(kind, seed, frame, found))


def _finish(picture: Any) -> Any:
    return np.clip(lens.sharpen(picture, 0.35, 1.3), 0.0, 255.0)


def _profile(rng: np.random.Generator, size: tuple[int, int]) -> tuple[Frame, ProfilePiece]:
    sx, sy = SCALES["zoom-8"]
    wide, tall = size[0] * sx, size[1] * sy
    base = min(236.0, 0.33 * wide) * rng.uniform(0.9, 1.05)
    height = rng.uniform(0.12, 0.56) * tall
    vestige = Vestige(
        float(height), float(base), float(base * rng.uniform(0.72, 0.86)), float(rng.uniform(-0.12, 0.12))
    )
    frame = Frame(
        size[0], size[1], sx, sy, float(rng.uniform(-6, 6)), float(-0.24 * tall + rng.uniform(-6, 6))
    )
    return frame, ProfilePiece(float(np.radians(rng.uniform(-2.0, 2.0))), 0.0, (vestige,))


def _face(kind: str, rng: np.random.Generator, size: tuple[int, int]) -> tuple[Frame, FacePiece]:
    sx, sy = SCALES["zoom-4"]
    cavity = int(rng.integers(1, 5))
    if kind == "speck":
        speck = Speck(
            float(20.0 * 8.0 ** rng.uniform()), float(rng.uniform(1000, 1080)), float(rng.uniform(-70, 250))
        )
        return _at(size, sx, sy, speck.radius_um, speck.angle_deg), FacePiece(cavity, 0.0, (speck,))
    where = "bore" if rng.uniform() < 0.5 else "rim"
    angle = float(
        rng.uniform(250, 290) if where == "rim" else rng.choice((90.0, 270.0)) + rng.uniform(-20, 20)
    )
    flash = Flash(where, float(rng.uniform(25, 140)), float(rng.uniform(220, 420)), angle)
    edge = BORE_UM if where == "bore" else RIM_UM
    return _at(size, sx, sy, edge, angle), FacePiece(cavity, 0.0, (flash,))


def _at(size: tuple[int, int], sx: float, sy: float, radius: float, angle_deg: float) -> Frame:
    a = np.radians(angle_deg)
    return Frame(size[0], size[1], sx, sy, float(radius * np.cos(a)), float(radius * np.sin(a)))


def _record(kind: str, seed: int, frame: Frame, found: list[Record]) -> Record:
    return {
        "picture": f"{kind}-{seed:06d}.jpg",
        "frame": [frame.width, frame.height],
        "orientation": 1,
        "scale_um": {"x": frame.sx, "y": frame.sy},
        "coordinates": "upright picture, x right, y down, the first pixel's corner is (0, 0)",
        "view": "gate-profile" if kind == "gate-profile" else "top-face",
        "light": "ring",
        "seed": seed,
        "defects": found,
    }
