"""What somebody blacked out is gone from every derived file."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from portal.pictures.derive import Crop, Derived, Want, Whole, derive
from tests.pictures.make import dirty_jpeg, known, scene

REGION = ((10.0, 8.0), (30.0, 8.0), (30.0, 24.0), (10.0, 24.0))


def made(folder: Path, want: Want, *, orientation: int = 1, masked: bool = True) -> tuple[Derived, Any]:
    """A derived file of a picture with a light region, and its pixels."""
    path = folder / f"{orientation}.jpg"
    path.write_bytes(dirty_jpeg(Image.new("RGB", scene().size, (230, 230, 230)), orientation=orientation))
    facts = replace(known(path), masks=(REGION,) if masked else ())
    found = derive(path, facts, (want,), folder / "out")
    assert isinstance(found, tuple)
    with Image.open(folder / "out" / found[0].name) as image:
        return found[0], np.asarray(image.convert("L"))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_region_is_black_in_the_upright_picture(orientation: int, tmp_path: Path) -> None:
    """Whole, at full size, however the file is stored; a file that would be copied as it is is made anew."""
    _, pixels = made(tmp_path, Whole(), orientation=orientation)
    assert pixels[9:23, 11:29].max() <= 12
    assert pixels[:4].min() > 200 and pixels[:, :4].min() > 200


@pytest.mark.parametrize("want", [Whole(2), Whole(4), Crop((12, 10, 28, 22)), Crop((12, 10, 28, 22), 2)])
def test_no_smaller_or_cropped_file_has_its_pixels(want: Whole | Crop, tmp_path: Path) -> None:
    """A mean over squares is made after the region is black."""
    derived, pixels = made(tmp_path, want)
    if isinstance(want, Crop):
        assert pixels.max() <= 12
    else:
        left, top, right, bottom = (-(-10 // want.divide), -(-8 // want.divide), 30 // want.divide, 24 // want.divide)
        assert pixels[top:bottom, left:right].max() <= 12
    plain, _ = made(tmp_path, want, masked=False)
    assert plain.sha256 != derived.sha256
