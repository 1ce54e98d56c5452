"""Nothing but pixels leaves: no place of any kind of file carries a word, a place or a small picture across."""

import json
import shutil
import struct
import subprocess
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms, TiffImagePlugin
from PIL.PngImagePlugin import PngInfo

from portal.pictures.derive import Crop, Whole
from tests.pictures.make import SECRET, derived, dirty_jpeg, encoded, exif, pixels, profile, scene, tiff

WANTS = (Whole(), Whole(2), Crop((4, 4, 60, 60)))
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()

NEEDED = {0xC0, 0xC1, 0xC2, 0xC4, 0xDB, 0xDD, 0xDA}
"""Frames, tables, restart interval, scan."""

PLAIN_JFIF = b"JFIF\0\1\1\0\0\1\0\1\0\0"
PLAIN_ADOBE = b"Adobe\0\x64\0\0\0\0\0"


def dirty_png() -> bytes:
    """A PNG with a secret in texts, comment, Exif, XMP and after its end."""
    texts = PngInfo()
    texts.add_text("Comment", SECRET.decode())
    texts.add_text("Author", SECRET.decode() * 9, zip=True)
    texts.add_itxt("XML:com.adobe.xmp", SECRET.decode())
    return encoded(scene(), "PNG", pnginfo=texts, exif=secret_exif()) + SECRET


def secret_exif() -> Image.Exif:
    """An Exif block with a secret."""
    block = exif(6)
    block[0x013B] = SECRET.decode()
    return block


def dirty_heic() -> bytes:
    """A HEIC with a secret in Exif and XMP."""
    buffer = BytesIO()
    block = secret_exif().tobytes()
    pillow_heif.encode("RGB", scene().size, scene().tobytes(), buffer, exif=block, xmp=SECRET)
    return buffer.getvalue()


def told_profile() -> bytes:
    """A colour profile that names its maker."""
    made = profile(((0.61, 0.31, 0.02), (0.2, 0.63, 0.07), (0.15, 0.06, 0.74)), 2.2, padding=64)
    return made.replace(b"data" + bytes(64), (b"data" + SECRET).ljust(68, b"\0"))


def dirty_bitmap(width: int = 96, height: int = 64) -> bytes:
    """A BMP with a secret between its header and its pixels, and behind them."""
    plain = encoded(scene(width, height), "BMP")
    at = int.from_bytes(plain[10:14], "little")
    return plain[:10] + struct.pack("<I", at + len(SECRET)) + plain[14:at] + SECRET + plain[at:] + SECRET


def private_tiff(width: int = 96, height: int = 64) -> bytes:
    """A TIFF with tags of a maker's own."""
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[65_000], tags[34_377], tags[700] = SECRET.decode(), SECRET, SECRET
    tags.tagtype[34_377] = tags.tagtype[700] = 7
    return encoded(scene(width, height), "TIFF", tiffinfo=tags, icc_profile=told_profile())


def archive() -> bytes:
    """What some programs put behind a picture."""
    buffer = BytesIO()
    with ZipFile(buffer, "w") as packed:
        packed.writestr(SECRET.decode(), SECRET)
    return buffer.getvalue()


DIRTY = {
    "JPEG, profile that tells": encoded(scene(), "JPEG", icc_profile=told_profile()),
    "PNG, profile that tells": encoded(scene(), "PNG", icc_profile=told_profile()) + archive(),
    "WebP, profile that tells": encoded(scene(), "WEBP", icc_profile=told_profile()) + archive(),
    "JPEG, an archive behind": encoded(scene(), "JPEG") + archive(),
    "JPEG, words of two bytes": encoded(scene(), "JPEG", comment=SECRET.decode().encode("utf-16")) + SECRET,
    "BMP": dirty_bitmap(),
    "TIFF, tags of its maker": private_tiff(),
    "JPEG": dirty_jpeg(scene()),
    "JPEG, progressive": dirty_jpeg(scene(), progressive=True),
    "JPEG, red green blue": dirty_jpeg(scene(), keep_rgb=True),
    "JPEG, grey": dirty_jpeg(scene().convert("L")),
    "JPEG, turned": dirty_jpeg(scene(), orientation=6),
    "JPEG, four inks": dirty_jpeg(scene().convert("CMYK")),
    "JPEG, profile as good as none": dirty_jpeg(scene(), icc_profile=SRGB),
    "PNG": dirty_png(),
    "TIFF": encoded(scene(), "TIFF", exif=secret_exif(), description=SECRET.decode(), software=SECRET.decode()),
    "TIFF, deep": tiff(np.arange(64 * 64, dtype=np.uint16).reshape(64, 64)) + SECRET,
    "WebP": encoded(scene(), "WEBP", exif=secret_exif(), xmp=SECRET),
    "AVIF": encoded(scene(), "AVIF", exif=secret_exif(), xmp=SECRET),
    "HEIC": dirty_heic(),
    "GIF": encoded(scene().quantize(200), "GIF", comment=SECRET),
}


def parts(content: bytes) -> list[tuple[int, bytes]]:
    """Marker and payload of each segment of a JPEG; written for this test, after ITU-T T.81 annex B."""
    found, at = [], 2
    assert content[:2] == b"\xff\xd8"
    while content[at : at + 2] != b"\xff\xd9":
        marker, size = content[at + 1], int.from_bytes(content[at + 2 : at + 4], "big")
        assert content[at] == 0xFF
        found.append((marker, content[at + 4 : at + 2 + size]))
        at += 2 + size
        if marker == 0xDA:
            while content[at] != 0xFF or content[at + 1] == 0 or 0xD0 <= content[at + 1] <= 0xD7:
                at += 1
    assert at + 2 == len(content), "nothing follows the end"
    return found


@pytest.mark.parametrize("content", DIRTY.values(), ids=DIRTY)
def test_every_derived_file_holds_pixels_and_nothing_else(content: bytes, tmp_path: Path) -> None:
    """Full size, divided and cropped: only the segments a decoder needs, ending with the end."""
    assert SECRET in content
    for each in derived(tmp_path, content, *WANTS):
        written = (tmp_path / "out" / each.name).read_bytes()
        assert not any(SECRET.decode().encode(way) in written for way in ("utf-8", "utf-16-le", "utf-16-be"))
        for marker, payload in parts(written):
            assert marker in NEEDED or (marker, payload) in {(0xE0, PLAIN_JFIF), (0xEE, PLAIN_ADOBE)}


@pytest.mark.parametrize("content", DIRTY.values(), ids=DIRTY)
def test_another_program_finds_nothing_of_the_original(content: bytes, tmp_path: Path) -> None:
    """Outside check: exiftool tells only what belongs to any file, and the density of 1:1 without a unit."""
    tool = shutil.which("exiftool")
    if tool is None:
        pytest.skip("exiftool is not installed")
    names = [str(tmp_path / "out" / each.name) for each in derived(tmp_path, content, *WANTS)]
    run = subprocess.run([tool, "-j", "-G1", "-a", "-u", "-ee", *names], capture_output=True, check=True)
    for found in json.loads(run.stdout):
        rest = {tag: value for tag, value in found.items() if not tag.startswith(("System:", "ExifTool:"))}
        assert set(rest) <= PLAIN_TAGS, rest
        assert rest.get("JFIF:XResolution", 1) == 1
        assert rest.get("JFIF:ResolutionUnit", "None") == "None"


PLAIN_TAGS = {
    "SourceFile",
    *(f"File:{tag}" for tag in ("FileType", "FileTypeExtension", "MIMEType", "ImageWidth", "ImageHeight")),
    *(f"File:{tag}" for tag in ("EncodingProcess", "BitsPerSample", "ColorComponents", "YCbCrSubSampling")),
    *(f"JFIF:{tag}" for tag in ("JFIFVersion", "ResolutionUnit", "XResolution", "YResolution")),
    *(f"Adobe:{tag}" for tag in ("DCTEncodeVersion", "APP14Flags0", "APP14Flags1", "ColorTransform")),
    *(f"Composite:{tag}" for tag in ("ImageSize", "Megapixels")),
}


def test_another_program_would_see_what_is_there() -> None:
    """The tags that are allowed name no text, no place, no time, no maker and no small picture."""
    forbidden = ("Comment", "GPS", "Date", "Make", "Model", "Thumbnail", "Preview", "Profile", "Artist", "Software")
    assert not [tag for tag in PLAIN_TAGS for word in forbidden if word in tag]


def test_a_jpeg_is_stripped_and_not_coded_again(tmp_path: Path) -> None:
    """Also one whose profile changes no colour: its pixels are exactly the original's."""
    content = DIRTY["JPEG, profile as good as none"]
    (full,) = derived(tmp_path, content, Whole())
    assert np.array_equal(pixels(tmp_path / "out" / full.name), pixels(tmp_path / "picture"))


def test_the_name_of_the_original_is_in_no_derived_file(tmp_path: Path) -> None:
    """Camera file names tell dates and counts."""
    (full,) = derived(tmp_path, DIRTY["PNG"], Whole())
    assert b"picture" not in (tmp_path / "out" / full.name).read_bytes()
