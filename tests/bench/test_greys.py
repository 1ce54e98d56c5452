"""The greys of a picture are there as far as they are asked for before all of them are, and are the same then."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.bench import greys
from portal.bench.decoding import Decoding
from portal.bench.greys import Colours, Greys
from portal.pictures.memory import room
from portal.problem import PortalError
from tests.bench.test_watching import until
from tests.pictures.make import encoded, exif, known, scene

HERE = slice(20, 51), slice(31, 62)


@pytest.fixture
def slowly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Greys are worked out a long moment later."""
    monkeypatch.setattr(greys, "SETTLED_S", 1.0)


@pytest.mark.parametrize(
    "image",
    [scene(101, 167), scene(101, 167).convert("L"), scene(101, 167).transpose(Image.Transpose.ROTATE_90)],
    ids=["colours", "grey", "wide"],
)
def test_a_part_is_the_same_before_all_are_worked_out_and_then(image: Image.Image) -> None:
    """And it is that of the picture which is turned to grey as a whole, to the bit."""
    whole, made = np.asarray(image.convert("L")), Greys(image)
    before = made[HERE]
    assert not made.is_settled and made.shape == whole.shape
    made.settle()
    assert made.is_settled and np.array_equal(made[0 : whole.shape[0], 0 : whole.shape[1]], whole)
    assert np.array_equal(before, whole[HERE]) and np.array_equal(made[HERE], whole[HERE])


@pytest.mark.usefixtures("slowly")
@pytest.mark.parametrize(
    ("form", "options"),
    [("JPEG", {}), ("JPEG", {"exif": exif(6)}), ("PNG", {}), ("TIFF", {})],
    ids=["jpeg", "turned", "png", "tiff"],
)
def test_who_waits_for_a_picture_gets_a_part_before_all_are_worked_out(
    form: str, options: dict[str, bytes], tmp_path: Path
) -> None:
    """The colours go a moment later, so that a byte a pixel is held."""
    path = tmp_path / "picture"
    path.write_bytes(encoded(scene(96, 64), form, **options))
    found = Decoding().of(path, known(path)).codes
    assert found[HERE].shape == (31, 31) and not found.is_settled
    assert until(lambda: found.is_settled)


@pytest.mark.parametrize("apart_s", [0.0, 0.5])
def test_a_picture_keeps_its_greys_while_others_are_decoded(
    apart_s: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At once, each while the one before still lies in its colours; and one after the other, in the same memory."""
    monkeypatch.setattr(greys, "SETTLED_S", 0.5 if not apart_s else 0.0)
    decoding, made, meant = Decoding(), [], []
    for seed in range(4):
        path = tmp_path / f"{seed}.jpg"
        path.write_bytes(encoded(scene(96, 64, seed=seed), "JPEG"))
        with Image.open(path) as image:
            meant.append(np.asarray(image.convert("L")))
        made.append(decoding.of(path, known(path)).codes)
        if apart_s:
            assert until(lambda: made[-1].is_settled)
    for _ in range(2):
        assert all(np.array_equal(each[0:64, 0:96], own) for each, own in zip(made, meant, strict=True))
        assert until(lambda: all(each.is_settled for each in made))


def test_the_memory_of_the_colours_is_used_again_and_let_go_after_a_while(monkeypatch: pytest.MonkeyPatch) -> None:
    """By the next picture; not by one that is decoded meanwhile; nor is it kept where nobody decodes any more."""
    monkeypatch.setattr(greys, "SETTLED_S", 0.3)
    colours = Colours()
    rooms: list[greys.Grey] = []
    decode = into(rooms)
    first, meanwhile = colours.greys(decode), colours.greys(decode)
    assert until(lambda: first.is_settled and meanwhile.is_settled and not colours._in_use.locked())
    monkeypatch.setattr(greys, "KEPT_S", 0.1)
    then = colours.greys(decode)
    assert until(lambda: then.is_settled)
    assert np.shares_memory(rooms[0], rooms[2]) and not np.shares_memory(rooms[0], rooms[1])
    assert until(lambda: colours._kept._bytes is None)


def test_after_a_damaged_picture_the_memory_is_there_for_the_next(tmp_path: Path) -> None:
    """It isn't taken for in use for ever."""
    colours = Colours()
    rooms: list[greys.Grey] = []

    def damaged() -> Image.Image:
        into(rooms)()
        raise PortalError("damaged file")

    with pytest.raises(PortalError):
        colours.greys(damaged)
    colours.greys(into(rooms))
    assert np.shares_memory(rooms[0], rooms[1])


def into(rooms: list[greys.Grey]) -> Callable[[], Image.Image]:
    """Decodes into the memory that it is given, and notes it."""

    def decode() -> Image.Image:
        rooms.append(room(96 * 64 * 4))
        return scene(96, 64)

    return decode
