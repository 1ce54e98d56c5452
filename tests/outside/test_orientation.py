"""The eight orientations against the published table.

Source: Exif 2.32 (JEITA CP-3451, CIPA DC-008), tag 0x0112: what the stored row 0 and column 0 are in the picture as
it is to be seen. The arrays were worked out from it by hand and agree with Pillow's `ImageOps.exif_transpose`.
"""

from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from portal.model.scalars import Frame
from portal.pictures.derive import Whole
from tests.pictures.make import derived, encoded, exif, known, pixels, seen, tiff

STORED = [[10, 20, 30], [40, 50, 60]]
UPRIGHT = {
    1: [[10, 20, 30], [40, 50, 60]],  # row 0 top, column 0 left
    2: [[30, 20, 10], [60, 50, 40]],  # top, right
    3: [[60, 50, 40], [30, 20, 10]],  # bottom, right
    4: [[40, 50, 60], [10, 20, 30]],  # bottom, left
    5: [[10, 40], [20, 50], [30, 60]],  # left, top
    6: [[40, 10], [50, 20], [60, 30]],  # right, top
    7: [[60, 30], [50, 20], [40, 10]],  # right, bottom
    8: [[30, 60], [20, 50], [10, 40]],  # left, bottom
}
BLOCK = 16
NOWHERE = (0, 9, 300)

values = np.array(STORED, dtype=np.uint8)


@pytest.mark.parametrize("orientation", UPRIGHT)
@pytest.mark.parametrize("form", ["PNG", "TIFF", "WEBP"])
def test_lossless_pictures_come_out_as_the_table_says(orientation: int, form: str, tmp_path: Path) -> None:
    """Every pixel lands where the table puts it, in every kind that keeps pixels exactly."""
    options = {"lossless": True} if form == "WEBP" else {}
    content = encoded(Image.fromarray(values).convert("RGB"), form, exif=exif(orientation), **options)
    found = np.asarray(seen(tmp_path, content).image.convert("L"))
    assert found.tolist() == UPRIGHT[orientation]


@pytest.mark.parametrize("orientation", UPRIGHT)
@pytest.mark.parametrize("order", ["little", "big"])
def test_deep_tiffs_come_out_as_the_table_says(orientation: int, order: str, tmp_path: Path) -> None:
    """16-bit TIFFs are turned once, though the reading library turns TIFFs by itself."""
    deep = values.astype(np.uint16) * 4 * 257
    content = tiff(deep, order="big" if order == "big" else "little", tags=[(274, orientation)])
    found = np.asarray(seen(tmp_path, content).image) // 4
    assert found.tolist() == UPRIGHT[orientation]


@pytest.mark.parametrize("orientation", UPRIGHT)
def test_jpegs_and_all_their_derived_files_come_out_as_the_table_says(orientation: int, tmp_path: Path) -> None:
    """The full-size file and the divided one show the same upright corners; the frame of the facts agrees."""
    stored = Image.fromarray(np.kron(values * 4, np.ones((BLOCK, BLOCK), dtype=np.uint8)))
    content = encoded(stored, "JPEG", quality=95, exif=exif(orientation))
    want = np.array(UPRIGHT[orientation], dtype=np.int16) * 4
    for each in derived(tmp_path, content, Whole(1), Whole(2), Whole(BLOCK)):
        step = BLOCK // each.divide
        found = pixels(tmp_path / "out" / each.name)[step // 2 :: step, step // 2 :: step].astype(np.int16)
        assert np.abs(found - want).max() <= 3
    facts = known(tmp_path / "picture")
    assert facts.stored == Frame(3 * BLOCK, 2 * BLOCK)
    assert facts.upright == Frame(want.shape[1] * BLOCK, want.shape[0] * BLOCK)


@pytest.mark.parametrize("orientation", UPRIGHT)
def test_the_table_agrees_with_another_program(orientation: int) -> None:
    """Outside source: Pillow's own turning, which is not used by the program."""
    with_tag = Image.open(BytesIO(encoded(Image.fromarray(values), "PNG", exif=exif(orientation))))
    assert np.asarray(ImageOps.exif_transpose(with_tag)).tolist() == UPRIGHT[orientation]


@pytest.mark.parametrize("orientation", NOWHERE)
def test_an_orientation_outside_of_the_table_is_upright(orientation: int, tmp_path: Path) -> None:
    """Values that the table doesn't hold leave the picture as it is stored."""
    content = encoded(Image.fromarray(values), "PNG", exif=exif(orientation))
    assert np.asarray(seen(tmp_path, content).image).tolist() == STORED
    assert known(tmp_path / "picture").orientation == 1
