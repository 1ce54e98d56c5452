"""What an Exif block may say, and what of it is believed."""

import pytest

from portal.pictures.exif import read_exif
from portal.pictures.ifd import Directory, Entry
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


@pytest.mark.parametrize(("missing", "told"), [(0, 1.5), (1, 0.0), (4, 0.0), (8, 0.0)])
def test_a_fraction_of_which_a_part_is_missing_is_none(missing: int, told: float) -> None:
    """What is left of it would make another number of it."""
    data = (bytes(8) + (3).to_bytes(4, "little") + (2).to_bytes(4, "little"))[: 16 - missing]
    directory = Directory(data, 8, "little", False, {282: Entry(5, 1, 8)}, 0, 1)
    assert directory.ratio(282) == told
