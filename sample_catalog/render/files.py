"""Writing pictures as a camera would, with their truth beside the renderer."""

import io
import json
from pathlib import Path

from PIL import Image

from . import exif, lens
from .scenes import Pixels, Scene, make_scene
from .truth import Record

LARGEST = 238_000


def write_scene(scene: Scene, out: Path, truth: Path) -> str:
    """Make a scene's picture and truth; returns a line about them."""
    made = make_scene(scene)
    number = scene.seed * 7 + 310
    shot = exif.Shot(
        scene.taken, scene.size, scene.orientation, number, 38 if scene.view == "low-angle" else 14
    )
    pixels = lens.to_bytes(made.grey)
    data, quality = encode(pixels, shot)
    put(out / scene.path, data)
    write_truth(made.truth, truth_path(truth, scene))
    return f"{scene.path}: {len(data) / 1000:.0f} kB, quality {quality}"


def encode(pixels: Pixels, shot: exif.Shot, *, start: int = 90, largest: int = LARGEST) -> tuple[bytes, int]:
    """Return the JPEG at the best quality that stays below the largest size, and that quality."""
    segment = exif.camera_exif(shot, exif.small_jpeg(pixels))
    image = Image.fromarray(pixels)
    quality = start
    while True:
        out = io.BytesIO()
        image.save(out, "JPEG", quality=quality, subsampling="4:2:0", exif=segment, optimize=True)
        if out.tell() <= largest or quality <= 50:
            return out.getvalue(), quality
        quality -= 3


def truth_path(folder: Path, scene: Scene) -> Path:
    """Return where a scene's truth lies."""
    return folder / Path(scene.path).with_suffix(".json")


def write_truth(truth: Record, path: Path) -> str:
    """Write a picture's truth; returns a line about it."""
    put(path, (json.dumps(truth, indent=1) + "\n").encode())
    return f"{truth['picture']}: {len(truth['defects'])} defects"


def put(path: Path, data: bytes) -> None:
    """Write a file, its folder made first."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)


def encode_fast(pixels: Pixels, shot: exif.Shot) -> bytes:
    """Return a JPEG in one go, whatever its size."""
    small = exif.small_jpeg(pixels[::8, ::8])
    out = io.BytesIO()
    Image.fromarray(pixels).save(
        out, "JPEG", quality=85, subsampling="4:2:0", exif=exif.camera_exif(shot, small)
    )
    return out.getvalue()
