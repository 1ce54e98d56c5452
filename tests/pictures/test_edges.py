"""At the border of what is believed of a file's header: one byte, one mark, one brand more or less."""

import struct
import zlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.model.picture import PictureFacts
from portal.model.scalars import Frame
from portal.pictures.derive import Whole
from portal.pictures.facts import read_facts
from portal.pictures.header import read_header
from portal.pictures.ifd import Directory, Entry, first_directory
from portal.pictures.jpeg import Inks, read_jpeg
from portal.pictures.kinds import Kind, MovieKind, sniff, sniff_movie
from portal.pictures.upright import upright
from portal.pictures.webp import read_webp
from portal.problem import PortalError
from tests.pictures.make import (
    chunk,
    derived,
    encoded,
    exif,
    fault,
    known,
    pixels,
    png,
    profile,
    scene,
    seen,
    tiff,
)


@pytest.mark.parametrize(("missing", "told"), [(0, (1, 2, 3)), (1, ()), (4, ()), (12, ())])
def test_numbers_of_which_some_are_missing_are_none(missing: int, told: tuple[int, ...]) -> None:
    """A count that a file can't hold costs neither time nor memory."""
    data = bytes(8) + struct.pack("<III", 1, 2, 3)
    directory = Directory(data[: len(data) - missing], 8, "little", False, {273: Entry(4, 3, 8)}, 0, 1)
    assert directory.numbers(273) == told


@pytest.mark.parametrize(("more", "refused"), [(0, False), (1, True), (2**31, True)])
def test_tags_may_say_to_be_a_little_larger_than_the_file_and_no_more(more: int, refused: bool, tmp_path: Path) -> None:
    """Some writers count a tag's padding; the reading library would ask for the memory that a count names."""
    content = bytearray(tiff(np.full((8, 8), 90, np.uint8), tags=[(65_000, 0)]))
    at = content.index(struct.pack("<HHI", 65_000, 3, 1))
    entries = first_directory(bytes(content)).entries
    rest = sum(entry.size for tag, entry in entries.items() if tag != 65_000)
    struct.pack_into("<HI", content, at + 2, 7, len(content) + 4096 - rest + more)
    if refused:
        assert fault(tmp_path, bytes(content)).reason == "damaged file: its tags say they are larger than the file"
    else:
        assert seen(tmp_path, bytes(content)).image.getpixel((4, 4)) == 90


@pytest.mark.parametrize("options", [{}, {"exif": exif(6)}], ids=["plain", "extended"])
def test_a_webp_is_whole_or_ends_early(options: dict[str, Image.Exif], tmp_path: Path) -> None:
    """By what its header says, before its decoder is asked; bytes behind it are none of it."""
    content = encoded(scene(40, 30), "WEBP", **options)
    assert (read_webp(content).stored.width, read_webp(content + b"more").stored.height) == (40, 30)
    for missing in (1, 2, 7, 8, 9, len(content) // 2):
        with pytest.raises(PortalError, match="ends early"):
            read_webp(content[:-missing])
        assert fault(tmp_path, content[:-missing]).reason == "damaged file: ends early"


def test_of_two_exif_blocks_of_a_png_the_first_counts(tmp_path: Path) -> None:
    """There may be one; a program that adds its own at the end doesn't turn the picture."""
    plain = encoded(scene(40, 30), "PNG", exif=exif(6))
    late = chunk(b"eXIf", exif(3).tobytes().removeprefix(b"Exif\0\0"))
    (tmp_path / "a").write_bytes(plain[:-12] + late + plain[-12:])
    assert known(tmp_path / "a").orientation == 6


def named(content: bytes, names: bytes) -> bytes:
    """A JPEG of three colours under other names, in its frame and its scan."""
    frame, scan = content.index(b"\xff\xc0"), content.index(b"\xff\xda")
    changed = bytearray(content)
    changed[frame + 10 : frame + 19 : 3] = changed[scan + 5 : scan + 11 : 2] = names
    return bytes(changed)


RGB = encoded(scene(), "JPEG", keep_rgb=True, quality=97)
MARK = RGB[RGB.index(b"\xff\xee") :][:16]
JFIF = encoded(scene(), "JPEG")[2:20]


@pytest.mark.parametrize(
    ("names", "marks", "inks"),
    [
        (b"RGB", MARK, Inks.RGB),
        (b"\1\2\3", MARK, Inks.RGB),
        (b"RGB", b"", Inks.RGB),
        (b"\1\2\3", b"", Inks.YCC),
        (b"RGB", MARK[:-1] + b"\1", Inks.YCC),
        (b"RGB", JFIF + MARK, Inks.YCC),
    ],
)
def test_what_three_colours_stand_for_is_what_the_reading_library_takes_them_for(
    names: bytes, marks: bytes, inks: Inks, tmp_path: Path
) -> None:
    """The copy that leaves has one mark, by which its colours are those of the original."""
    assert RGB.count(MARK) == 1 and MARK[4:9] == b"Adobe" and MARK[-1] == 0 and JFIF[4:9] == b"JFIF\0"
    content = named(RGB[:2] + marks + RGB[2:].replace(MARK, b""), names)
    assert read_jpeg(content).inks is inks
    (full,) = derived(tmp_path, content, Whole())
    assert np.array_equal(pixels(tmp_path / "out" / full.name), pixels(tmp_path / "picture"))


@pytest.mark.parametrize("coding", [0xC9, 0xCA])
def test_a_jpeg_of_arithmetic_codes_is_coded_anew(coding: int, tmp_path: Path) -> None:
    """No browser shows it. Its decoder makes the rest of it up on purpose, so that any bits are whole."""
    plain = encoded(Image.new("L", (24, 16), 200), "JPEG")
    frame = plain.index(b"\xff\xc0")
    content = plain[: frame + 1] + bytes((coding,)) + plain[frame + 2 :]
    if coding == 0xCA:
        end = content.index(b"\xff\xda") + 7
        content = content[:end] + b"\0\0\0" + content[end + 3 :]  # the means alone
    (full,) = derived(tmp_path, content, Whole())
    written = tmp_path / "out" / full.name
    assert read_jpeg(written.read_bytes()).coding == 0xC0
    assert np.abs(pixels(written).astype(int) - pixels(tmp_path / "picture")).max() <= 3


@pytest.mark.parametrize(
    ("brands", "kind"),
    [
        *((each, Kind.AVIF) for each in (b"avif", b"avis", b"mif1avif", b"msf1avis", b"heicavif")),
        *((each, Kind.HEIC) for each in (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1")),
        *((each, None) for each in (b"isom", b"mp41avc1", b"qt  ", b"M4V isom")),
    ],
)
def test_a_brand_tells_a_picture_from_a_movie(brands: bytes, kind: Kind | None) -> None:
    """Wherever it stands among those that a file names; several pictures that move are no movie either."""
    for found in ([brands[at : at + 4] for at in range(0, len(brands), 4)], [b"none", brands[:4], brands[4:]]):
        box = b"ftyp" + found[0] + bytes(4) + b"".join(found[1:])
        head = struct.pack(">I", len(box) + 4) + box + b"\0\0\0\x08free"
        assert sniff(head) is kind
        assert sniff_movie(head) is (None if kind else MovieKind.ISO)
    beyond = struct.pack(">I", 16) + b"ftypisom" + bytes(4) + brands
    assert sniff(beyond) is None, "it stands behind the box"


def test_a_jpeg_with_too_few_bits_is_refused_before_it_is_decoded() -> None:
    """A frame of 225 megapixels that a few bytes claim costs no memory: two bits for each block are the fewest."""
    plain = encoded(scene(), "JPEG")
    lies = plain.replace(struct.pack(">HH", 64, 96), struct.pack(">HH", 15_000, 15_000), 1)
    with pytest.raises(PortalError, match="ends early"):
        read_header(lies)
    found = read_jpeg(plain)
    (scan,) = (each for each in found.kept if each.marker == 0xDA)
    most = 4 * (scan.end - scan.start)
    for blocks, early in ((most, False), (most + 1, True)):
        assert replace(found, stored=Frame(64, blocks)).ends_early is early


DEEP = np.full((8, 8), 900, np.uint16)
PROFILE = profile(((0.61, 0.31, 0.02), (0.2, 0.63, 0.07), (0.15, 0.06, 0.74)), 2.2)


@pytest.mark.parametrize(
    ("content", "unranged"),
    [
        (png(DEEP), True),
        (png(DEEP, extra=chunk(b"iCCP", b"a\0\0" + zlib.compress(PROFILE))), False),
        (png(DEEP, extra=chunk(b"iCCP", b"a\0\0" + zlib.compress(bytes(1_000_001)))), True),
        (encoded(scene(8, 8), "PNG"), False),
        (tiff(DEEP), True),
        (tiff(DEEP, tags=[(258, 12)]), False),
        (tiff(DEEP, tags=[(34_675, 0)]), False),
        (tiff(DEEP.astype(np.float32)), True),
        (tiff(DEEP.astype(np.uint8)), False),
    ],
)
def test_a_deep_picture_without_a_range_is_known_by_its_header(content: bytes, unranged: bool, tmp_path: Path) -> None:
    """16 bits and more, unless a profile says that all of them are meant; one that is too large says nothing."""
    (tmp_path / "a").write_bytes(content)
    found = read_facts(tmp_path / "a", ranges=False)
    assert isinstance(found, PictureFacts) and found.is_unranged is unranged


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "BMP", "GIF", "AVIF"])
def test_pixels_of_another_size_than_a_header_says_are_not_shown(kind: str, tmp_path: Path) -> None:
    """What was drawn on them would lie elsewhere."""
    content = encoded(scene(40, 30), kind)
    (tmp_path / "a").write_bytes(content)
    facts = known(tmp_path / "a")
    assert upright(content, facts).image.size == (40, 30)
    for width, height in ((40, 31), (39, 30), (30, 40)):
        with pytest.raises(PortalError, match="its header and its pixels differ in size"):
            upright(content, replace(facts, stored=Frame(width, height)))
