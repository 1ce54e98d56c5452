"""A small catalogue on disk: the starter with a calibrated setting, two pictures, three findings."""

import hashlib
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from PIL import Image

from portal.tasks.new import new

TRIAL = "moulds/M-001/trials/T1"


def small_catalogue(folder: Path) -> Path:
    """Write it and give its folder."""
    for path, content in _files().items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    return folder


@cache
def _files() -> dict[str, bytes]:
    """What it is made of, made once: the schemas of the starter take longer than all that most tests do with it."""
    with TemporaryDirectory(prefix="portal-tests-") as top:
        folder = _made(Path(top) / "c")
        paths = [path for path in folder.rglob("*") if path.is_file()]
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def _made(folder: Path) -> Path:
    """Write it piece by piece."""
    new(folder)
    scope = folder / "scopes/bench-1.yaml"
    text = scope.read_text(encoding="utf-8")
    for old, fresh in (
        ("4000x3000", "320x240"),
        ("date: 2000-01-01", "date: 2026-01-05"),
        ("valid_until: 2000-01-01", "valid_until: 2027-01-04"),
    ):
        text = text.replace(old, fresh)
    scope.write_text(text, encoding="utf-8")
    add_picture(folder, "c1_top.jpg", view="top", findings=SPECK, seed=1)
    add_picture(folder, "c1_gate.jpg", view="gate-profile", findings=VESTIGE, seed=2)
    return folder


def add_picture(folder: Path, name: str, *, view: str, findings: str, seed: int) -> Path:
    """A picture of noise with its tag; the tag's path."""
    image = folder / TRIAL / "images" / name
    image.parent.mkdir(parents=True, exist_ok=True)
    pixels = np.random.default_rng(seed).integers(90, 160, (240, 320, 3), dtype=np.uint8)
    Image.fromarray(pixels).save(image, quality=80)
    tag = folder / TRIAL / "tags" / f"{name}.yaml"
    tag.parent.mkdir(parents=True, exist_ok=True)
    tag.write_text(
        f"""format: 1
picture: {{sha256: {hashlib.sha256(image.read_bytes()).hexdigest()}, stored: 320x240}}
taken: 2026-02-12T10:15
cavity: "1"
shot: 11
piece: T1-1-11-1
view: {view}
scope: bench-1
setting: zoom-2-adapter-0.5
findings:
{findings}""",
        encoding="utf-8",
    )
    return tag


SPECK = """  - id: 7K3F
    defect: black-speck
    zone: B
    seen: yes
    shapes:
      - {characteristic: diameter, shape: outline, points: "100,100 120,100 125,110 120,120 100,120 95,110",
         edge: sharp, drawn: by hand}
    by: first-inspector
    at: 2026-02-12T10:20
"""
VESTIGE = """  - id: 7K3G
    defect: gate-vestige
    zone: B
    seen: yes
    shapes:
      - {characteristic: height, shape: base-and-point, base: "40,200 90,200 230,200 280,200", point: "160,90",
         edge: torn, drawn: by hand}
    by: first-inspector
    at: 2026-02-12T10:22
  - id: 7K3H
    defect: gate-vestige
    zone: A
    seen: yes
    by: first-inspector
    at: 2026-02-12T10:23
"""
