"""Pictures of which the end is missing although the file ends as it should: none of them passes as whole."""

import random
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
import pytest
import simplejpeg
from PIL import Image

from portal.model.say import Say
from portal.pictures.whole import DAMAGED
from tests.pictures.make import encoded, fault, scene, seen, segment, told

END = b"\xff\xd9"
WAYS: Mapping[str, tuple[str, dict[str, Any]]] = {
    "plain": ("RGB", {}),
    "full colours": ("RGB", {"subsampling": 0}),
    "own tables": ("RGB", {"optimize": True}),
    "restarts": ("RGB", {"restart_marker_rows": 1}),
    "many restarts": ("RGB", {"restart_marker_blocks": 3}),
    "progressive": ("RGB", {"progressive": True}),
    "progressive with restarts": ("RGB", {"progressive": True, "restart_marker_rows": 2}),
    "red green blue": ("RGB", {"keep_rgb": True}),
    "grey": ("L", {}),
    "inks": ("CMYK", {}),
}
EMPTY = Say.of("picture.ends_empty")
DOUBTFUL = Say.of("picture.doubtful")


def coded(way: str, image: Image.Image | None = None) -> bytes:
    """A JPEG made in that way."""
    mode, options = WAYS[way]
    return encoded((image or scene(192, 128)).convert(mode), "JPEG", **options)


@pytest.mark.parametrize("way", WAYS)
def test_a_jpeg_that_was_cut_and_given_an_end_is_refused(way: str, tmp_path: Path) -> None:
    """Wherever it was cut: a decoder would show grey below, or less than the camera saw, and say nothing."""
    whole = coded(way)
    first = whole.index(b"\xff\xda") + 20
    for cut in [first, *random.Random(1).sample(range(first, len(whole) - 80), 12)]:
        assert fault(tmp_path, whole[:cut].rstrip(b"\xff") + END).reason in ("damaged file: ends early", DAMAGED), cut


@pytest.mark.parametrize("way", WAYS)
def test_a_whole_jpeg_is_shown_however_grey_it_is(way: str, tmp_path: Path) -> None:
    """The very grey that a decoder would make up, all over or below; also with bytes too many before its end."""
    half = scene(192, 128)
    half.paste((128, 128, 128), (0, 60, 192, 128))
    for image in (Image.new("RGB", (192, 128), (128, 128, 128)), half, scene(192, 128)):
        whole = coded(way, image)
        shown = np.asarray(seen(tmp_path, whole).image)
        assert np.array_equal(shown, np.asarray(seen(tmp_path, whole[:-2] + b"\0\x12\x34" * 9 + END).image))


@pytest.mark.parametrize("way", WAYS)
def test_what_the_decoder_says_of_a_jpeg_is_told(way: str, tmp_path: Path) -> None:
    """Of each changed or missing byte of which it says something: refused, or said on the picture's page."""
    whole, chance, spoken = coded(way), random.Random(3), 0
    first = whole.index(b"\xff\xda") + 20
    form = {"L": "GRAY", "CMYK": "CMYK"}.get(WAYS[way][0], "RGB")
    for number in range(60):
        at = chance.randrange(first, len(whole) - 2)
        other = whole[:at] + (bytes((whole[at] ^ chance.randrange(1, 256),)) if number % 2 else b"") + whole[at + 1 :]
        try:
            simplejpeg.decode_jpeg(other, form)
        except ValueError as error:
            if str(error).startswith("Corrupt JPEG data"):
                spoken += 1
                assert told(tmp_path, other), (number, str(error))
    assert spoken >= 3


@pytest.mark.parametrize("way", WAYS)
def test_zeros_that_fill_the_room_behind_the_pixels_are_nothing_to_tell(way: str, tmp_path: Path) -> None:
    """Some cameras write whole sectors."""
    assert DOUBTFUL not in seen(tmp_path, coded(way)[:-2] + bytes(40) + END).notes
    assert DOUBTFUL in seen(tmp_path, coded(way)[:-2] + bytes(range(1, 41)) + END).notes


def test_colours_one_after_the_other_are_all_needed(tmp_path: Path) -> None:
    """A file of one scan for each: of one that lacks the last, or half of it, the colours would be wrong."""
    grey = encoded(scene(192, 128).convert("L"), "JPEG")
    head, scan = grey.index(b"\xff\xc0"), grey.index(b"\xff\xda")
    frame = segment(0xC0, grey[head + 4 : head + 9] + b"\3" + b"".join(bytes((k, 0x11, 0)) for k in (1, 2, 3)))
    pixels = grey[scan + 10 : -2]
    scans = [segment(0xDA, bytes((1, k, 0, 0, 63, 0))) + pixels for k in (1, 2, 3)]
    tables = grey[:head] + frame + grey[head + 13 : scan]
    seen(tmp_path, tables + b"".join(scans) + END)
    for cut in (b"".join(scans[:2]), b"".join(scans)[: -len(pixels) // 2]):
        assert fault(tmp_path, tables + cut + END).reason == "damaged file: ends early"


def heic() -> bytes:
    """A HEIC whose file ends with its pixels."""
    buffer = BytesIO()
    pillow_heif.from_pillow(scene(600, 400)).save(buffer, quality=95)
    return buffer.getvalue()


FULL = {
    "BMP": encoded(scene(600, 400), "BMP"),
    "TIFF": encoded(scene(600, 400), "TIFF"),
    "WebP": encoded(scene(600, 400), "WEBP", quality=95),
    "WebP, lossless": encoded(scene(600, 400), "WEBP", lossless=True),
    "AVIF": encoded(scene(600, 400), "AVIF", quality=95),
    "HEIC": heic(),
}


@pytest.mark.parametrize("kind", FULL)
def test_a_file_whose_end_was_never_written_says_so_on_its_page(kind: str, tmp_path: Path) -> None:
    """A copy for which all room was made at once, then broken off: what is missing is shown black, green or grey."""
    whole = FULL[kind]
    assert EMPTY not in seen(tmp_path, whole).notes
    size = len(whole) * 2 // 3
    broken = whole[:size] + bytes(len(whole) - size)
    if kind == "HEIC":  # another decoder stumbles over it
        assert fault(tmp_path, broken).reason == DAMAGED
    else:
        assert EMPTY in seen(tmp_path, broken).notes


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "GIF"])
def test_bytes_behind_a_mark_of_the_end_are_nothing_to_tell(kind: str, tmp_path: Path) -> None:
    """Some cameras fill the last block of a card."""
    content = encoded(scene().quantize(99) if kind == "GIF" else scene(), kind)
    assert seen(tmp_path, content + bytes(4096)).notes == ()


def test_empty_bytes_behind_the_pixels_of_a_tiff_are_nothing_to_tell(tmp_path: Path) -> None:
    """Another page, which is black, or room that was never used."""
    assert seen(tmp_path, FULL["TIFF"] + bytes(4096)).notes == ()
    untold = FULL["TIFF"].replace(b"\x17\x01\x04\0", b"\x17\x81\x04\0")  # how many bytes they have
    assert untold != FULL["TIFF"] and EMPTY not in seen(tmp_path, untold).notes
