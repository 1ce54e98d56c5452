"""The renderer: the same start gives the same picture, and what it calls true is what the pixels show."""

import io
import json
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from render import bench_picture, exif, made_random, scene_random
from render.arrays import F32
from render.files import encode
from render.shots import SHOTS

SIZE = (512, 384)


def _brightness_across(
    grey: F32, point: tuple[float, float], way: tuple[float, float], reach: float
) -> NDArray[Any]:
    """Read grey levels along a line through a picture point, quarter pixel by quarter pixel."""
    steps = np.arange(-reach, reach + 0.1, 0.25)
    x = point[0] + steps * way[0] - 0.5
    y = point[1] + steps * way[1] - 0.5
    x0, y0 = np.floor(x).astype(int), np.floor(y).astype(int)
    tx, ty = x - x0, y - y0
    top = grey[y0, x0] * (1 - tx) + grey[y0, x0 + 1] * tx
    low = grey[y0 + 1, x0] * (1 - tx) + grey[y0 + 1, x0 + 1] * tx
    return np.asarray(top * (1 - ty) + low * ty)


def _half_crossing(line: NDArray[Any]) -> float:
    """Return where a dark-to-bright line passes half, in pixels from its middle."""
    half = (float(line[:16].mean()) + float(line[-16:].mean())) / 2
    first = int(np.argmax(line > half))
    part = (half - line[first - 1]) / (line[first] - line[first - 1])
    return float((first - 1 + part) * 0.25 - (line.size - 1) * 0.125)


def _measured_height(made: Any) -> float:
    """Measure a stub on the noise-free picture: half-height edge of wall and of peak."""
    truth = made.truth["defects"][0]
    sx, sy = made.truth["scale_um"]["x"], made.truth["scale_um"]["y"]
    grey = made.quiet.mean(axis=-1)
    base = []
    for x, y in truth["base"]:
        base.append((x, y + _half_crossing(_brightness_across(grey, (x, y), (0.0, 1.0), 14.0))))
    points = np.asarray(base) * (sx, sy)
    slope, level = np.polyfit(points[:, 0], points[:, 1], 1)
    x, y = truth["peak"]
    peak = y + _half_crossing(_brightness_across(grey, (x, y), (0.0, 1.0), 14.0))
    return float((slope * x * sx + level - peak * sy) / np.hypot(1.0, slope))


def test_the_same_seed_gives_the_same_picture_within_one_grey_level() -> None:
    """Two renders from one seed agree to a grey level; another seed gives another picture."""
    first, truth = scene_random("speck", 11, SIZE)
    again, truth_again = scene_random("speck", 11, SIZE)
    other, _ = scene_random("speck", 12, SIZE)
    assert int(np.abs(first.astype(int) - again.astype(int)).max()) <= 1
    assert truth == truth_again
    assert int(np.abs(first.astype(int) - other.astype(int)).max()) > 20


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_stub_measured_without_noise_has_its_true_height(seed: int) -> None:
    """The half-height silhouette lies within two pixels of the height called true."""
    made = made_random("gate-profile", seed, SIZE, quiet=True)
    true = made.truth["defects"][0]["height_um"]
    assert abs(_measured_height(made) - true) < 2 * 0.86


def test_a_speck_is_dark_inside_its_true_outline_only() -> None:
    """The pixels darker than half the contrast cover the true area within a tenth."""
    made = made_random("speck", 5, SIZE, quiet=True)
    truth = made.truth["defects"][0]
    assert made.quiet is not None
    grey = made.quiet.mean(axis=-1)
    x, y = truth["centre"]
    outline = np.asarray(truth["outline"])
    reach = int(np.abs(outline - (x, y)).max()) + 12
    part = grey[int(y) - reach : int(y) + reach, int(x) - reach : int(x) + reach]
    half = (float(np.percentile(part, 1)) + float(np.median(part[:4]))) / 2
    scale = made.truth["scale_um"]
    area = float((part < half).sum()) * scale["x"] * scale["y"]
    assert abs(area / truth["area_um2"] - 1) < 0.10


def test_exif_holds_position_owner_and_a_thumbnail(tmp_path: Path) -> None:
    """What a camera would write is read back by another program, the embedded picture included."""
    shot = exif.Shot("2026:02:12 14:02:11", (2048, 1536), 6, 3, 14)
    data, _ = encode(np.full((96, 128, 3), 90, np.uint8), shot)
    path = tmp_path / "a.jpg"
    path.write_bytes(data)
    read = json.loads(
        subprocess.run(["exiftool", "-j", "-n", str(path)], capture_output=True, check=True).stdout
    )[0]
    assert read["Orientation"] == 6
    assert read["DateTimeOriginal"] == "2026:02:12 14:02:11"
    assert -90 < read["GPSLatitude"] < -40
    assert read["OwnerName"] and read["Artist"] and read["SerialNumber"]
    # an invented camera's note can't be known to it; any other warning means a broken structure
    assert read.get("Warning") == "[minor] Unrecognized MakerNotes"
    small = subprocess.run(
        ["exiftool", "-b", "-ThumbnailImage", str(path)], capture_output=True, check=True
    ).stdout
    assert Image.open(io.BytesIO(small)).size == (128, 96)


def test_every_sample_picture_has_its_own_seed_and_path() -> None:
    """No two sample pictures share a seed or a place."""
    assert len({s.seed for s in SHOTS}) == len(SHOTS) == len({s.path for s in SHOTS})


def test_large_pictures_differ_by_seed_and_have_the_asked_size() -> None:
    """Two pictures for timing have the asked size and are not the same picture."""
    first, second = bench_picture(1, (800, 600)), bench_picture(2, (800, 600))
    assert first.shape == second.shape == (600, 800, 3)
    assert float(np.abs(first.astype(int) - second.astype(int)).mean()) > 1
