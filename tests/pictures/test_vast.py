"""Large pictures are decoded in parts, and vast ones are changed where they lie: to the very pixels of small ones."""

import struct
import zlib
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from portal.pictures import decode as decoding
from portal.pictures import deep, memory, parts, upright
from portal.pictures.decode import decode, own_bits
from portal.pictures.facts import read_facts
from portal.pictures.parts import parts_of
from portal.pictures.tiff import read_tiff
from portal.problem import PortalError
from tests.pictures.make import chunk, encoded, exif, fault, profile, scene, seen
from tests.pictures.test_colour import GAMMA, WIDE
from tests.pictures.tiffs import DEFLATE, LZW, PACKBITS, Form, tiff_of

DEEP = (np.random.default_rng(4).integers(0, 4000, (75, 50, 4)) + np.arange(75)[:, None, None]).astype(np.uint16)
SAMPLES: dict[str, NDArray[Any]] = {
    "grey 16": DEEP[..., 0],
    "colours 16": DEEP[..., :3],
    "clear 16": DEEP,
    "grey 8": (DEEP[..., 0] >> 4).astype(np.uint8),
    "colours 8": (DEEP[..., :3] >> 4).astype(np.uint8),
    "clear 8": (DEEP >> 4).astype(np.uint8),
    "inks 8": (DEEP >> 4).astype(np.uint8),
    "reals": (DEEP[..., 0] / 3000).astype(np.float32),
    "whole reals": DEEP[..., 0].astype(np.float32),
}
FORMS = {
    "one strip": Form(rows=75),
    "strips": Form(rows=4),
    "big order": Form(sign=">", rows=7),
    "LZW": Form(packing=LZW, rows=5),
    "LZW by differences": Form(packing=LZW, predictor=2, rows=5, sign=">"),
    "Deflate": Form(packing=DEFLATE, predictor=2, rows=3),
    "PackBits": Form(packing=PACKBITS, rows=9),
    "tiles": Form(tile=(16, 32)),
    "tiles by LZW": Form(tile=(16, 16), packing=LZW, predictor=2),
    "planes": Form(in_planes=True, rows=11),
    "planes in tiles": Form(in_planes=True, tile=(32, 16), packing=DEFLATE),
}


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """Has what follows take every picture for a vast one, and some hundred pixels of it at a time."""

    def set_limits() -> None:
        for module in (parts, decoding):
            monkeypatch.setattr(module, "WHOLE", 0)
            monkeypatch.setattr(module, "BAND", 50 * 10)
        monkeypatch.setattr(memory, "_MOST_BYTES", 0)
        monkeypatch.setattr(deep, "_BAND", 7)
        monkeypatch.setattr(upright, "_BAND", 9)
        monkeypatch.setattr(upright, "_TURNED_WHOLE", 0)

    return set_limits


def form_of(samples: str, form: str) -> bytes | None:
    """A TIFF, or None of a form that isn't read, or that no program writes."""
    values, how = SAMPLES[samples], FORMS[form]
    if how.predictor == 2 and values.dtype.kind == "f":
        return None
    tags = ((338, 2),) if samples.startswith("clear") else ()
    return tiff_of(values, replace(how, photometric=5 if samples.startswith("inks") else None, tags=tags))


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("samples", SAMPLES)
def test_a_tiff_in_parts_has_the_same_pixels(samples: str, form: str, few: Callable[[], None], tmp_path: Path) -> None:
    """And what is said of it is the same, whatever lies how."""
    content = form_of(samples, form)
    if content is None:
        return
    whole = seen(tmp_path, content)
    few()
    found = parts_of(read_tiff(content))
    assert found is not None and len([*found.files()]) > 1
    by_parts = seen(tmp_path, content)
    assert np.array_equal(np.asarray(by_parts.image), np.asarray(whole.image))
    assert by_parts.image.mode == whole.image.mode and by_parts.notes == whole.notes


def test_8_byte_offsets_in_big_order_are_read(tmp_path: Path) -> None:
    """The reading library knows them in little order only."""
    tifffile = pytest.importorskip("tifffile")
    for values, kind in ((DEEP[..., 0], "minisblack"), (DEEP[..., :3], "rgb")):
        shown = []
        for order in "<>":
            buffer = BytesIO()
            tifffile.imwrite(buffer, values, bigtiff=True, byteorder=order, photometric=kind)
            shown.append(np.asarray(seen(tmp_path, buffer.getvalue()).image))
        assert np.array_equal(shown[0], shown[1])


def test_strips_that_claim_more_than_their_rows_are_left_to_the_library(few: Callable[[], None]) -> None:
    """Else a small file of many that claim all of it would fill the memory."""
    content = tiff_of(SAMPLES["grey 8"], Form(packing=DEFLATE, rows=1))
    tiff = read_tiff(content)
    entry = tiff.directory.entries[279]
    few()
    assert parts_of(tiff) is not None
    greedy = content[: entry.at] + struct.pack("<I", 70_000) * entry.count + content[entry.at + entry.size :]
    assert parts_of(read_tiff(greedy + bytes(100_000))) is None


@pytest.mark.parametrize("form", ["one strip", "LZW", "tiles", "Deflate"])
def test_a_large_tiff_that_was_cut_is_refused(form: str, few: Callable[[], None], tmp_path: Path) -> None:
    """By the part that isn't there."""
    content = form_of("colours 16", form)
    assert content is not None
    few()
    assert fault(tmp_path, content[: len(content) * 2 // 3]).reason == "damaged file: ends early"


def filtered(values: NDArray[np.uint16], kinds: tuple[int, ...]) -> bytes:
    """The rows of a PNG by these filters in turn."""
    raw = values.astype(">u2").reshape(len(values), -1).view(np.uint8).astype(np.int16)
    step, above, rows = 2 * values.shape[2], np.zeros_like(raw[0]), []
    for number, row in enumerate(raw):
        left, corner = (np.concatenate((np.zeros(step, np.int16), each[:-step])) for each in (row, above))
        kind = kinds[number % len(kinds)]
        guess = {0: 0 * row, 1: left, 2: above, 3: (left + above) // 2, 4: _paeth(left, above, corner)}[kind]
        rows.append(bytes([kind]) + (row - guess).astype(np.uint8).tobytes())
        above = row
    return b"".join(rows)


def _paeth(left: NDArray[np.int16], above: NDArray[np.int16], corner: NDArray[np.int16]) -> NDArray[np.int16]:
    a, b, c = (abs(left + above - corner - each) for each in (left, above, corner))
    return np.where((a <= b) & (a <= c), left, np.where(b <= c, above, corner))


def deep_png(values: NDArray[np.uint16], kinds: tuple[int, ...], *, of: int = 1) -> bytes:
    """A PNG of deep colours whose packed pixels lie in many pieces, or so small a share of them."""
    height, width, count = values.shape
    head = struct.pack(">IIBBBBB", width, height, 16, {3: 2, 4: 6}[count], 0, 0, 0)
    packed = zlib.compress(filtered(values, kinds)[: len(filtered(values, kinds)) // of])
    pieces = b"".join(chunk(b"IDAT", packed[at : at + 777]) for at in range(0, len(packed), 777))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + pieces + chunk(b"IEND", b"")


@pytest.mark.parametrize("kinds", [(0,), (1,), (2,), (3,), (4,), (4, 3, 2, 1, 0), (2, 4)], ids=str)
@pytest.mark.parametrize("colours", [3, 4])
def test_a_deep_png_in_parts_has_the_same_pixels(
    kinds: tuple[int, ...], colours: int, few: Callable[[], None], tmp_path: Path
) -> None:
    """Each row is told by the one above, which may be in the part before."""
    content = deep_png(DEEP[..., :colours], kinds)
    whole = seen(tmp_path, content)
    few()
    by_parts = seen(tmp_path, content)
    assert np.array_equal(np.asarray(by_parts.image), np.asarray(whole.image))
    assert by_parts.notes == whole.notes


def test_a_deep_png_whose_rows_end_early_is_refused(few: Callable[[], None], tmp_path: Path) -> None:
    """Whether its range is known or is still to be found."""
    few()
    content = deep_png(DEEP[..., :3], (4,), of=2)
    assert fault(tmp_path, content).reason == "damaged file: ends early"
    with pytest.raises(PortalError, match="ends early"):
        decode(content, known_bits=12)


@pytest.mark.parametrize("known", [8, 12, 14, 16])
@pytest.mark.parametrize(
    "content", [tiff_of(DEEP[..., :3], Form()), tiff_of(DEEP[..., 0], Form()), deep_png(DEEP, (4,))]
)
def test_a_range_that_was_known_wrong_is_found_anew(known: int, content: bytes) -> None:
    """The file may hold others than it held when its facts were read."""
    right = decode(content)
    found = decode(content, known_bits=known)
    assert right.own_bits == found.own_bits == own_bits(content) == 12
    assert found.notes == right.notes and np.array_equal(np.asarray(found.image), np.asarray(right.image))


@pytest.mark.parametrize("turn", range(1, 9))
@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "CMYK"])
def test_a_vast_picture_is_turned_and_changed_where_it_lies(
    turn: int, mode: str, few: Callable[[], None], tmp_path: Path
) -> None:
    """With a profile, through transparency, from inks: the same pixels, and the same is said."""
    image = scene(61, 47).convert(mode)
    if mode == "RGBA":
        image.putalpha(Image.fromarray(np.arange(61 * 47, dtype=np.uint16).astype(np.uint8).reshape(47, 61)))
    form = "JPEG" if mode == "CMYK" else "PNG"
    icc = profile(WIDE.tolist(), GAMMA) if mode.startswith("RGB") else None
    content = encoded(image, form, exif=exif(turn), icc_profile=icc)
    small = seen(tmp_path, content)
    few()
    vast = seen(tmp_path, content)
    assert np.array_equal(np.asarray(vast.image), np.asarray(small.image))
    assert vast.notes == small.notes and vast.image.mode == small.image.mode


def test_facts_of_a_large_picture_are_those_of_a_small_one(few: Callable[[], None], tmp_path: Path) -> None:
    """Its range comes from all parts: the brightest may be in the last."""
    values = DEEP[..., :3].copy()
    values[-1, -1, 2] = 50_000
    path = tmp_path / "picture.tif"
    path.write_bytes(tiff_of(values, Form(packing=LZW, rows=5)))
    whole = read_facts(path)
    few()
    assert read_facts(path) == whole and getattr(whole, "bits", None) == 16


def test_a_jpeg_is_written_to_where_it_lies() -> None:
    """The reading library copies one that it did not decode itself, unless it is told that it may be written to."""
    image = decode(encoded(scene(), "JPEG")).image
    core = image.im
    image.paste((1, 2, 3), (0, 0, 5, 5))
    assert image.im is core and image.getpixel((2, 2)) == (1, 2, 3)
