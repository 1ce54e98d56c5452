"""A kept picture in fewer bytes: of the size that is asked for, or as it is."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from portal.pictures.smaller import smaller
from portal.problem import PortalError
from tests.pictures.make import SECRET, encoded, scene


def opened(content: bytes) -> Image.Image:
    """The picture of a file."""
    with Image.open(BytesIO(content)) as image:
        return image.convert("RGB")


@pytest.mark.parametrize(
    ("size", "longest", "made"),
    [((900, 600), 300, (300, 200)), ((600, 900), 300, (200, 300)), ((900, 600), 899, (899, 599))],
)
def test_the_longer_side_is_as_long_as_asked_for(size: tuple[int, int], longest: int, made: tuple[int, int]) -> None:
    """Upright or not; the picture is the same for the eye."""
    image = Image.fromarray(np.tile(np.linspace(0, 255, size[0]).astype(np.uint8), (size[1], 1))).convert("RGB")
    found = opened(smaller(encoded(image, "JPEG", quality=95), longest=longest, quality=80))
    assert found.size == made
    assert np.abs(np.asarray(found, int) - np.asarray(image.resize(made), int)).max() < 12


@pytest.mark.parametrize("longest", [96, 97, 4000])
def test_a_picture_that_is_small_enough_keeps_its_size(longest: int) -> None:
    """It is only coded coarser."""
    content = encoded(scene(96, 64), "JPEG", quality=97)
    found = smaller(content, longest=longest, quality=30)
    assert len(found) < len(content) and opened(found).size == (96, 64)


def test_where_nothing_is_saved_it_stays_as_it_is() -> None:
    """Coding again would lose something and gain nothing."""
    content = encoded(scene(300, 200), "JPEG", quality=10, optimize=True)
    for quality in (90, 95):
        assert len(smaller(content, longest=40, quality=quality)) <= len(content)
        assert smaller(content, longest=300, quality=quality) == content
    flat = encoded(Image.new("L", (2000, 1), 90), "JPEG", quality=20)
    assert opened(smaller(flat, longest=100, quality=20)).size == (100, 1), "no side vanishes"


@pytest.mark.parametrize(
    "content", [b"", b"no picture", encoded(scene(), "JPEG")[:200], encoded(scene(), "JPEG")[:-300]]
)
def test_what_cant_be_read_is_told(content: bytes) -> None:
    """A kept picture that somebody damaged."""
    with pytest.raises(PortalError, match="a kept picture can't be read"):
        smaller(content, longest=40, quality=60)


def test_it_holds_nothing_of_what_lies_beside_pixels() -> None:
    """Kept pictures have nothing there; this doesn't rest on it where it makes one."""
    content = encoded(scene(300, 200), "JPEG", quality=97, comment=SECRET)
    found = smaller(content, longest=100, quality=60)
    assert SECRET in content and SECRET not in found
