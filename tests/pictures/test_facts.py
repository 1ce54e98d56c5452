"""What a picture's file says of itself, told by its content."""

import hashlib
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.scalars import Frame, read_moment
from portal.pictures.derive import Whole, derive
from portal.pictures.facts import read_facts
from portal.pictures.jpeg import segments
from tests.pictures.make import Order, chunk, encoded, exif, fault, known, png, scene, seen, segment, tiff

GREY = np.full((16, 24), 900, np.uint16)


def facts_of(folder: Path, content: bytes, name: str = "picture") -> PictureFacts:
    """The facts of a file's content."""
    (folder / name).write_bytes(content)
    return known(folder / name)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF"])
def test_the_content_tells_the_kind_and_not_the_name(form: str, tmp_path: Path) -> None:
    """Any kind is read under the ending of another."""
    content = encoded(scene(40, 30), form)
    found = facts_of(tmp_path, content, "picture.tif" if form != "TIFF" else "picture.jpg")
    assert found == PictureFacts(sha256=hashlib.sha256(content).hexdigest(), stored=Frame(40, 30))


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_orientation_time_and_declared_size_come_from_exif(form: str, tmp_path: Path) -> None:
    """The time stays as the camera wrote it; the declared size is told where it differs: a resized copy."""
    block = exif(6, taken="2026:03:04 15:12:07", size=(4000, 3000))
    found = facts_of(tmp_path, encoded(scene(40, 30), form, exif=block))
    assert (found.orientation, found.taken, found.declared) == (6, "2026-03-04T15:12:07", Frame(4000, 3000))
    assert (found.stored, found.upright) == (Frame(40, 30), Frame(30, 40))


@pytest.mark.parametrize("order", ["little", "big"])
def test_a_tiff_may_have_an_exif_directory_too(order: Order, tmp_path: Path) -> None:
    """Its own tag gives the orientation, the directory it points to the time and the size."""
    sign, offset = ("<" if order == "little" else ">"), len(tiff(GREY, tags=[(0x8769, 0), (274, 8)]))
    time = struct.pack(sign + "HHII", 0x9003, 2, 20, offset + 42)
    sizes = struct.pack(sign + "HHIHH", 0xA002, 3, 1, 4000, 0) + struct.pack(sign + "HHII", 0xA003, 4, 1, 3000)
    directory = struct.pack(sign + "H", 3) + time + sizes + bytes(4) + b"2026:03:04 15:12:07\0"
    found = facts_of(tmp_path, tiff(GREY, order=order, tags=[(0x8769, offset), (274, 8)]) + directory)
    assert (found.orientation, found.taken, found.declared) == (8, "2026-03-04T15:12:07", Frame(4000, 3000))


def test_a_tiff_with_long_offsets_is_read(tmp_path: Path) -> None:
    """The layout for files above 4 GB, used by some cameras for all."""
    content = encoded(scene(40, 30), "TIFF", big_tiff=True, exif=exif(6))
    assert content[:4] == b"II+\0"
    found = facts_of(tmp_path, content)
    assert (found.stored, found.orientation) == (Frame(40, 30), 6)
    assert np.array_equal(np.asarray(seen(tmp_path, content).image.rotate(90, expand=True)), np.asarray(scene(40, 30)))


def test_an_offset_is_kept_where_the_camera_gave_one(tmp_path: Path) -> None:
    """The time isn't shifted by it, and can be read as a moment."""
    block = exif(taken="2026:03:04 23:59:59", offset="-05:00")
    taken = facts_of(tmp_path, encoded(scene(), "JPEG", exif=block)).taken
    assert taken == "2026-03-04T23:59:59-05:00"
    assert read_moment(taken).day.isoformat() == "2026-03-04"


@pytest.mark.parametrize(
    "taken", ["0000:00:00 00:00:00", "2026:13:04 15:12:07", "    :  :     :  :  ", "yesterday", "2026"]
)
def test_a_time_that_is_none_is_left_out(taken: str, tmp_path: Path) -> None:
    """Cameras whose clock was never set write zeros or blanks."""
    assert facts_of(tmp_path, encoded(scene(), "JPEG", exif=exif(taken=taken))).taken is None


def test_a_declared_size_that_is_the_stored_one_is_not_told(tmp_path: Path) -> None:
    """Only a difference is worth a word."""
    assert facts_of(tmp_path, encoded(scene(40, 30), "JPEG", exif=exif(size=(40, 30)))).declared is None


def test_orientation_in_xmp_alone_is_not_followed(tmp_path: Path) -> None:
    """Browsers don't either; following it would turn what everybody else sees as it is stored."""
    xmp = b'<x:xmpmeta><rdf:Description tiff:Orientation="6"/></x:xmpmeta>'
    content = encoded(scene(40, 30), "JPEG", xmp=xmp)
    assert xmp in content
    assert facts_of(tmp_path, content).orientation == 1


def test_orientation_in_xmp_alone_turns_no_tiff(tmp_path: Path) -> None:
    """The reading library would turn it by itself while it decodes."""
    xmp = b'<x:xmpmeta><rdf:Description tiff:Orientation="6"/></x:xmpmeta>'
    content = encoded(scene(40, 30), "TIFF", tiffinfo={700: xmp})
    assert xmp in content
    assert np.array_equal(np.asarray(seen(tmp_path, content).image), np.asarray(scene(40, 30)))


def test_exif_of_a_png_is_found_after_its_pixels(tmp_path: Path) -> None:
    """The chunk may stand anywhere."""
    plain = encoded(scene(40, 30), "PNG")
    late = chunk(b"eXIf", exif(8).tobytes().removeprefix(b"Exif\0\0"))
    assert facts_of(tmp_path, plain[:-12] + late + plain[-12:]).orientation == 8


def test_a_crafted_count_costs_nothing_and_hides_nothing(tmp_path: Path) -> None:
    """A maker's note of a thousand million values beside an orientation: the orientation is read."""
    note = struct.pack("<HHII", 0x927C, 7, 1_000_000_000, 8)
    block = b"II*\0\x08\0\0\0" + struct.pack("<H", 2) + struct.pack("<HHIHH", 0x0112, 3, 1, 3, 0) + note + bytes(4)
    plain = encoded(scene(), "JPEG")
    assert facts_of(tmp_path, plain[:2] + segment(0xE1, b"Exif\0\0" + block) + plain[2:]).orientation == 3


@pytest.mark.parametrize(
    "block", [b"", b"II", b"II*\0\xff\xff\xff\xff", b"MM\0*\0\0\0\x08\xff\xff" + bytes(60), b"XX*\0" + bytes(40)]
)
def test_a_broken_exif_block_leaves_the_picture_readable(block: bytes, tmp_path: Path) -> None:
    """Then nothing is known of it but its frame."""
    plain = encoded(scene(40, 30), "JPEG")
    found = facts_of(tmp_path, plain[:2] + segment(0xE1, b"Exif\0\0" + block) + plain[2:])
    assert (found.stored, found.orientation, found.taken) == (Frame(40, 30), 1, None)


def test_an_exif_directory_that_points_at_itself_is_read_once(tmp_path: Path) -> None:
    """A ring of directories has an end."""
    ring = b"II*\0\x08\0\0\0" + struct.pack("<HHHII", 1, 0x8769, 4, 1, 8) + struct.pack("<I", 8)
    plain = encoded(scene(), "JPEG")
    assert facts_of(tmp_path, plain[:2] + segment(0xE1, b"Exif\0\0" + ring) + plain[2:]).orientation == 1


def test_a_tiff_whose_pages_go_in_a_ring_has_the_pages_it_has(tmp_path: Path) -> None:
    """A page that names itself as the next is one page."""
    content = bytearray(tiff(GREY))
    after = 8 + 2 + 12 * int.from_bytes(content[8:10], "little")
    content[after : after + 4] = (8).to_bytes(4, "little")
    assert seen(tmp_path, bytes(content)).notes == seen(tmp_path, tiff(GREY)).notes


def test_the_first_of_several_jpeg_pictures_is_the_picture(tmp_path: Path) -> None:
    """A camera's file of two pictures is read as its first."""
    first, second = encoded(scene(40, 30), "JPEG"), encoded(scene(80, 60), "JPEG")
    assert facts_of(tmp_path, first + second).stored == Frame(40, 30)


def huge_png() -> bytes:
    """A PNG of a few bytes that says it has 3600 megapixels."""
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0))
        + chunk(b"IEND", b"")
    )


def huge_jpeg() -> bytes:
    """A JPEG whose frame was set to 65535 x 65535."""
    plain = encoded(scene(40, 30), "JPEG")
    return plain.replace(struct.pack(">HH", 30, 40), struct.pack(">HH", 65_535, 65_535), 1)


def huge_tiff() -> bytes:
    """A TIFF that says it has 60000 rows and columns."""
    return tiff(np.zeros((2, 2), np.uint8), tags=[(256, 60_000), (257, 60_000)])


def huge_webp() -> bytes:
    """A WebP that says its canvas has 16384 rows and columns, which its decoder would make room for at once."""
    plain = encoded(scene(40, 30), "WEBP", exif=exif(1))
    return plain.replace(b"\x27\0\0\x1d\0\0", b"\xff\x3f\0\xff\x3f\0", 1)


HUGE = {"PNG": huge_png(), "JPEG": huge_jpeg(), "TIFF": huge_tiff(), "WebP": huge_webp()}


@pytest.mark.parametrize("content", HUGE.values(), ids=HUGE)
def test_a_picture_too_large_is_refused_by_its_header(content: bytes, tmp_path: Path) -> None:
    """The reason names both sizes, the hint what to do; no pixel is decoded."""
    found = fault(tmp_path, content)
    assert "more than the 250 that are read" in found.reason
    assert found.hint == "save a smaller picture, or a part of it at full size"


def test_a_tiff_whose_tiles_are_too_large_is_refused(tmp_path: Path) -> None:
    """A small frame doesn't hide a tile that would fill the memory."""
    content = tiff(np.zeros((2, 2), np.uint8), tags=[(322, 60_000), (323, 60_000)])
    assert "more than the 250 that are read" in fault(tmp_path, content).reason


def test_the_limit_can_be_set(tmp_path: Path) -> None:
    """A picture just within it is read, one just above isn't."""
    (tmp_path / "a").write_bytes(encoded(Image.new("L", (1000, 500)), "PNG"))
    assert isinstance(read_facts(tmp_path / "a", megapixels=0.5), PictureFacts)
    assert isinstance(read_facts(tmp_path / "a", megapixels=0.499), PictureUnreadable)


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "this is an empty file, which isn't read"),
        (b"%PDF-1.7", "this is a PDF document, which isn't read"),
        (b"just text", "this is no picture of a known kind, which isn't read"),
    ],
)
def test_another_kind_of_file_is_named(content: bytes, what: str, tmp_path: Path) -> None:
    """The reason says what it is, the hint what would be read."""
    assert fault(tmp_path, content) == PictureUnreadable(what, "save it as 8- or 16-bit TIFF, PNG or JPEG")


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"OggS\0\2" + bytes(80), "a movie in Ogg"),
        (b"\x06\x0e\x2b\x34\x02\x05\1\1\x0d\1\2" + bytes(80), "a movie in MXF"),
        (b"YUV4MPEG2 W64 H48 F25:1\nFRAME\n", "a movie in YUV4MPEG2"),
        (b"\0\0\0\1\x67\x42\0\x1e", "a movie without a file around it"),
        (b"\0\0\0\1\x40\1\x0c\1", "a movie without a file around it"),
        (b"\0\0\1\xb3\x04\0\x30\x15", "a movie without a file around it"),
    ],
)
def test_a_movie_of_a_kind_that_is_not_read_is_named_and_is_to_be_saved_as_a_movie(
    content: bytes, what: str, tmp_path: Path
) -> None:
    """How such files begin: RFC 3533; SMPTE ST 377-1; ITU-T H.264, H.265 annex B; H.262; from memory but the first."""
    found = fault(tmp_path, content)
    assert found == PictureUnreadable(f"this is {what}, which isn't read", "save it as MP4 with H.264")


@pytest.mark.parametrize("options", [{}, {"lossless": True}, {"exif": exif(6)}], ids=["lossy", "lossless", "extended"])
def test_the_frame_of_a_webp_is_told_by_its_header(options: dict[str, Any], tmp_path: Path) -> None:
    """In each of its three forms."""
    facts = facts_of(tmp_path, encoded(scene(41, 30), "WEBP", **options))
    assert facts.stored == Frame(41, 30)
    assert facts.orientation == (6 if "exif" in options else 1)


def test_a_bitmap_of_a_form_that_isnt_read_is_not_called_damaged(tmp_path: Path) -> None:
    """Old capture programs wrote colours of 4 bits each."""
    bitmap = bytearray(encoded(scene(8, 8), "BMP"))
    bitmap[28:30], bitmap[30] = b"\x10\0", 3
    found = fault(tmp_path, bytes(bitmap))
    assert found == PictureUnreadable("a BMP of a form that isn't read", "save it as 8- or 16-bit TIFF, PNG or JPEG")


def test_a_missing_file_is_unreadable(tmp_path: Path) -> None:
    """No exception reaches the caller."""
    assert read_facts(tmp_path / "gone.jpg") == PictureUnreadable("can't be opened: No such file or directory")


@pytest.mark.parametrize(
    "content", [encoded(scene(), "JPEG"), encoded(scene(), "PNG"), encoded(scene(), "JPEG", progressive=True)]
)
def test_a_file_that_ends_early_is_told_by_its_header_where_that_is_enough(content: bytes, tmp_path: Path) -> None:
    """However little is missing."""
    for length in (40, len(content) // 2, len(content) - 1):
        assert fault(tmp_path, content[:length]).reason == "damaged file: ends early"


CONTENTS = [
    encoded(scene(24, 16), "JPEG", exif=exif(6, taken="2026:03:04 15:12:07")),
    encoded(scene(24, 16), "PNG", exif=exif(6)),
    encoded(scene(24, 16), "TIFF", exif=exif(6)),
    encoded(scene(24, 16), "WEBP", exif=exif(6)),
    encoded(scene(24, 16), "BMP"),
    encoded(scene(24, 16), "GIF"),
    encoded(scene(24, 16), "AVIF"),
    png(GREY),
    tiff(GREY, order="big"),
]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_content_makes_it_raise(data: st.DataObject, tmp_path: Path) -> None:
    """Bytes changed at random and files cut anywhere give facts or a reason, and so do their pixels."""
    content = bytearray(data.draw(st.sampled_from(CONTENTS)))
    for at in data.draw(st.lists(st.integers(0, min(len(content) - 1, 400)), max_size=6)):
        content[at] = data.draw(st.integers(0, 255))
    path = tmp_path / "picture"
    path.write_bytes(content[: data.draw(st.integers(0, len(content)))])
    facts = read_facts(path, megapixels=1)
    if isinstance(facts, PictureFacts):
        assert isinstance(derive(path, facts, [Whole(2)], tmp_path), tuple | PictureUnreadable)
    else:
        assert facts.reason


def of_many_scans(times: int) -> bytes:
    """A progressive JPEG whose last scan is there so many times more."""
    plain = encoded(scene(), "JPEG", progressive=True)
    last = [each for each in segments(plain) if each.marker == 0xDA][-1]
    return plain[: last.end] + plain[last.start : last.end] * times + plain[last.end :]


def test_a_jpeg_of_too_many_scans_is_refused_before_it_is_decoded(tmp_path: Path) -> None:
    """A decoder goes over the whole picture for each: a small file could take it hours."""
    found = fault(tmp_path, of_many_scans(1000))
    assert "scans, more than the 500 that are read" in found.reason and found.hint
    assert facts_of(tmp_path, of_many_scans(50)).stored == Frame(96, 64)


def test_a_jpeg_with_too_few_bits_for_its_frame_ends_early(tmp_path: Path) -> None:
    """A header that lies, or a file whose end was put behind what a card had kept: the decoder would make up grey."""
    plain = encoded(scene(), "JPEG")
    lies = plain.replace(struct.pack(">HH", 64, 96), struct.pack(">HH", 15_000, 15_000), 1)
    assert fault(tmp_path, lies).reason == "damaged file: ends early"


@pytest.mark.parametrize("options", [{}, {"optimize": True}, {"subsampling": 0}, {"quality": 1}])
def test_the_plainest_jpeg_has_bits_enough(options: dict[str, Any], tmp_path: Path) -> None:
    """One colour all over, coded as short as can be."""
    for mode in ("L", "RGB"):
        facts = facts_of(tmp_path, encoded(Image.new(mode, (1601, 1201), "grey"), "JPEG", **options))
        assert facts.stored == Frame(1601, 1201)
