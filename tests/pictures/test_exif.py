"""What an Exif block may say, and what of it is believed."""

import pytest

from portal.pictures.exif import read_exif
from tests.pictures.make import exif

TAKEN = "2026:03:04 15:12:07"


def block(**said: object) -> bytes:
    """An Exif block without the name before it."""
    return exif(**said).tobytes().removeprefix(b"Exif\0\0")  # type: ignore[arg-type]  # as that takes them


@pytest.mark.parametrize("value", [0, 9, 255, 65_535])
def test_an_orientation_that_there_is_none_of_is_upright(value: int) -> None:
    """Eight are known."""
    assert read_exif(block(orientation=value)).orientation == 1
    assert read_exif(block(orientation=8)).orientation == 8


@pytest.mark.parametrize(
    ("offset", "told"), [("+01:00", "+01:00"), ("Z", "Z"), ("UTC", ""), ("+1:00", ""), ("   :  ", ""), (None, "")]
)
def test_an_offset_that_is_none_is_left_out(offset: str | None, told: str) -> None:
    """The camera's clock still counts."""
    assert read_exif(block(taken=TAKEN, offset=offset)).taken == f"2026-03-04T15:12:07{told}"


@pytest.mark.parametrize("taken", ["2026:13:04 15:12:07", "2026:02:30 15:12:07", "    :  :     :  :  ", "yesterday"])
def test_a_time_that_is_none_is_left_out(taken: str) -> None:
    """As cameras write it whose clock was never set."""
    assert read_exif(block(taken=taken)).taken is None
