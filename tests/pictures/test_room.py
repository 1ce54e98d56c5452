"""A picture whose form would take more memory than is given is refused by its header, before a pixel is decoded."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.model.scalars import Frame
from portal.pictures import header
from portal.pictures.header import MEGAPIXELS, ROOM, check_room, read_header
from portal.pictures.jobs import Job
from portal.problem import PortalError
from tests.pictures.make import encoded, known, png, scene
from tests.pictures.test_phone import heic
from tests.pictures.tiffs import DEFLATE, Form, tiff_of

COLOURS = np.asarray(scene())
DEEP = COLOURS.astype(np.uint16)
PIXELS = scene().width * scene().height


def interlaced(content: bytes) -> bytes:
    """A PNG that says it is; what it holds isn't looked at."""
    return content[:28] + b"\1" + content[29:]


FORMS = {
    "JPEG": (encoded(scene(), "JPEG"), 4),
    "progressive, a quarter of the colours": (encoded(scene(), "JPEG", progressive=True), 4 + 2 * 1.5),
    "progressive, half of them": (encoded(scene(), "JPEG", progressive=True, subsampling=1), 4 + 2 * 2),
    "progressive, all of them": (encoded(scene(), "JPEG", progressive=True, subsampling=0), 4 + 2 * 3),
    "progressive, grey": (encoded(scene().convert("L"), "JPEG", progressive=True), 4 + 2),
    "progressive, inks": (encoded(scene().convert("CMYK"), "JPEG", progressive=True), 4 + 2 * 4),
    "PNG": (encoded(scene(), "PNG"), 4),
    "deep PNG": (png(DEEP), 4),
    "interlaced PNG": (interlaced(encoded(scene(), "PNG")), 4),
    "interlaced deep PNG": (interlaced(png(DEEP)), 9.5),
    "interlaced deep grey PNG": (interlaced(png(DEEP[..., 0])), 4),
    "TIFF": (tiff_of(COLOURS, Form(rows=64)), 4),
    "packed in one strip": (tiff_of(COLOURS, Form(rows=64, packing=DEFLATE)), 4 + 3),
    "packed in four strips": (tiff_of(COLOURS, Form(rows=16, packing=DEFLATE)), 4 + 3 / 4),
    "deep, packed in one strip": (tiff_of(DEEP, Form(rows=64, packing=DEFLATE)), 4 + 6 * 1.75),
    "deep grey, packed in one strip": (tiff_of(DEEP[..., 0], Form(rows=64, packing=DEFLATE)), 4 + 2),
    "deep, in tiles": (tiff_of(DEEP, Form(tile=(16, 16))), 4 + 6 * 1.75 / 4),
    "WebP": (encoded(scene(), "WEBP"), 16.5),
    "AVIF": (encoded(scene(), "AVIF"), 9.3),
    "HEIC": (heic(scene()), 7.3),
    "BMP": (encoded(scene(), "BMP"), 7.0),
}


@pytest.mark.parametrize("form", FORMS)
def test_a_form_is_refused_where_its_pixels_take_more_than_is_given(form: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """By a little more; with as much it is read. A larger limit that somebody sets gives more."""
    content, bytes_a_pixel = FORMS[form]
    monkeypatch.setattr(header, "ROOM", PIXELS * (bytes_a_pixel + 0.01))
    assert read_header(content).stored == Frame(96, 64)
    monkeypatch.setattr(header, "ROOM", PIXELS * (bytes_a_pixel - 0.01))
    with pytest.raises(PortalError, match="more than the 0 that are read so packed") as raised:
        read_header(content)
    assert raised.value.hint and "TIFF in strips" in raised.value.hint
    assert read_header(content, megapixels=MEGAPIXELS * 1.1).stored == Frame(96, 64)


def test_200_megapixels_are_read_in_the_usual_forms() -> None:
    """Of a camera's file, a telephone's, a bitmap; of WebP a good half of what one can hold isn't."""
    frame = Frame(16_330, 12_247)
    for form in ("JPEG", "progressive, a quarter of the colours", "PNG", "TIFF", "packed in one strip", "HEIC", "BMP"):
        check_room(frame, FORMS[form][1], MEGAPIXELS)
    for form in ("WebP", "deep, packed in one strip", "interlaced deep PNG", "progressive, all of them"):
        with pytest.raises(PortalError, match="200 megapixels, more than"):
            check_room(frame, FORMS[form][1], MEGAPIXELS)


def test_what_a_job_may_take_grows_with_its_picture_to_what_any_form_may_take(tmp_path: Path) -> None:
    """Beside what is there for a start; a small picture can't take a machine's memory."""
    path = tmp_path / "a.png"
    path.write_bytes(encoded(Image.new("L", (10, 10)), "PNG"))
    facts = known(path)
    start = Job(path, facts, (), tmp_path).spare_bytes
    for stored, most in (
        (Frame(4000, 3000), 300_000_000),
        (Frame(16_330, 12_247), ROOM),
        (Frame(15_000, 15_000), ROOM),
    ):
        spare = Job(path, replace(facts, stored=stored), (), tmp_path).spare_bytes - start
        assert most * 0.9 <= spare <= most
