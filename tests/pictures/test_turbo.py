"""JPEGs decoded by the quicker library: the very pixels and the very messages that the reading library gives."""

import random
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import replace
from hashlib import sha256
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import simplejpeg
from numpy.typing import NDArray
from PIL import Image, ImageFile

from portal.pictures import decode as decoding
from portal.pictures.decode import decode
from portal.pictures.derive import Crop, Derived, Hinted, Want, Whole, derive
from portal.pictures.jpeg import read_jpeg
from portal.pictures.kinds import Kind
from portal.pictures.memory import reused, room
from portal.pictures.opening import open_as
from portal.pictures.turbo import loaded
from portal.problem import PortalError
from tests.pictures.make import dirty_jpeg, encoded, exif, known, profile, scene
from tests.pictures.test_colour import GAMMA, WIDE

Masks = tuple[tuple[tuple[float, float], ...], ...]

SIZES = [(1, 1), (2, 1), (1, 7), (9, 8), (16, 16), (33, 17), (101, 67), (640, 480)]
WANTS: tuple[Want, ...] = (
    *(Whole(divide) for divide in (1, 2, 3, 4, 8)),
    *(Crop((3, 2, 40, 31), divide) for divide in (1, 2, 3)),
    Hinted(((2, 2, 60, 50),)),
)


def by(subsampling: str, size: tuple[int, int]) -> bytes:
    """A picture with its colours in a share of the places that the other writer doesn't offer."""
    return bytes(simplejpeg.encode_jpeg(np.asarray(scene(*size)), 90, "RGB", subsampling))


QUICK: dict[str, Callable[[tuple[int, int]], bytes]] = {
    "4:2:0": lambda size: encoded(scene(*size), "JPEG", quality=88),
    "4:2:2": lambda size: encoded(scene(*size), "JPEG", quality=75, subsampling=1),
    "4:4:4": lambda size: encoded(scene(*size), "JPEG", quality=97, subsampling=0),
    "4:4:0": lambda size: by("440", size),
    "4:1:1": lambda size: by("411", size),
    "progressive": lambda size: encoded(scene(*size), "JPEG", progressive=True),
    "restarts": lambda size: encoded(scene(*size), "JPEG", restart_marker_rows=1, optimize=True),
    "coarse": lambda size: encoded(scene(*size), "JPEG", quality=3),
    "metadata": lambda size: dirty_jpeg(scene(*size)),
}


@pytest.fixture
def one_way(monkeypatch: pytest.MonkeyPatch) -> Callable[[bool], None]:
    """Has what follows be decoded by the quicker library, or by the reading library as where that doesn't serve."""
    return lambda is_quick: monkeypatch.setattr(decoding, "loaded", loaded if is_quick else lambda image, data: False)


def opened(data: bytes) -> tuple[ImageFile.ImageFile, bool]:
    """A clean JPEG as the reading library opens it, and whether the quicker one decoded it."""
    clean = read_jpeg(data).stripped(data)
    image = open_as(Kind.JPEG, clean)
    return image, loaded(image, clean)


def all_of(folder: Path, path: Path, masks: Masks = ()) -> tuple[Derived, ...]:
    """The wanted files of a picture."""
    found = derive(path, replace(known(path), masks=masks), WANTS, folder)
    assert isinstance(found, tuple), found
    return found


def both_ways_same(folder: Path, files: Sequence[bytes], one_way: Callable[[bool], None], masks: Masks = ()) -> None:
    """The wanted files of these pictures are the same, whichever library decodes them."""
    found = []
    for is_quick in (True, False):
        one_way(is_quick)
        for number, data in enumerate(files):
            path = folder / f"{number}.jpg"
            path.write_bytes(data)
            found.append(all_of(folder / f"out-{is_quick}", path, masks))
    assert found[: len(files)] == found[len(files) :]


@pytest.mark.parametrize("form", QUICK)
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_pixel_is_the_reading_librarys(form: str, size: tuple[int, int]) -> None:
    """Of every size and way of coding; and it really was the quicker one that decoded it."""
    data = QUICK[form](size)
    image, was_quick = opened(data)
    assert was_quick
    plain = open_as(Kind.JPEG, data)
    plain.load()
    assert (image.mode, image.size) == (plain.mode, plain.size) == ("RGB", size)
    assert image.tobytes() == plain.tobytes()


@pytest.mark.parametrize("form", QUICK)
def test_derived_files_are_the_same_bytes(form: str, tmp_path: Path, one_way: Callable[[bool], None]) -> None:
    """Whole, divided, cropped and as numbers, of even sides and odd ones: named by their hashes."""
    both_ways_same(tmp_path, [QUICK[form](size) for size in ((9, 8), (101, 67), (96, 64))], one_way)


def test_turned_masked_and_wide_pictures_too(tmp_path: Path, one_way: Callable[[bool], None]) -> None:
    """Whatever is done to the pixels before a file is made of them."""
    files = [encoded(scene(101, 66), "JPEG", exif=exif(orientation)) for orientation in range(1, 9)]
    files.append(encoded(scene(64, 48), "JPEG", icc_profile=profile([*WIDE.T.tolist()], GAMMA)))
    both_ways_same(tmp_path, files, one_way, masks=())
    both_ways_same(tmp_path, files, one_way, masks=(((4.0, 3.0), (20.0, 3.0), (20.0, 15.0)),))


def test_a_picture_in_which_something_was_blacked_out_leaves_the_next_as_it_is(tmp_path: Path) -> None:
    """It is blackened in the memory that the next one is decoded into."""
    path = tmp_path / "picture.jpg"
    path.write_bytes(encoded(scene(101, 67), "JPEG"))
    plain = all_of(tmp_path / "out", path)
    for masks in (((0.0, 0.0), (90.0, 0.0), (90.0, 60.0)),), ():
        with reused():
            found = all_of(tmp_path / "out", path, masks)
    assert found == plain


def outcome(data: bytes, *, keeps: bool) -> tuple[object, ...]:
    """What comes of a file: its pixels, or what is said of it."""
    try:
        with reused() if keeps else nullcontext():
            found = decode(data)
            return found.image.mode, found.image.size, sha256(found.image.tobytes()).hexdigest(), found.as_is, found.icc
    except PortalError as error:
        return str(error), error.hint


@pytest.mark.parametrize("form", QUICK)
def test_what_a_damaged_file_comes_to_is_the_same(form: str, one_way: Callable[[bool], None]) -> None:
    """Pixels or message, of files in which some bytes are others, or missing, and in memory that isn't clean."""
    chance = random.Random(form)
    whole = QUICK[form]((96, 64))
    files = [whole]
    for _ in range(60):
        data = bytearray(whole)
        for _ in range(chance.choice((1, 1, 2, 9))):
            data[chance.randrange(2, len(data))] = chance.choice((0, 0xFF, chance.randrange(256)))
        if chance.random() < 0.2:
            at = chance.randrange(2, len(data))
            del data[at : at + chance.randrange(1, 40)]
        files.append(bytes(data))
    found = [outcome(data, keeps=True) for data in files]
    one_way(False)
    assert [outcome(data, keeps=False) for data in files] == found
    assert len({each[0] for each in found}) > 1, "some are refused"


@pytest.mark.parametrize(
    ("image", "options"),
    [
        (scene().convert("L"), {}),
        (scene().convert("CMYK"), {}),
        (scene(), {"keep_rgb": True}),
    ],
    ids=["grey", "inks", "kept rgb"],
)
def test_other_colours_go_the_long_way(
    image: Image.Image, options: dict[str, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it doesn't have to decode it is never asked for."""

    def never(image: object, data: bytes) -> bool:
        raise AssertionError("it was asked")

    data = encoded(image, "JPEG", **options)
    monkeypatch.setattr(decoding, "loaded", never)
    assert decode(data).image.size == image.size


def test_memory_is_used_again_by_the_next_picture_alone() -> None:
    """Not by a second one of the same job, not by another thread, not without a job, and not where it was too much."""
    with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as other:
        first, second = one.submit(in_jobs, (100, 100)).result()[0]
        elsewhere = other.submit(in_jobs, (100,)).result()[0][0]
        later = one.submit(in_jobs, (50,), (200,), (96_000_001,), (200,)).result()
        without = one.submit(room, 50).result()
    smaller, larger, vast, after = (each[0] for each in later)
    assert np.shares_memory(first, smaller), "it is used again"
    for several in ((first, second, elsewhere, larger, vast, without), (larger, after), (smaller, without)):
        assert not any(np.shares_memory(a, b) for a, b in combinations(several, 2))
    assert [each.size for each in (first, second, smaller, larger, vast)] == [100, 100, 50, 200, 96_000_001]


def in_jobs(*jobs: Sequence[int]) -> list[list[NDArray[np.uint8]]]:
    """What is given to jobs that ask for so many bytes, one after the other."""
    found = []
    for counts in jobs:
        with reused():
            found.append([room(count) for count in counts])
    return found


def test_an_image_holds_its_pixels_as_long_as_it_is_used() -> None:
    """Without a job, as on the bench, each has memory of its own, which goes when the image does."""
    data = [encoded(scene(64, 48, seed=seed), "JPEG") for seed in (1, 2)]
    first, second = (decode(each).image for each in data)
    for image, each in zip((first, second), data, strict=True):
        plain = open_as(Kind.JPEG, each)
        assert np.array_equal(np.asarray(image), np.asarray(plain))
