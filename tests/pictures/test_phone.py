"""HEIC and AVIF as telephones make them: upright once, whole or named, and never a danger to the rest."""

import random
from io import BytesIO
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from portal.model.picture import PictureFacts
from portal.model.scalars import Frame
from portal.pictures.derive import Whole
from portal.pictures.facts import facts_by_header
from portal.pictures.many import facts_many
from tests.pictures.make import derived, encoded, exif, fault, known, scene, seen, told

PLAIN = exif(1, taken="2026:03:04 15:12:07").tobytes()


def heic(image: Image.Image, orientation: int = 1, *, size: tuple[int, int] | None = None) -> bytes:
    """A HEIC of near-perfect quality; the library writes an orientation as a turn of the container too."""
    block = exif(orientation, taken="2026:03:04 15:12:07", size=size or ()).tobytes()
    buffer = BytesIO()
    pillow_heif.encode("RGB", image.size, image.tobytes(), buffer, quality=-1, exif=block)
    return buffer.getvalue()


def apart(one: Image.Image, other: Image.Image) -> float:
    """The mean difference of two pictures' colours."""
    return float(np.abs(np.asarray(one, dtype=np.int16) - np.asarray(other, dtype=np.int16)).mean())


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_turn_of_the_container_is_made_once_though_exif_names_it_too(orientation: int, tmp_path: Path) -> None:
    """A telephone writes both; the frame is the upright one, and so is the day on which it was taken."""
    content = heic(scene(), orientation)
    (tmp_path / "a.jpg").write_bytes(content)
    facts = known(tmp_path / "a.jpg")
    found = seen(tmp_path, content).image
    upright = seen(tmp_path, encoded(scene(), "TIFF", exif=exif(orientation))).image
    assert found.size == upright.size == (facts.stored.width, facts.stored.height)
    assert facts.orientation == 1 and facts.taken == "2026-03-04T15:12:07"
    assert apart(found, upright) < 2


def test_an_orientation_that_only_exif_names_turns_nothing(tmp_path: Path) -> None:
    """Every viewer of such files goes by the container."""
    content = heic(scene())
    assert content.count(PLAIN[6:]) == 1
    wrong = content.replace(PLAIN[6:], exif(6, taken="2026:03:04 15:12:07").tobytes()[6:])
    assert wrong != content and len(wrong) == len(content)
    assert apart(seen(tmp_path, wrong).image, scene()) < 2


def test_a_heic_of_which_a_part_was_overwritten_is_told_where_a_decoder_stumbles(tmp_path: Path) -> None:
    """By the decoder of movies; the one that shows it shows nonsense, and says nothing. Of whole ones neither does."""
    buffer = BytesIO()
    pillow_heif.from_pillow(scene(1000, 700)).save(buffer, quality=50)
    whole = buffer.getvalue()
    chance, first, count = random.Random(1), whole.index(b"mdat") + 200, 0
    for number in range(20):
        at = chance.randrange(first, len(whole) - 2000)
        fill = (bytes(2000), b"\xff" * 2000, chance.randbytes(2000))[number % 3]
        count += bool(told(tmp_path, whole[:at] + fill + whole[at + 2000 :]))
    assert count >= 3
    for form in ("RGB", "L", "RGBA"):
        for options in ({"quality": 90}, {"quality": -1}, {"chroma": 444}, {"grid_tile_size": 64}):
            buffer = BytesIO()
            pillow_heif.from_pillow(scene(200, 130).convert(form)).save(buffer, **options)
            assert told(tmp_path, buffer.getvalue()) == "", (form, options)


def test_the_size_that_exif_declares_before_the_turn_is_no_other_size(tmp_path: Path) -> None:
    """Else every upright picture of a telephone would count as a resized copy."""
    (tmp_path / "a").write_bytes(heic(scene(96, 64), 6, size=(96, 64)))
    assert known(tmp_path / "a").declared is None
    (tmp_path / "a").write_bytes(heic(scene(96, 64), 6, size=(960, 640)))
    assert known(tmp_path / "a").declared == Frame(960, 640)


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_an_avif_is_set_upright_once(orientation: int, tmp_path: Path) -> None:
    """The library tells the container's turn as an orientation, and only then is it ours to make."""
    content = encoded(scene(), "AVIF", quality=100, exif=exif(orientation))
    upright = seen(tmp_path, encoded(scene(), "TIFF", exif=exif(orientation))).image
    assert apart(seen(tmp_path, content).image, upright) < 3


MAKERS = {"HEIC": heic(scene()), "AVIF": encoded(scene(), "AVIF")}


@pytest.mark.parametrize("kind", MAKERS)
def test_a_file_that_ends_early_is_named_and_not_shown_half_grey(kind: str, tmp_path: Path) -> None:
    """However little is missing: decoders make up the rest."""
    content = MAKERS[kind]
    for length in (40, len(content) // 2, len(content) - 1):
        assert fault(tmp_path, content[:length]).reason == "damaged file: ends early"


@pytest.mark.parametrize("kind", MAKERS)
def test_derived_files_are_plain_jpegs(kind: str, tmp_path: Path) -> None:
    """Of the right size, told by content whatever the file is called."""
    (full,) = derived(tmp_path, MAKERS[kind], Whole())
    assert (full.width, full.height, full.name[-4:]) == (96, 64, ".jpg")


def test_what_only_a_decoder_reads_is_looked_at_in_another_process(tmp_path: Path) -> None:
    """Its facts come in their place among the others', and are those that it has alone."""
    contents = {"a": encoded(scene(), "PNG"), "b": MAKERS["HEIC"], "c": MAKERS["AVIF"], "d": b"\0\0\0\x18ftypheic" * 9}
    for name, content in contents.items():
        (tmp_path / name).write_bytes(content)
    paths = [tmp_path / name for name in contents]
    assert [facts_by_header(path) is None for path in paths] == [False, True, True, True]
    counts: list[int] = []
    found = facts_many(paths, threads=2, progress=counts.append)
    assert found[:3] == [known(path) for path in paths[:3]]
    assert not isinstance(found[3], PictureFacts)
    assert counts[-1] == 4
