"""A quick small copy for a first look: the same picture as the derived one, for the eye; the rest goes the long way."""

from dataclasses import replace
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.model.picture import PictureFacts
from portal.model.scalars import Frame
from portal.pictures.derive import Whole, derive
from portal.pictures.facts import read_facts
from portal.pictures.quick import quick_copy


def picture(path: Path, *, size: tuple[int, int] = (642, 487), turned: int = 1, mode: str = "RGB") -> PictureFacts:
    """A smooth picture in another colour at each corner, as a JPEG with an orientation."""
    corners = np.array([[[250, 40, 30], [30, 220, 60]], [[40, 60, 240], [230, 230, 225]]], dtype=np.uint8)
    image = Image.fromarray(corners).resize(size, Image.Resampling.BICUBIC).convert(mode)
    exif = Image.Exif()
    exif[0x0112] = turned
    image.save(path, "JPEG", quality=92, exif=exif)
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts)
    return facts


@pytest.mark.parametrize("turned", [1, 3, 6, 7])
@pytest.mark.parametrize("divide", [2, 4])
def test_it_is_the_derived_picture_for_the_eye(tmp_path: Path, turned: int, divide: int) -> None:
    """Of the same size, upright, no pixel more than a few shades off, without metadata."""
    facts = picture(tmp_path / "a.jpg", turned=turned)
    quick = quick_copy((tmp_path / "a.jpg").read_bytes(), facts, divide=divide)
    made = derive(tmp_path / "a.jpg", facts, [Whole(divide)], tmp_path / "out")
    assert quick is not None and isinstance(made, tuple)
    exact = np.asarray(Image.open(tmp_path / "out" / made[0].name), dtype=np.int16)
    found = np.asarray(Image.open(BytesIO(quick)), dtype=np.int16)
    assert found.shape == exact.shape
    assert np.abs(found[2:-2, 2:-2] - exact[2:-2, 2:-2]).max() <= 8
    assert b"Exif" not in quick and b"JFIF" in quick[:20]


def test_what_isnt_plain_goes_the_long_way(tmp_path: Path) -> None:
    """Four inks, something blacked out, a file cut short or changed, another kind."""
    facts = picture(tmp_path / "a.jpg")
    data = (tmp_path / "a.jpg").read_bytes()
    assert quick_copy(data, facts, divide=4) is not None
    assert quick_copy(data, replace(facts, masks=(((1.0, 1.0), (9.0, 1.0), (9.0, 9.0)),)), divide=4) is None
    assert quick_copy(data[:-2000], facts, divide=4) is None
    cut = picture(tmp_path / "b.jpg")
    assert quick_copy(data[:-2000], replace(cut, sha256=sha256(data[:-2000]).hexdigest()), divide=4) is None
    inks = picture(tmp_path / "c.jpg", mode="CMYK")
    assert quick_copy((tmp_path / "c.jpg").read_bytes(), inks, divide=4) is None
    Image.new("RGB", (800, 800)).save(tmp_path / "d.png")
    other = read_facts(tmp_path / "d.png")
    assert isinstance(other, PictureFacts)
    assert quick_copy((tmp_path / "d.png").read_bytes(), other, divide=4) is None


def test_a_size_that_it_doesnt_come_to_goes_the_long_way(tmp_path: Path) -> None:
    """Its decoder divides by 2, 4 and 8 alone; of a file that says another frame than it has nothing is shown."""
    facts = picture(tmp_path / "a.jpg", size=(642, 487))
    data = (tmp_path / "a.jpg").read_bytes()
    for divide, size in ((2, (321, 244)), (4, (161, 122)), (8, (81, 61))):
        made = quick_copy(data, facts, divide=divide)
        assert made is not None and Image.open(BytesIO(made)).size == size
    for divide in (3, 5, 16):
        assert quick_copy(data, facts, divide=divide) is None
    for other in (Frame(643, 487), Frame(642, 486), Frame(487, 642)):
        assert quick_copy(data, replace(facts, stored=other), divide=4) is None
