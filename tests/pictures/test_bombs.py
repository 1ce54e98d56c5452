"""Files of a few bytes that would take hours or all memory: told by their headers, in no time and next to no memory."""

import struct
import time
import tracemalloc
import zlib
from io import BytesIO
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from portal.pictures.filescale import written_scales
from portal.pictures.ifd import first_directory
from portal.pictures.jpeg import read_jpeg
from portal.pictures.png import read_png
from tests.pictures.make import SECRET, chunk, encoded, exif, fault, known, scene, seen, segment, tiff

JPEG = encoded(scene(40, 30), "JPEG")
PNG = encoded(scene(40, 30), "PNG")
PIXELS = PNG.index(b"IDAT") - 4


def of_size(kind: str, width: int, height: int) -> bytes:
    """A picture of 64 by 64 pixels that says it has so many."""
    buffer = BytesIO()
    if kind == "HEIC":
        pillow_heif.from_pillow(scene(64, 64)).save(buffer)
    else:
        scene(64, 64).save(buffer, kind)
    size = b"ispe\0\0\0\0" + struct.pack(">II", 64, 64)
    assert size in buffer.getvalue()
    return buffer.getvalue().replace(size, size[:8] + struct.pack(">II", width, height))


def bitmap(width: int, height: int, runs: bytes) -> bytes:
    """A BMP of 8 bits coded as runs."""
    head = struct.pack("<IiiHHIIiiII", 40, width, height, 1, 8, 1, len(runs), 0, 0, 256, 0) + bytes(1024)
    return b"BM" + struct.pack("<IHHI", 14 + len(head) + len(runs), 0, 0, 14 + len(head)) + head + runs


def gif() -> bytes:
    """A GIF whose only frame says it is larger than the screen it lies on."""
    plain = bytearray(encoded(Image.new("P", (8, 8)), "GIF"))
    frame = plain.index(b"\x2c")
    plain[frame + 5 : frame + 9] = struct.pack("<HH", 65_535, 65_535)
    return bytes(plain)


TOO_LARGE = {
    "BMP": bitmap(60_000, 60_000, b"\0\1"),
    "GIF": gif(),
    "HEIC": of_size("HEIC", 60_000, 60_000),
    "AVIF": of_size("AVIF", 16_384, 16_384),
    "WebP, whole": bytes.fromhex("524946461a000000574542505650384c0e0000002ffebfff0f071011fd0f4444ff03"),
}


@pytest.mark.parametrize("content", TOO_LARGE.values(), ids=TOO_LARGE)
def test_a_picture_of_any_kind_that_is_too_large_is_refused_by_its_header(content: bytes, tmp_path: Path) -> None:
    """With what to do."""
    assert len(content) < 10_000
    found = fault(tmp_path, content)
    assert "more than the 250 that are read" in found.reason
    assert found.hint == "save a smaller picture, or a part of it at full size"


@pytest.mark.parametrize(("width", "height"), [(0, 3), (4, 0), (0, 0)])
def test_a_picture_of_no_size_is_damaged(width: int, height: int, tmp_path: Path) -> None:
    """Rather than a picture of nothing."""
    content = PNG.replace(struct.pack(">II", 40, 30), struct.pack(">II", width, height), 1)
    assert fault(tmp_path, content).reason == f"damaged file: its header says {width}x{height} pixels"


@pytest.mark.parametrize("kind", ["HEIC", "AVIF"])
def test_a_size_that_no_picture_has_is_a_reason(kind: str, tmp_path: Path) -> None:
    """As many as a number of 32 bits can say."""
    assert fault(tmp_path, of_size(kind, 0xFFFF_FFFF, 0xFFFF_FFFF)).reason


def test_runs_of_a_bitmap_come_to_its_pixels_and_no_more(tmp_path: Path) -> None:
    """However long and many they are; too few of them are too few."""
    assert known_size(tmp_path, bitmap(4, 3, b"\4\1\0\0" * 50_000 + b"\0\1")) == (4, 3)
    assert "beyond the picture" in fault(tmp_path, bitmap(4, 3, b"\xff\1\0\0" * 50_000 + b"\0\1")).reason
    assert "damaged file" in fault(tmp_path, bitmap(9000, 9000, b"\0\1")).reason


def known_size(folder: Path, content: bytes) -> tuple[int, int]:
    """The size of what is shown."""
    return seen(folder, content).image.size


def pages(count: int) -> bytes:
    """A TIFF of so many pages, all of the same pixels."""
    content = tiff(np.full((16, 16, 3), 90, np.uint8), photometric=2)
    length = 2 + 12 * int.from_bytes(content[8:10], "little")
    page = content[8 : 8 + length]
    starts = [8, *range(len(content), len(content) + (count - 1) * (length + 4), length + 4), 0]
    links = [struct.pack("<I", at) for at in starts[1:]]
    return content[: 8 + length] + links[0] + content[12 + length :] + b"".join(page + link for link in links[1:])


def several(kind: str, count: int) -> bytes:
    """A file of so many pictures."""
    if kind == "TIFF":
        return pages(count)
    frames = [Image.new("RGB", (16, 16), (n % 256, n // 256, 90)) for n in range(count)]
    if kind == "GIF":
        frames = [scene(16, 16, seed=n).quantize(8) for n in range(count)]
    buffer = BytesIO()
    if kind == "HEIC":
        heif = pillow_heif.HeifFile()  # type: ignore[no-untyped-call]
        for frame in frames:
            heif.add_from_pillow(frame)
        heif.save(buffer, quality=10)
    else:
        frames[0].save(buffer, kind, save_all=True, append_images=frames[1:])
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("kind", "count"), [("GIF", 300), ("WEBP", 300), ("PNG", 100), ("TIFF", 1500), ("AVIF", 20), ("HEIC", 20)]
)
def test_of_many_pictures_in_one_file_the_first_is_shown(kind: str, count: int, tmp_path: Path) -> None:
    """It says so; further frames of a PNG are cut off before it is decoded, and no program shows them as pages."""
    picture = seen(tmp_path, several(kind, count))
    assert picture.image.size == (16, 16)
    told = {"TIFF": ["picture.page"], "PNG": []}.get(kind, ["picture.first_of_several"])
    assert [note.key for note in picture.notes] == told
    if kind == "TIFF":
        assert dict(picture.notes[0].values)["pages"] == count


def test_a_text_or_profile_that_unpacks_to_more_than_memory_holds_is_left_packed(tmp_path: Path) -> None:
    """40 MB of zeros, packed to 40 kB: of a text nothing is unpacked, of a profile a megabyte."""
    packer = zlib.compressobj(9)
    packed = b"".join(packer.compress(bytes(10_000_000)) for _ in range(4)) + packer.flush()
    for name in (b"zTXt", b"iCCP"):
        content = PNG[:PIXELS] + chunk(name, b"a\0\0" + packed) + PNG[PIXELS:]
        with measured(most_bytes=20_000_000):
            assert known_size(tmp_path, content) == (40, 30)


class measured:
    """Within it at most so much memory is taken, and so much of the processor's time."""

    def __init__(self, *, most_bytes: int, seconds: float = 5.0) -> None:
        self.most_bytes, self.seconds = most_bytes, seconds
        self.start = 0.0

    def __enter__(self) -> None:
        tracemalloc.start()
        self.start = time.process_time()

    def __exit__(self, *told: object) -> None:
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert peak < self.most_bytes
        assert time.process_time() - self.start < self.seconds


PADDED = {
    "bytes that fill": JPEG[:2] + b"\xff" * 4_000_000 + JPEG[2:],
    "stuffed bytes": JPEG[:-2] + b"\xff\0" * 2_000_000 + JPEG[-2:],
    "restarts": JPEG[:-2] + b"\xff\xd0" * 2_000_000 + JPEG[-2:],
}


@pytest.mark.parametrize("content", PADDED.values(), ids=PADDED)
def test_a_jpeg_full_of_what_means_nothing_is_read_at_once(content: bytes) -> None:
    """Byte by byte it took a second for 4 MB, in the build's own process."""
    with measured(most_bytes=3 * len(content), seconds=0.3):
        assert read_jpeg(content).stored.width == 40


def test_more_segments_or_chunks_than_a_picture_has_are_refused(tmp_path: Path) -> None:
    """Each would be kept: a file of 20 MB took 700."""
    many = fault(tmp_path, JPEG[:2] + segment(0xDB, b"") * 100_001 + JPEG[2:])
    assert many.reason == "a JPEG of more than 100000 segments, which isn't read" and many.hint
    webp = encoded(scene(40, 30), "WEBP", exif=exif(1)) + b"abcd\0\0\0\0" * 100_001
    many = fault(tmp_path, webp[:4] + struct.pack("<I", len(webp) - 8) + webp[8:])
    assert many.reason == "a WebP of more than 100000 chunks, which isn't read" and many.hint
    many = fault(tmp_path, PNG[:PIXELS] + (bytes(4) + SECRET[:4] + bytes(4)) * 1_000_001 + PNG[PIXELS:])
    assert many.reason == "a PNG of more than 1000000 chunks, which isn't read" and many.hint


def test_a_jpeg_of_two_frames_is_refused(tmp_path: Path) -> None:
    """Its decoders don't agree on which of them is shown."""
    at = JPEG.index(b"\xff\xc0")
    frame = JPEG[at : at + 2 + int.from_bytes(JPEG[at + 2 : at + 4], "big")]
    found = fault(tmp_path, JPEG[:at] + frame + JPEG[at:])
    assert found.reason == "a JPEG of several layers, which isn't read" and found.hint


def test_pieces_of_a_png_that_follow_each_other_are_one() -> None:
    """However many they are; what lies between is still left out."""
    end = PNG.rindex(b"IEND") - 4
    content = PNG[:end] + chunk(b"IDAT", b"") * 999 + chunk(b"tEXt", SECRET) + PNG[end:]
    found = read_png(content)
    assert len(found.kept) <= 3
    clean = found.stripped(content)
    assert isinstance(clean, bytes) and SECRET not in clean and clean.count(b"IDAT") == 1000


def overlapping() -> bytes:
    """A TIFF of 60 kB whose directories lie over each other, so that a thousand have four thousand entries each."""
    body = bytearray(2 + 4096 * 12 + 12 * 1000)
    for at in range(0, len(body) - 12, 12):
        body[at : at + 4] = struct.pack("<HH", 4096 if at < 12_000 else at % 65_536, 1)
    for at in range(2 + 4096 * 12, len(body) - 12, 12):
        body[at : at + 4] = struct.pack("<I", 8 + at - 4096 * 12 - 2 + 12)
    return b"II*\0" + struct.pack("<I", 8) + bytes(body)


def test_pages_that_lie_over_each_other_come_to_an_end(tmp_path: Path) -> None:
    """They took five seconds for a file of 60 kB; a file of too many pages says what to do as well."""
    start = time.process_time()
    found = fault(tmp_path, overlapping())
    assert time.process_time() - start < 2
    assert "pages, or of more than 200000 tags in them, which isn't read" in found.reason
    assert found.hint == "save the page to be shown by itself"


def test_a_tiff_in_too_many_parts_is_refused(tmp_path: Path) -> None:
    """A row of one pixel each: the reading library took minutes."""
    page = bytearray(tiff(np.zeros((2, 2), np.uint8)))
    at = page.index(struct.pack("<HHI", 273, 4, 1))
    page[at + 4 : at + 8] = struct.pack("<I", 300_001)
    found = fault(tmp_path, bytes(page) + bytes(1_300_000))
    assert found.reason == "a TIFF of 300001 strips or tiles, more than the 300000 that are read" and found.hint


def described(text: str) -> bytes:
    return encoded(scene(40, 30), "TIFF", description=text)


@pytest.mark.parametrize(
    "text", ["unit=" + " " * 60_000 + "x", "<OME>" + "<a>" * 100_000, "unit=" + "\t " * 30_000 + "\n"]
)
def test_a_description_made_to_harm_is_read_at_once(text: str, tmp_path: Path) -> None:
    """Spaces that a pattern would try in all ways, elements one within another: no scale, and no time or memory."""
    page = first_directory(described(text))
    with measured(most_bytes=2_000_000, seconds=1):
        assert written_scales(page, known(save(tmp_path, described(text))).stored) == ()


def save(folder: Path, content: bytes) -> Path:
    (folder / "picture").write_bytes(content)
    return folder / "picture"
