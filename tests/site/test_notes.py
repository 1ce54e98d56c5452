"""What a picture's page says of how its pixels came about."""

import re
from pathlib import Path

import numpy as np
from PIL import Image

import portal.pictures
from portal.site.words import po_files
from portal.tasks.build import build
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_build import DAY

ROOM = Path(portal.pictures.__file__).parent


def test_every_note_of_a_picture_has_a_sentence() -> None:
    """A key that the pictures room spells out and no catalogue holds would stop the page."""
    code = "\n".join(path.read_text("utf-8") for path in ROOM.glob("*.py"))
    used = set(re.findall(r'Say\.of\("([a-z._]+)"', code))
    known = {key for po in po_files("en") for key in re.findall(r'^msgid "(.+)"$', po.read_text("utf-8"), re.M)}
    assert "picture.range" in used
    assert used - known == set()


def test_a_picture_of_16_bits_says_how_its_brightness_was_mapped(tmp_path: Path) -> None:
    """Values up to 1,200 of 65,535 would be nearly black; they are mapped as 12 bits, and the page says so."""
    folder = small_catalogue(tmp_path / "cat")
    levels = np.linspace(1000, 1200, 320 * 240, dtype=np.uint16).reshape(240, 320)
    Image.fromarray(levels).save(folder / TRIAL / "images/deep.tif")
    built = build(folder, out=None, as_of=DAY, processes=1)
    page = (built.out / "pictures/M-001/T1/deep.tif.html").read_text("utf-8")
    assert "brightness mapped from the file&#39;s 12 bits: 0 is black, 4095 is white" in page
