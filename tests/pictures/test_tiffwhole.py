"""Packed pixels of TIFFs of which bytes were changed: none of them passes as whole where its packing can tell."""

import random
import struct
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import simplejpeg
from PIL import Image

from portal.pictures.tiff import read_tiff
from tests.pictures.make import encoded, fault, scene, seen, told
from tests.pictures.tiffs import DEFLATE, JPEG, OLD_JPEG, Form, tiff_of

COLOURS = np.asarray(scene(96, 80))


def old_jpeg() -> bytes:
    """The older way, as scanners' programs write it: one whole JPEG, and a tag that says where it begins."""
    form = Form(packing=OLD_JPEG, rows=80, photometric=6, tags=((513, 0),))
    at = tiff_of(COLOURS, form).index(b"\xff\xd8\xff")
    return tiff_of(COLOURS, Form(packing=OLD_JPEG, rows=80, photometric=6, tags=((513, at),)))


JPEGS = {
    "strips": tiff_of(COLOURS, Form(packing=JPEG, rows=16)),
    "tiles": tiff_of(COLOURS, Form(packing=JPEG, tile=(32, 48))),
    "grey": tiff_of(COLOURS[..., 0], Form(packing=JPEG, rows=16)),
    "each colour by itself": tiff_of(COLOURS, Form(packing=JPEG, rows=16, in_planes=True)),
    "tables that all share": encoded(scene(96, 80), "TIFF", compression="jpeg"),
    "the older way": old_jpeg(),
}
PACKED = {
    "rows by Deflate": tiff_of(COLOURS, Form(packing=DEFLATE, rows=16)),
    "tiles by Deflate": tiff_of(COLOURS, Form(packing=DEFLATE, tile=(32, 48), predictor=2)),
    "deep by Deflate": tiff_of(COLOURS.astype(np.uint16) * 16, Form(packing=DEFLATE, rows=16, sign=">")),
    "planes by Deflate": tiff_of(COLOURS, Form(packing=DEFLATE, rows=16, in_planes=True)),
}


def parts(content: bytes) -> list[tuple[int, int]]:
    """Where the strips or tiles of a file begin and end."""
    page = read_tiff(content).directory
    starts, sizes = page.numbers(273) or page.numbers(324), page.numbers(279) or page.numbers(325)
    return [(at, at + size) for at, size in zip(starts, sizes, strict=True)]


def changed(content: bytes, count: int) -> Iterator[tuple[bytes, bytes]]:
    """The file with one byte of a strip or tile changed, and that strip."""
    chance = random.Random(7)
    for _ in range(count):
        start, end = chance.choice(parts(content))
        at = chance.randrange(start + 2, end)
        other = content[:at] + bytes((content[at] ^ chance.randrange(1, 256),)) + content[at + 1 :]
        yield other, other[start:end]


def decoder_says(content: bytes, part: bytes) -> bool:
    """Whether the library that decodes JPEGs, asked for this part alone, says that it is damaged."""
    entry = read_tiff(content).directory.entries.get(347)
    tables = content[entry.at : entry.at + entry.size] if entry else b"\xff\xd8\xff\xd9"
    colours = 1 if read_tiff(content).in_planes else read_tiff(content).directory.number(277, 1)
    try:
        simplejpeg.decode_jpeg(tables[:-2] + part[2:], "GRAY" if colours == 1 else "RGB")
    except ValueError as error:
        return str(error).startswith(("Corrupt JPEG data", "Premature end"))
    return False


@pytest.mark.parametrize("form", JPEGS)
def test_what_the_decoder_says_of_a_part_is_told(form: str, tmp_path: Path) -> None:
    """Of each changed byte of which it says something; of a whole file nothing is."""
    content = JPEGS[form]
    assert told(tmp_path, content) == ""
    spoken = 0
    for other, part in changed(content, 90):
        if decoder_says(content, part):
            spoken += 1
            assert told(tmp_path, other)
    assert spoken > 5


@pytest.mark.parametrize("form", PACKED)
def test_a_changed_byte_of_deflate_is_refused(form: str, tmp_path: Path) -> None:
    """Each of them: their sum stands behind the pixels."""
    assert told(tmp_path, PACKED[form]) == ""
    for other, _ in changed(PACKED[form], 40):
        assert told(tmp_path, other).startswith("damaged file: ")


@pytest.mark.parametrize("form", JPEGS)
def test_a_jpeg_in_a_tiff_that_was_cut_is_refused(form: str, tmp_path: Path) -> None:
    """The file ends early, or a strip ends early and another follows."""
    content = JPEGS[form]
    assert fault(tmp_path, content[: parts(content)[-1][1] - 200]).reason.startswith("damaged file: ")
    start, end = parts(content)[0]
    middle = (start + end) // 2 + 40
    assert told(tmp_path, content[:middle] + bytes(end - middle) + content[end:]).startswith("damaged file: ")


def test_a_strip_without_its_last_bytes_is_told(tmp_path: Path) -> None:
    """They are zeros, by which the picture may look the same but for its last squares."""
    content = JPEGS["strips"]
    _, end = parts(content)[-1]
    assert told(tmp_path, content[: end - 3] + bytes(3) + content[end:])


def test_tables_without_their_last_bytes_are_told(tmp_path: Path) -> None:
    """Those that all strips share."""
    content = JPEGS["tables that all share"]
    entry = read_tiff(content).directory.entries[347]
    end = entry.at + entry.size
    assert told(tmp_path, content[: end - 2] + bytes(2) + content[end:]) == "doubtful"


def test_a_strip_of_other_pixels_than_its_page_is_refused(tmp_path: Path) -> None:
    """The library would show what there is, and grey beside or below it."""
    for low in (Image.fromarray(COLOURS[:8]), Image.fromarray(COLOURS[:16, :80])):
        part = encoded(low, "JPEG", quality=90, keep_rgb=True)
        content = JPEGS["strips"]
        start, end = parts(content)[1]
        assert len(part) <= end - start
        fitted = content[:start] + part + bytes(end - start - len(part)) + content[end:]
        assert told(tmp_path, fitted).startswith("damaged file: ")


def test_strips_that_say_nothing_more_are_shown(tmp_path: Path) -> None:
    """Deflate without its sum, and bytes behind it: the pixels are all there."""
    content = PACKED["rows by Deflate"]
    page = read_tiff(content).directory
    entry = page.entries[279]
    sizes = page.numbers(279)
    fewer = struct.pack(f"<{len(sizes)}I", *(size - 4 for size in sizes))
    cut = content[: entry.at] + fewer + content[entry.at + len(fewer) :]
    assert np.array_equal(np.asarray(seen(tmp_path, cut).image), COLOURS)
