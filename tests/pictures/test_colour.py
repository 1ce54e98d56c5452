"""Colours as anybody sees them: sRGB, on white, inks the right way round."""

import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from portal.model.say import Say
from portal.pictures.colour import is_srgb
from portal.pictures.derive import Whole
from tests.pictures.make import centres, derived, encoded, profile, scene, seen, segment, swatches, tiff

SRGB = np.array(
    ((0.4360747, 0.3850649, 0.1430804), (0.2225045, 0.7168786, 0.0606169), (0.0139322, 0.0971045, 0.7141733))
)
WIDE = np.array(
    ((0.6097559, 0.2052401, 0.1492240), (0.3111242, 0.6256560, 0.0632197), (0.0194811, 0.0608902, 0.7448387))
)
"""Linear RGB to XYZ under D50 of sRGB and of a wider gamut (Adobe RGB 1998), as B. Lindbloom publishes them (from
memory; each row sums to D50, which `test_the_matrices_make_white` checks)."""

GAMMA = 563 / 256
WIDE_COLOURS = [(255, 255, 255), (128, 128, 128), (0, 0, 0), (200, 120, 90), (90, 140, 110), (110, 100, 170)]


def wide_to_srgb(colours: list[tuple[int, int, int]]) -> NDArray[np.float64]:
    """By hand: power law, both matrices, the transfer curve of IEC 61966-2-1."""
    linear = (np.array(colours) / 255) ** GAMMA @ WIDE.T @ np.linalg.inv(SRGB).T
    curve = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055)
    found: NDArray[np.float64] = np.clip(255 * curve, 0, 255)
    return found


def test_the_matrices_make_white() -> None:
    """Equal parts of the primaries are the white of the profiles, D50: 0.9642, 1, 0.8249 (ICC.1)."""
    for matrix in (SRGB, WIDE):
        assert matrix.sum(axis=1) == pytest.approx([0.9642, 1.0, 0.8249], abs=6e-4)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_a_wide_gamut_is_converted_as_worked_out_by_hand(form: str, tmp_path: Path) -> None:
    """Every kind that carries a profile, within 3 of 255 levels; no profile is left in the file."""
    options = {"lossless": True} if form == "WEBP" else {"quality": 98} if form == "JPEG" else {}
    content = encoded(swatches(WIDE_COLOURS, "RGB"), form, icc_profile=profile([*WIDE.T.tolist()], GAMMA), **options)
    found = centres(seen(tmp_path, content).image, len(WIDE_COLOURS))
    want = wide_to_srgb(WIDE_COLOURS)
    assert np.abs(found - want).max() <= 3
    assert np.abs(want - np.array(WIDE_COLOURS)).max() > 15, "the profile would be seen if it were ignored"


def test_a_profile_in_several_segments_is_put_together(tmp_path: Path) -> None:
    """A segment of a JPEG holds 64 kB; larger profiles come in numbered pieces, here in the wrong order."""
    large = profile([*WIDE.T.tolist()], GAMMA, padding=100_000)
    content = encoded(swatches(WIDE_COLOURS, "RGB"), "JPEG", quality=98)
    pieces = [
        segment(0xE2, b"ICC_PROFILE\0\2\2" + large[60_000:]),
        segment(0xE2, b"ICC_PROFILE\0\1\2" + large[:60_000]),
    ]
    found = seen(tmp_path, content[:2] + b"".join(pieces) + content[2:])
    assert np.abs(centres(found.image, len(WIDE_COLOURS)) - wide_to_srgb(WIDE_COLOURS)).max() <= 3


def test_full_and_divided_files_have_the_same_colours(tmp_path: Path) -> None:
    """The profile isn't lost on the way to a small copy."""
    content = encoded(swatches(WIDE_COLOURS, "RGB"), "JPEG", icc_profile=profile([*WIDE.T.tolist()], GAMMA))
    found = derived(tmp_path, content, Whole(), Whole(4))
    full, small = (Image.open(tmp_path / "out" / each.name) for each in found)
    assert np.abs(centres(full, len(WIDE_COLOURS)) - centres(small, len(WIDE_COLOURS))).max() <= 4


def test_profiles_are_told_apart_by_what_they_do() -> None:
    """sRGB by whatever name is sRGB; a wide gamut isn't."""
    assert is_srgb(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(), "RGB")
    assert not is_srgb(profile([*WIDE.T.tolist()], GAMMA), "RGB")
    assert not is_srgb(profile([*SRGB.T.tolist()], 2.2), "RGB")  # no curve of sRGB, by up to 9 codes
    assert not is_srgb(b"nonsense", "RGB")


@pytest.mark.parametrize(("share", "same"), [(1.0, True), (0.99, True), (1.01, True), (0.93, False), (1.07, False)])
def test_a_profile_a_little_brighter_or_darker_is_as_good_as_none(share: float, same: bool) -> None:
    """By two codes of 255 at most: many programs write sRGB with their own rounding."""
    plain = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    for name in (b"rXYZ", b"gXYZ", b"bXYZ"):
        entry = plain.index(name)
        at = int.from_bytes(plain[entry + 4 : entry + 8], "big") + 8
        values = struct.unpack_from(">3i", plain, at)
        struct.pack_into(">3i", plain, at, *(round(share * value) for value in values))
    assert is_srgb(bytes(plain), "RGB") is same


@pytest.mark.parametrize("space", ["LAB", "XYZ", "sRGB"])
def test_a_profile_of_another_kind_of_colour_is_not_used(space: Any, tmp_path: Path) -> None:
    """Four inks under a profile of three colours are shown as without."""
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile(space)).tobytes()
    assert not is_srgb(icc, "L") and is_srgb(icc, "RGB") is (space == "sRGB")
    content = encoded(swatches(INKS, "CMYK"), "JPEG", quality=98, subsampling=0, icc_profile=icc)
    found = seen(tmp_path, content)
    assert np.abs(centres(found.image, len(INKS)) - AS_LIGHT).max() <= 6
    assert found.notes == (Say.of("picture.colour.profile_unusable"), Say.of("picture.colour.inks"))


def test_a_profile_that_is_none_leaves_the_colours_and_says_so(tmp_path: Path) -> None:
    """Broken profiles are common in files that went through many hands."""
    found = seen(tmp_path, encoded(scene(), "PNG", icc_profile=b"nonsense"))
    assert np.array_equal(np.asarray(found.image), np.asarray(scene()))
    assert found.notes == (Say.of("picture.colour.profile_unusable"),)


def test_a_colour_profile_on_a_grey_picture_is_used(tmp_path: Path) -> None:
    """Some cameras write one profile into all their pictures."""
    grey = swatches([0, 60, 128, 255], "L")
    found = seen(tmp_path, encoded(grey, "PNG", icc_profile=profile([*SRGB.T.tolist()], 1.0)))
    shown = centres(found.image, 4)[:, 0]
    linear = np.array([0, 60, 128, 255]) / 255
    want = 255 * np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    assert np.abs(shown - want).max() <= 2


INKS = [(0, 0, 0, 0), (255, 0, 0, 0), (0, 255, 0, 0), (0, 0, 255, 0), (0, 0, 0, 255), (0, 255, 255, 0)]
AS_LIGHT = [(255, 255, 255), (0, 255, 255), (255, 0, 255), (255, 255, 0), (0, 0, 0), (255, 0, 0)]


@pytest.mark.parametrize("form", ["JPEG", "TIFF"])
def test_inks_come_out_as_light(form: str, tmp_path: Path) -> None:
    """No ink is white, cyan, magenta and yellow are themselves, black is black: never a negative."""
    options = {"quality": 98, "subsampling": 0} if form == "JPEG" else {}
    found = seen(tmp_path, encoded(swatches(INKS, "CMYK"), form, **options))
    assert np.abs(centres(found.image, len(INKS)) - AS_LIGHT).max() <= 6
    assert found.notes == (Say.of("picture.colour.inks"),)


def test_inks_coded_as_brightness_and_colour_differences_come_out_as_light(tmp_path: Path) -> None:
    """The widespread decoders turn YCC into 1 - CMY, and such files hold ink upside down: Y is ink, K is light."""
    components = [
        (255, 128, 128, 255),
        (128, 128, 128, 255),
        (128, 128, 128, 128),
        (0, 128, 128, 255),
        (0, 128, 128, 0),
    ]
    content = encoded(swatches([tuple(255 - part for part in colour) for colour in components], "CMYK"), "JPEG")
    adobe = content.index(b"Adobe")
    as_ycck = content[: adobe + 11] + b"\2" + content[adobe + 12 :]
    found = centres(seen(tmp_path, as_ycck).image, 5)
    assert np.abs(found - [[0] * 3, [127] * 3, [64] * 3, [255] * 3, [0] * 3]).max() <= 3


def test_lab_comes_out_as_light(tmp_path: Path) -> None:
    """Lab of white, black, red (53.2, 80.1, 67.2 as B. Lindbloom gives it for sRGB's red) and a grey."""
    lab = swatches([(255, 128, 128), (0, 128, 128), (136, 128 + 80, 128 + 67), (136, 128, 128)], "LAB")
    found = centres(seen(tmp_path, encoded(lab, "TIFF")).image, 4)
    assert np.abs(found[:2] - [[255] * 3, [0] * 3]).max() <= 2
    assert found[2][0] > 245 and max(found[2][1:]) < 60
    assert np.ptp(found[3]) <= 2


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_transparency_is_laid_on_white(mode: str, tmp_path: Path) -> None:
    """Nothing there is white, half there is half way to white, all there is itself."""
    clear = [(0, 0, 0, 0), (0, 0, 0, 128), (0, 0, 0, 255)] if mode == "RGBA" else [(0, 0), (0, 128), (0, 255)]
    found = seen(tmp_path, encoded(swatches(clear, mode), "PNG"))
    assert centres(found.image, 3)[:, 0].tolist() == [255, 127, 0]
    assert found.notes == (Say.of("picture.on_white"),)
    assert found.image.mode == ("RGB" if mode == "RGBA" else "L"), "grey stays grey"


@pytest.mark.parametrize(("kind", "shown"), [(1, [255, 157, 30]), (2, [255, 142, 30])])
def test_grey_that_is_less_where_less_is_there_is_laid_on_white_too(
    kind: int, shown: list[int], tmp_path: Path
) -> None:
    """Some programs write what is left of a brightness after its transparency: TIFF revision 6.0, ExtraSamples."""
    samples = np.array([[(0, 0), (30, 128), (30, 255)]], np.uint8).repeat(8, axis=0)
    found = seen(tmp_path, tiff(samples, tags=[(338, kind)]))
    assert np.abs(np.asarray(found.image).astype(int)[4] - shown).max() <= 1
    assert found.notes == (Say.of("picture.on_white"),) and found.image.mode == "L"


@pytest.mark.parametrize("mode", ["P", "L", "RGB"])
def test_one_colour_declared_transparent_is_white(mode: str, tmp_path: Path) -> None:
    """Palettes and plain colours may name one that is clear."""
    clear: int | tuple[int, int, int] = (7, 7, 7) if mode == "RGB" else 7
    other: int | tuple[int, int, int] = (90, 90, 90) if mode == "RGB" else 90
    image = swatches([clear, other], mode)
    if mode == "P":
        image.putpalette([level for level in range(256) for _ in range(3)])
    found = seen(tmp_path, encoded(image, "PNG", transparency=clear))
    assert centres(found.image, 2)[:, 0].tolist() == [255, 90]


def test_transparency_that_hides_nothing_is_not_worth_a_word(tmp_path: Path) -> None:
    """A screenshot has four components and nothing clear."""
    found = seen(tmp_path, encoded(scene().convert("RGBA"), "PNG"))
    assert found.notes == ()
    assert np.array_equal(np.asarray(found.image), np.asarray(scene()))


def test_black_and_white_pictures_are_grey(tmp_path: Path) -> None:
    """One bit a pixel, either kind."""
    image = swatches([0, 255], "1")
    assert centres(seen(tmp_path, encoded(image, "PNG")).image, 2)[:, 0].tolist() == [0, 255]
    assert centres(seen(tmp_path, encoded(image, "TIFF", compression="group4")).image, 2)[:, 0].tolist() == [0, 255]


def test_a_moving_picture_shows_its_first_and_says_so(tmp_path: Path) -> None:
    """One picture is published, not a movie."""
    first, second = swatches([(200, 0, 0)], "RGB"), swatches([(0, 0, 200)], "RGB")
    found = seen(tmp_path, encoded(first, "GIF", save_all=True, append_images=[second]))
    assert centres(found.image, 1)[0].tolist() == [200, 0, 0]
    assert found.notes == (Say.of("picture.first_of_several"),)
