"""Deep samples: one rule for all, both byte orders alike, nothing clipped."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from portal.model.say import Figure, Say
from portal.pictures.decode import decode
from portal.pictures.depth import Ends, Range, declared_range, fitting_range
from tests.pictures.make import Order, encoded, fault, png, profile, seen, tiff
from tests.pictures.tiffs import DEFLATE, Form, tiff_of

RAMP = np.linspace(0, 65_535, 64 * 48).astype(np.uint16).reshape(48, 64)
COLOUR = np.stack([RAMP, RAMP[::-1], RAMP[:, ::-1]], axis=-1)
SRGB = ((0.43607, 0.22249, 0.01392), (0.38515, 0.71687, 0.09708), (0.14307, 0.06061, 0.71410))


def range_of(bits: int) -> Say:
    """The note that says so many bits were shown."""
    return Say.of("picture.range", bits=bits, white=2**bits - 1)


def shown(values: np.ndarray[Any, np.dtype[Any]], **asked: Any) -> Range:
    """The range for samples of which none is declared."""
    ends = Ends()
    for value in values.ravel():
        ends.take(np.array([value], values.dtype))
    return fitting_range(ends, **asked)


def eight(samples: np.ndarray[tuple[int, ...], np.dtype[np.uint16]], bits: int) -> list[object]:
    """By hand: the share of white, rounded to 255 levels."""
    found: list[object] = np.floor(samples / (2**bits - 1) * 255 + 0.5).tolist()
    return found


@pytest.mark.parametrize("bits", [8, 10, 12, 14, 16])
@pytest.mark.parametrize("order", ["little", "big"])
@pytest.mark.parametrize("deflate", [False, True], ids=["plain", "packed"])
def test_both_byte_orders_and_any_packing_give_the_same_picture(
    bits: int, order: Order, deflate: bool, tmp_path: Path
) -> None:
    """Grey and colour TIFFs of any camera's depth fill the whole range from black to white."""
    for samples, photometric in ((RAMP, 1), (COLOUR, 2)):
        shallow = (samples >> (16 - bits)).astype(np.uint16)
        found = seen(tmp_path, tiff(shallow, order=order, photometric=photometric, deflate=deflate))
        assert np.asarray(found.image).tolist() == eight(shallow, bits)
        assert found.notes == (range_of(bits),)


@pytest.mark.parametrize("order", ["little", "big"])
@pytest.mark.parametrize("rows", [255, 256, 257, 600])
def test_a_picture_of_many_rows_is_mapped_to_its_last(rows: int, order: Order, tmp_path: Path) -> None:
    """Its rows are taken some at a time, and the brightest value may stand in the last."""
    samples = np.arange(rows * 8, dtype=np.uint16).reshape(rows, 8)
    samples[-1, -1] = 65_535
    found = seen(tmp_path, tiff(samples, order=order))
    assert np.asarray(found.image).tolist() == eight(samples, 16)


@pytest.mark.parametrize("bits", [12, 16])
def test_png_follows_the_same_rule_as_tiff(bits: int, tmp_path: Path) -> None:
    """Grey, colour, and colour with a transparency that hides nothing."""
    for samples in (RAMP, COLOUR, np.dstack([COLOUR, np.full_like(RAMP, 65_535)])):
        shallow = samples.copy()
        shallow[..., :3] >>= 16 - bits
        if samples.ndim == 2:
            shallow = samples >> (16 - bits)
        found = seen(tmp_path, png(shallow))
        assert np.asarray(found.image).tolist() == eight(shallow[..., :3] if samples.ndim == 3 else shallow, bits)
        assert found.notes == (range_of(bits),)


@pytest.mark.parametrize(("peak", "bits"), [(255, 8), (256, 10), (1023, 10), (1024, 12), (4096, 14), (16_384, 16)])
@pytest.mark.parametrize("rows", [256, 257, 600])
def test_deep_colours_of_many_rows_are_mapped_to_the_last(rows: int, peak: int, bits: int, tmp_path: Path) -> None:
    """By the range that holds the brightest of all colours, which may stand in the last row."""
    samples = (np.arange(rows * 8 * 3, dtype=np.uint16) % 200).reshape(rows, 8, 3)
    samples[-1, -1, 2] = peak
    found = seen(tmp_path, tiff(samples, photometric=2))
    assert np.asarray(found.image).tolist() == eight(samples, bits)
    assert found.notes == (range_of(bits),)


def test_two_pictures_of_one_camera_look_alike(tmp_path: Path) -> None:
    """The same value is the same grey in a bright and in a dim picture of 12 bits."""
    bright, dim = np.array([[1100, 4000]], np.uint16), np.array([[1100, 1200]], np.uint16)
    assert np.asarray(seen(tmp_path, tiff(bright)).image)[0, 0] == np.asarray(seen(tmp_path, tiff(dim)).image)[0, 0]


def test_declared_bits_come_before_the_values_found(tmp_path: Path) -> None:
    """A TIFF of 12 packed bits is shown as 12 bits, however dark it is: 0x010 of 0xFFF is 1 of 255."""
    packed = bytes.fromhex("010fff") * 2
    content = tiff(np.zeros((1, 6), np.uint8), tags=[(256, 4), (258, 12)])[:-6] + packed
    found = seen(tmp_path, content)
    assert np.asarray(found.image).tolist() == [[1, 255, 1, 255]]
    assert found.notes == (range_of(12),)


def test_a_file_with_a_profile_is_meant_for_display(tmp_path: Path) -> None:
    """Its dark values stay dark: 16 bits are shown though 12 would hold them."""
    dark = Image.fromarray((RAMP >> 4).astype(np.uint16))
    found = seen(tmp_path, encoded(dark, "TIFF", icc_profile=profile(SRGB, 2.2)))
    assert int(np.asarray(found.image).max()) < 40
    assert range_of(16) in found.notes


def test_white_may_be_zero(tmp_path: Path) -> None:
    """The smallest value is white where the file says so."""
    found = seen(tmp_path, tiff(RAMP, photometric=0))
    assert np.asarray(found.image).tolist() == (255 - np.array(eight(RAMP, 16))).tolist()


def test_transparency_of_deep_colours_is_laid_on_white(tmp_path: Path) -> None:
    """The clear half is white, the other as it is."""
    clear = np.where(np.arange(64) < 32, 0, 65_535).astype(np.uint16) * np.ones((48, 1), np.uint16)
    image = np.asarray(seen(tmp_path, png(np.dstack([COLOUR, clear]))).image)
    assert (image[:, :32] == 255).all()
    assert image[:, 32:].tolist() == np.array(eight(COLOUR, 16))[:, 32:].tolist()


def test_deep_grey_with_transparency_is_read(tmp_path: Path) -> None:
    """Within one level: the reading library gives the upper byte only."""
    image = seen(tmp_path, png(np.dstack([RAMP, np.full_like(RAMP, 65_535)]))).image
    assert np.abs(np.asarray(image.convert("L")) - np.array(eight(RAMP, 16))).max() <= 1


@pytest.mark.parametrize("order", ["little", "big"])
def test_real_values_between_0_and_1_are_shares_of_white(order: Order, tmp_path: Path) -> None:
    """Such as a program for pictures writes them."""
    found = seen(tmp_path, tiff(np.array([[0, 0.25, 1.0]], np.float32), order=order))
    assert np.asarray(found.image).tolist() == [[0, 64, 255]]
    assert found.notes == (Say.of("picture.range.real", low=Figure("0"), high=Figure("1")),)


def test_real_values_of_no_range_are_stretched_and_the_ends_told() -> None:
    """Nothing is clipped, whatever the sign; what is no number counts as 0."""
    values = np.array([-2.0, np.nan, 0.0, 8.0])
    found = shown(values)
    assert found.codes(values).tolist() == [0, 51, 51, 255]
    assert found.note == Say.of("picture.range.real", low=Figure("-2"), high=Figure("8"))


def test_shares_above_1_are_no_shares() -> None:
    """They are stretched as any others."""
    values = np.array([0.0, 0.75, 1.5])
    found = shown(values)
    assert found.codes(values).tolist() == [0, 128, 255]
    assert found.note == Say.of("picture.range.real", low=Figure("0"), high=Figure("1.5"))


def test_the_brightest_picture_of_a_view_sets_the_range_of_all() -> None:
    """A dim one is shown by its bits, or by those of the view where they are more; its own are told either way."""
    dim = np.array([[0, 1000]], np.uint16)
    for least, white in ((None, 1023), (8, 1023), (12, 4095), (16, 65_535)):
        found = shown(dim, least=least)
        assert found.codes(dim).tolist() == [[0, (1000 * 255 + white // 2) // white]]
        assert found.own_bits == 10


def test_whole_numbers_kept_as_reals_follow_the_rule_of_whole_numbers(tmp_path: Path) -> None:
    """A 12-bit camera's picture looks the same as 16-bit whole numbers and as 32-bit reals."""
    camera = (RAMP >> 4).astype(np.uint16)
    as_reals = seen(tmp_path, tiff(camera.astype(np.float32)))
    assert np.asarray(as_reals.image).tolist() == eight(camera, 12)
    assert as_reals.notes == (range_of(12),)


@pytest.mark.parametrize("sign", "<>")
def test_deep_colours_each_by_itself_are_those_of_together(sign: str, tmp_path: Path) -> None:
    """With transparency, with a fourth sample that says nothing, and with a profile, which uses all bits."""
    deep = np.random.default_rng(3).integers(0, 4096, (20, 30, 4)).astype(np.uint16)
    for samples, extra in ((deep[..., :3], ()), (deep, ((338, 2),)), (deep, ((338, 0),))):
        together, apart = (
            tiff_of(samples, Form(sign=sign, rows=7, in_planes=each, tags=extra)) for each in (False, True)
        )
        one, other = seen(tmp_path, together), seen(tmp_path, apart)
        assert np.array_equal(np.asarray(one.image), np.asarray(other.image)) and one.notes == other.notes
    found = seen(tmp_path, tiff_of(deep[..., :3], Form(sign=sign, in_planes=True, tags=((34_675, 0),))))
    assert found.notes[0] == range_of(16)


@pytest.mark.parametrize("sign", "<>")
@pytest.mark.parametrize("kind", [np.uint8, np.uint16, np.float32])
def test_one_colour_by_itself_is_a_grey_picture(kind: type, sign: str, tmp_path: Path) -> None:
    """TIFF revision 6.0 says of PlanarConfiguration that it doesn't matter where there is one sample."""
    samples: np.ndarray[Any, np.dtype[Any]] = np.arange(600).reshape(20, 30).astype(kind)
    for form in (Form(sign=sign, rows=6), Form(sign=sign, packing=DEFLATE, tile=(16, 16))):
        one, other = (seen(tmp_path, tiff_of(samples, replace(form, in_planes=each))) for each in (False, True))
        assert np.array_equal(np.asarray(one.image), np.asarray(other.image)) and one.notes == other.notes


def test_deep_inks_each_by_itself_are_refused_with_a_reason(tmp_path: Path) -> None:
    """The reading library would take them for 8 bits and show noise."""
    inks = np.zeros((8, 8, 4), np.uint16)
    found = fault(tmp_path, tiff_of(inks, Form(in_planes=True, photometric=5)))
    assert found.reason == "a TIFF of more than 8 bits with each ink by itself, which isn't read"
    assert found.hint == "save it as 8- or 16-bit TIFF, PNG or JPEG"


@settings(deadline=None)
@given(st.lists(st.integers(0, 65_535), min_size=1, max_size=40))
def test_brighter_stays_brighter_and_nothing_is_clipped(values: list[int]) -> None:
    """The order of values is kept, and two that are a level apart never both become white."""
    samples = np.array(values, dtype=np.uint16)
    found = shown(samples)
    mapped = found.codes(samples)
    white = found.note.get("white")
    assert isinstance(white, int) and samples.max() <= white
    by_value = mapped[np.argsort(samples, kind="stable")].astype(int)
    assert (np.diff(by_value) >= 0).all()
    assert np.abs(mapped - samples / white * 255).max() <= 0.5 + 1e-9


def test_the_page_of_a_tiff_that_is_shown_is_told(tmp_path: Path) -> None:
    """The first page that is no reduced copy, and how many there are."""
    pages = [Image.new("L", (30, 20), 90), Image.new("L", (30, 20), 200)]
    found = seen(tmp_path, encoded(pages[0], "TIFF", save_all=True, append_images=pages[1:]))
    assert int(np.asarray(found.image).max()) == 90
    assert found.notes == (Say.of("picture.page", page=1, pages=2),)


def test_a_reduced_copy_before_the_picture_is_passed_over(tmp_path: Path) -> None:
    """Some scanners put the small one first."""
    small, full = Image.new("L", (3, 2), 90), Image.new("L", (30, 20), 200)
    content = encoded(small, "TIFF", tiffinfo={254: 1}, save_all=True, append_images=[full])
    second = content.rindex(b"\xfe\x00\x04\x00\x01\x00\x00\x00\x01")
    if content.count(b"\xfe\x00\x04\x00\x01\x00\x00\x00\x01") == 2:
        content = content[: second + 8] + b"\0" + content[second + 9 :]
    found = seen(tmp_path, content)
    assert found.image.size == (30, 20)
    assert found.notes == (Say.of("picture.page", page=2, pages=2),)


@pytest.mark.parametrize(("peak", "bits"), [(255, 8), (256, 10), (1023, 10), (1024, 12), (4096, 14), (16_384, 16)])
def test_a_grey_is_shown_by_the_fewest_bits_that_hold_it(peak: int, bits: int) -> None:
    """A value more than a range holds takes the next; nothing is clipped."""
    values = np.array([[0, peak]], np.uint16)
    found = shown(values)
    assert found.note == range_of(bits) and found.own_bits == bits
    assert found.codes(values).tolist() == [[0, int(peak / (2**bits - 1) * 255 + 0.5)]]


@pytest.mark.parametrize(
    ("values", "codes", "low", "high"),
    [
        ([0, 65_536, 131_072], [0, 128, 255], "0", "131072"),
        ([0.25, 0.5, 1.0], [64, 128, 255], "0", "1"),
        ([0.25, 0.5, 1.25], [0, 64, 255], "0.25", "1.25"),
        ([-3.0, -3.0, -3.0], [0, 0, 0], "-3", "-3"),
        ([np.inf, -np.inf, np.nan], [0, 0, 0], None, None),
        ([0.0, 0.5, np.inf], [0, 128, 0], "0", "1"),
    ],
)
def test_numbers_that_no_range_of_whole_ones_holds_are_stretched(
    values: list[float], codes: list[int], low: str | None, high: str | None
) -> None:
    """Between 0 and 1 where they lie there, else between their own least and largest; what is no number is 0."""
    reals = np.array([values], np.float32)
    found = shown(reals)
    assert found.codes(reals).tolist() == [codes]
    if low is not None and high is not None:
        assert found.note == Say.of("picture.range.real", low=Figure(low), high=Figure(high))
    else:
        assert found.note == range_of(8)


def test_where_the_least_is_white_all_of_it_is_turned_round() -> None:
    """Whole numbers and others."""
    reals, whole = np.array([[-1.0, 0.0, 1.0]]), np.array([[0, 1023]], np.uint16)
    for values, codes in ((reals, [[255, 128, 0]]), (whole, [[255, 0]])):
        assert shown(values, white_is_zero=True).codes(values).tolist() == codes
    assert declared_range(10, white_is_zero=True).codes(whole).tolist() == [[255, 0]]


def test_a_range_that_a_file_declares_is_none_of_a_view() -> None:
    """It is shown by that, whatever the other pictures of its view need."""
    packed = tiff(np.zeros((1, 6), np.uint8), tags=[(256, 4), (258, 12)])[:-6] + bytes.fromhex("010fff") * 2
    found = decode(packed, least_bits=14)
    assert found.notes == (range_of(12),) and found.own_bits is None
    display = encoded(Image.fromarray(RAMP >> np.uint16(8)), "TIFF", icc_profile=profile(SRGB, 2.2))
    assert decode(display, least_bits=14).notes == (range_of(16),)
