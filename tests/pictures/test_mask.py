"""What somebody blacked out is gone from every derived file."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pillow_heif
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from shapely import Polygon, box, points

from portal.pictures.derive import Crop, Derived, Hinted, Want, Whole, derive
from portal.pictures.mask import blacked
from portal.pictures.upright import TURNS
from tests.pictures.make import dirty_jpeg, encoded, exif, known, pixels, scene, tiff

REGION = ((10.0, 8.0), (30.0, 8.0), (30.0, 24.0), (10.0, 24.0))


def made(folder: Path, want: Want, *, orientation: int = 1, masked: bool = True) -> tuple[Derived, Any]:
    """A derived file of a picture with a light region, and its pixels."""
    path = folder / f"{orientation}.jpg"
    path.write_bytes(dirty_jpeg(Image.new("RGB", scene().size, (230, 230, 230)), orientation=orientation))
    facts = replace(known(path), masks=(REGION,) if masked else ())
    found = derive(path, facts, (want,), folder / "out")
    assert isinstance(found, tuple)
    with Image.open(folder / "out" / found[0].name) as image:
        return found[0], np.asarray(image.convert("L"))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_region_is_black_in_the_upright_picture(orientation: int, tmp_path: Path) -> None:
    """Whole, at full size, however the file is stored; a file that would be copied as it is is made anew."""
    _, shown = made(tmp_path, Whole(), orientation=orientation)
    assert shown[9:23, 11:29].max() <= 12
    assert shown[:4].min() > 200 and shown[:, :4].min() > 200


@pytest.mark.parametrize("want", [Whole(2), Whole(4), Crop((12, 10, 28, 22)), Crop((12, 10, 28, 22), 2)])
def test_no_smaller_or_cropped_file_has_its_pixels(want: Whole | Crop, tmp_path: Path) -> None:
    """A mean over squares is made after the region is black."""
    derived, shown = made(tmp_path, want)
    if isinstance(want, Crop):
        assert shown.max() <= 12
    else:
        left, top, right, bottom = (-(-10 // want.divide), -(-8 // want.divide), 30 // want.divide, 24 // want.divide)
        assert shown[top:bottom, left:right].max() <= 12
    plain, _ = made(tmp_path, want, masked=False)
    assert plain.sha256 != derived.sha256


def heic(image: Image.Image) -> bytes:
    """A HEIC of it."""
    buffer = BytesIO()
    pillow_heif.from_pillow(image).save(buffer, quality=95)
    return buffer.getvalue()


LIGHT = Image.new("RGB", scene().size, (230, 230, 230))
KINDS = {
    "deep TIFF": tiff(np.full((64, 96, 3), 60_000, np.uint16), photometric=2, tags=[(274, 5)]),
    "deep grey, white is 0": tiff(np.full((64, 96), 0, np.uint16), photometric=0, tags=[(274, 8)]),
    "inks": encoded(LIGHT.convert("CMYK"), "JPEG", exif=exif(7)),
    "transparent": encoded(Image.new("LA", (96, 64), (230, 99)), "PNG", exif=exif(6)),
    "HEIC": heic(LIGHT),
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_region_is_black_whatever_the_pixels_are_made_of(kind: str, tmp_path: Path) -> None:
    """Inks of nothing and samples turned round are white; a colour of no light is black in each."""
    (tmp_path / "picture").write_bytes(KINDS[kind])
    facts = replace(known(tmp_path / "picture"), masks=(REGION,))
    found = derive(tmp_path / "picture", facts, (Whole(), Whole(2)), tmp_path / "out")
    assert isinstance(found, tuple)
    for each in found:
        shown = pixels(tmp_path / "out" / each.name)
        assert shown.shape[:2] == (facts.upright.height // each.divide, facts.upright.width // each.divide)
        region = shown[9 // each.divide : 23 // each.divide, 11 // each.divide : 29 // each.divide]
        assert region.max() <= 12 and shown[-6:].min() > 200


UNDER = (slice(8, 24), slice(10, 30))
"""Rows and columns of the region, upright."""


def alike(pattern: int) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """Upright pixels of a scene, of which those under the region are another pattern each time."""
    shown = np.array(scene())
    rows, columns = np.mgrid[0:16, 0:20]
    shown[UNDER] = np.stack([(rows // pattern + columns // (1 + shade)) % 2 * 255 for shade in range(3)], -1)
    return shown


def stored_turned(pixels: Any, orientation: int) -> bytes:
    """A PNG that has to be turned to be upright."""
    back = {6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}.get(orientation, TURNS.get(orientation))
    image = Image.fromarray(pixels)
    return encoded(image.transpose(back) if back is not None else image, "PNG", exif=exif(orientation))


EXACT: dict[str, Callable[[Any], bytes]] = {
    **{f"PNG, orientation {n}": partial(stored_turned, orientation=n) for n in range(1, 9)},
    "TIFF": lambda shown: encoded(Image.fromarray(shown), "TIFF"),
    "deep TIFF": lambda shown: tiff(shown.astype(np.uint16) * 16, photometric=2),
    "BMP": lambda shown: encoded(Image.fromarray(shown), "BMP"),
    "WebP": lambda shown: encoded(Image.fromarray(shown), "WEBP", lossless=True),
}
"""Kinds of file of which pixels beside a region aren't changed by those under it."""


@pytest.mark.parametrize("kind", EXACT)
def test_what_lies_under_a_region_changes_no_byte_of_what_is_derived(kind: str, tmp_path: Path) -> None:
    """Whole, divided, cropped across its border, and the numbers of what was drawn on it: the names say so."""
    wants = (
        Whole(),
        Whole(2),
        Whole(8),
        Crop((0, 0, 40, 40)),
        Crop((5, 5, 35, 35), 4),
        Hinted(()),
        Hinted(((8, 8, 32, 28),)),
    )
    names = set()
    for pattern in (1, 3, 5):
        path = tmp_path / str(pattern)
        path.write_bytes(EXACT[kind](alike(pattern)))
        facts = known(path)
        found = derive(path, replace(facts, masks=(REGION,)), wants, tmp_path / "out")
        plain = derive(path, facts, wants, tmp_path / "out")
        assert isinstance(found, tuple) and isinstance(plain, tuple)
        names.add(tuple(each.name for each in found))
        assert not {each.name for each in found} & {each.name for each in plain}
    assert len(names) == 1


SIZE = (23, 17)
PIXELS = box(*np.mgrid[0 : SIZE[0], 0 : SIZE[1]], *np.mgrid[1 : SIZE[0] + 1, 1 : SIZE[1] + 1])
CENTRES = points(*(np.mgrid[0 : SIZE[0], 0 : SIZE[1]] + 0.5))


def black(*corners: tuple[float, float]) -> Any:
    """Which pixels of a light picture are black, by column and row."""
    return np.asarray(blacked(Image.new("L", SIZE, 200), [corners])).T == 0


@settings(max_examples=200, deadline=None)
@given(
    middle=st.tuples(st.floats(-9, 32), st.floats(-9, 26)),
    size=st.sampled_from([0.3, 2.0, 9.0, 60.0, 1e5, 1e12]),
    turns=st.lists(st.tuples(st.floats(-1, 1), st.floats(-1, 1)), min_size=3, max_size=7),
)
def test_no_pixel_is_left_that_a_region_touches(
    middle: tuple[float, float], size: float, turns: list[tuple[float, float]]
) -> None:
    """Outside check by Shapely: wherever its corners are, far outside as well; and none is black four pixels off."""
    corners = [(round(middle[0] + size * x, 2), round(middle[1] + size * y, 2)) for x, y in turns]
    region = Polygon(corners)
    if not region.is_valid:
        return
    found = black(*corners)
    if size <= 1e5:
        touched = region.intersection(PIXELS)
        assert found[np.vectorize(lambda each: each.area > 1e-6)(touched)].all()
        assert not found[region.distance(CENTRES) > 4].any()
    assert found[region.buffer(-1).contains(CENTRES)].all()


def test_of_an_outline_that_crosses_itself_nothing_within_is_left() -> None:
    """A star drawn in one line: some programs leave its middle open."""
    star = [(11 + 8 * np.sin(4 * np.pi * k / 5), 8.5 - 8 * np.cos(4 * np.pi * k / 5)) for k in range(5)]
    assert black(*star)[9:14, 6:12].all()


def test_in_a_large_outline_that_crosses_itself_nothing_is_left_either() -> None:
    """The border is drawn wide, and in a small one it alone would fill the middle; whichever corner it begins with."""
    star = [(100 + 80 * np.sin(4 * np.pi * k / 5), 100 - 80 * np.cos(4 * np.pi * k / 5)) for k in range(5)]
    hull = Polygon(star).buffer(0).convex_hull
    inner = Polygon([(100 + 28 * np.sin(2 * np.pi * k / 40), 100 + 28 * np.cos(2 * np.pi * k / 40)) for k in range(40)])
    assert hull.contains(inner)
    columns, rows = np.mgrid[0:200, 0:200]
    within = inner.contains(points(columns + 0.5, rows + 0.5))
    for first in range(5):
        found = np.asarray(blacked(Image.new("L", (200, 200), 200), [[*star[first:], *star[:first]]])).T == 0
        assert found[within].all()
        assert not found[hull.distance(points(columns + 0.5, rows + 0.5)) > 4].any()


SQUARE = ((20.0, 20.0), (180.0, 20.0), (180.0, 180.0), (20.0, 180.0))


@pytest.mark.parametrize(
    "corners",
    [
        (*SQUARE, *SQUARE),
        (*SQUARE, SQUARE[0], *SQUARE, SQUARE[0]),
        (*SQUARE, SQUARE[0], (60.0, 20.0), *SQUARE[1:], SQUARE[0]),
        (*SQUARE, SQUARE[0], (160.0, 60.0), (60.0, 160.0)),
    ],
    ids=["twice round", "closed each time", "further corners on its sides", "a loop within from one corner"],
)
def test_of_an_outline_that_touches_itself_nothing_within_is_left(corners: tuple[tuple[float, float], ...]) -> None:
    """Twice round is no times round for who counts the sides on the way; whichever corner it begins with."""
    for first in range(len(corners)):
        turned = [*corners[first:], *corners[:first]]
        assert not np.asarray(blacked(Image.new("L", (200, 200), 200), [turned]))[20:180, 20:180].any(), first


def test_a_corner_that_is_written_twice_is_no_meeting() -> None:
    """Nor is one that closes the outline: what lies in the bay is left."""
    bay = ((1, 1), (22, 1), (22, 1), (22, 4), (5, 4), (5, 16), (1, 16), (1, 1))
    assert np.array_equal(black(*bay), black(*dict.fromkeys(bay)))
    assert not black(*bay)[12:, 9:].any()


@pytest.mark.parametrize("part", [0.1, 0.3, 0.7, 0.9])
def test_the_border_is_as_wide_on_all_sides(part: float) -> None:
    """Two pixels beside those in which the corners lie, which is more than drawing a line may be off."""
    left, top, right, bottom = 6 + part, 5 + part, 15 + part, 10 + part
    found = black((left, top), (right, top), (right, bottom), (left, bottom))
    want = np.zeros(SIZE, bool)
    want[4:18, 3:13] = True
    assert np.array_equal(found, want)


def test_an_outline_with_a_bay_leaves_what_lies_in_the_bay() -> None:
    """It doesn't cross itself."""
    found = black((1, 1), (22, 1), (22, 4), (5, 4), (5, 16), (1, 16))
    assert not found[10:, 9:].any() and found[1:22, 1:4].all() and found[1:5, 1:16].all()
