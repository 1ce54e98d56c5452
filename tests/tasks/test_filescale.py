"""A file's own scale from the file to the page: measured by it where nothing else is known, refused where it denies."""

import hashlib
from pathlib import Path

import numpy as np
import pytest
import tifffile

from tests.tasks.judged import judged_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.two import change
from tests.tasks.typed import typed

TIFF, TAG = f"{TRIAL}/images/c1_top.tif", f"{TRIAL}/tags/c1_top.tif.yaml"
PAGE = "site/shop/pictures/M-001/T1/c1_top.tif.html"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A catalogue of which one picture is a TIFF that states 1 µm per pixel, as its setting was calibrated."""
    return with_tiff(judged_catalogue(tmp_path / "c"), pixels_per_um=1.0)


def with_tiff(folder: Path, *, pixels_per_um: float) -> Path:
    """The same catalogue with that picture instead of a JPEG."""
    pixels = np.random.default_rng(1).integers(90, 160, (240, 320), dtype=np.uint8)
    density = (pixels_per_um, pixels_per_um)
    text = b"unit=micron\n"
    tifffile.imwrite(folder / TIFF, pixels, description=text, resolution=density, resolutionunit=1, metadata=None)
    old = next(each for each in (folder / TRIAL / "tags").iterdir() if each.name.startswith("c1_top."))
    lines = old.read_text(encoding="utf-8").splitlines()
    digest = hashlib.sha256((folder / TIFF).read_bytes()).hexdigest()
    lines[1] = f"picture: {{sha256: {digest}, stored: 320x240}}"
    old.unlink()
    (folder / TRIAL / "images/c1_top.jpg").unlink(missing_ok=True)
    (folder / TAG).write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder


def text_of(folder: Path, page: str) -> str:
    """A page of the site; a number and its unit stay on one line there."""
    return (folder / page).read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")


def test_a_calibration_that_the_file_bears_out_holds(folder: Path) -> None:
    """The page says so."""
    assert typed("build", folder, "--jobs", "1").code == 0
    page = text_of(folder, PAGE)
    assert "what the picture&#39;s file says: 1 µm per pixel" in page


def test_a_calibration_that_the_file_denies_is_refused_with_both_numbers(folder: Path) -> None:
    """`portal check` names the line; where the scope says that files aren't to be believed, it holds."""
    with_tiff(folder, pixels_per_um=0.5)
    said = "not measured: the scale is 1 µm per pixel, the picture's file says 2 µm"
    checked = typed("check", folder)
    assert checked.code == 1 and f"{TAG}:2: picture: {said}" in checked.out
    change(folder, "scopes/bench-1.yaml", "settings:", "file_scale: ignored\nsettings:")
    assert typed("check", folder).code == 0


def test_without_a_microscope_it_is_measured_by_the_file(folder: Path) -> None:
    """With 2 % of doubt, which the page tells."""
    change(folder, TAG, "scope: bench-1\nsetting: zoom-2-adapter-0.5\n", "")
    assert typed("check", folder).code == 0
    assert typed("build", folder, "--jobs", "1").code == 0
    page = text_of(folder, PAGE)
    assert "as the file says in its description; it names no uncertainty, 2 % are assumed" in page
    review = text_of(folder, "site/shop/parts/P-0001/M-001-T1.html")
    assert "as the picture&#39;s file says in its description" in review


def test_of_a_picture_that_a_telephone_made_the_file_says_nothing(folder: Path) -> None:
    """Nor of a stitched one."""
    change(folder, TAG, "scope: bench-1\nsetting: zoom-2-adapter-0.5\n", "made: phone\n")
    assert typed("build", folder, "--jobs", "1").code == 0
    assert "it names no uncertainty" not in text_of(folder, PAGE)
