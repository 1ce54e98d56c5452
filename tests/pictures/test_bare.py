"""A JPEG that keeps its coded pixels keeps nothing else: no room between them and their tables is left to hide in."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.pictures.derive import Whole
from portal.pictures.jpeg import read_jpeg
from tests.pictures.make import SECRET, derived, encoded, pixels, scene, segment

PADDED = SECRET.ljust(64, b"!")
CODER = segment(0xC4, b"\x13" + bytes((*[0] * 7, len(SECRET), *[0] * 8)) + SECRET)
ARITHMETIC = segment(0xCC, b"".join(bytes((0x10, each)) for each in SECRET))

PLAIN = {
    "colours": encoded(scene(), "JPEG", restart_marker_blocks=4),
    "grey": encoded(scene().convert("L"), "JPEG", restart_marker_blocks=4),
    "red green blue": encoded(scene(), "JPEG", restart_marker_blocks=4, keep_rgb=True),
    "progressive": encoded(scene(), "JPEG", restart_marker_blocks=4, progressive=True),
}
plain_ones = pytest.mark.parametrize("plain", PLAIN.values(), ids=PLAIN)


def first(hidden: bytes) -> Callable[[bytes], bytes]:
    """Puts something before everything else."""
    return lambda plain: plain[:2] + hidden + plain[2:]


def last(hidden: bytes) -> Callable[[bytes], bytes]:
    """Puts something behind the last scan."""
    return lambda plain: plain[:-2] + hidden + plain[-2:]


def before_a_restart(plain: bytes) -> bytes:
    """Puts something behind the bits that are needed up to there."""
    at = plain.index(b"\xff\xd1")
    return plain[:at] + SECRET + plain[at:]


def beside_a_table(plain: bytes) -> bytes:
    """Puts a table that nothing uses into the segment of one that is used."""
    at = plain.index(b"\xff\xdb")
    return plain[:at] + segment(0xDB, b"\3" + PADDED + plain[at + 4 : at + 69]) + plain[at + 69 :]


BESIDE = {
    "number of lines": first(segment(0xDC, SECRET)),
    "number of lines at the end": last(segment(0xDC, SECRET)),
    "table of steps that nothing uses": first(segment(0xDB, b"\3" + PADDED)),
    "table of steps that is replaced": first(segment(0xDB, b"\0" + PADDED)),
    "table beside one that is used": beside_a_table,
    "table of codes that nothing uses": first(CODER),
    "table of codes behind all scans": last(CODER),
    "tables of another code": first(ARITHMETIC),
    "distances of restarts that are replaced": first(
        b"".join(segment(0xDD, SECRET[n : n + 2]) for n in range(0, 10, 2))
    ),
}
AMONG = {
    "behind the last scan": last(SECRET),
    "behind a restart too many": last(b"\xff\xd0" + SECRET),
    "before a restart": before_a_restart,
}


@pytest.mark.parametrize("hide", BESIDE.values(), ids=BESIDE)
@plain_ones
def test_what_no_scan_uses_is_left_out(plain: bytes, hide: Callable[[bytes], bytes], tmp_path: Path) -> None:
    """What leaves is the very file that leaves of the same without it, coded pixels kept."""
    content = hide(plain)
    assert len(content) >= len(plain) + 15
    (full,) = derived(tmp_path, content, Whole())
    written = (tmp_path / "out" / full.name).read_bytes()
    (bare,) = derived(tmp_path, plain, Whole())
    assert written == (tmp_path / "out" / bare.name).read_bytes()
    assert plain[plain.index(b"\xff\xda") :] in written, "the coded pixels are kept"


@pytest.mark.parametrize("hide", AMONG.values(), ids=AMONG)
@plain_ones
def test_where_something_lies_among_coded_pixels_they_are_coded_anew(
    plain: bytes, hide: Callable[[bytes], bytes], tmp_path: Path
) -> None:
    """A decoder passes over it, so that it can't be told from them; the same pixels are shown."""
    content = hide(plain)
    assert SECRET in content
    (full,) = derived(tmp_path, content, Whole())
    assert SECRET not in (tmp_path / "out" / full.name).read_bytes()
    shown, stored = pixels(tmp_path / "out" / full.name), pixels(tmp_path / "picture")
    assert shown.shape == stored.shape
    assert np.abs(shown.astype(int) - stored).mean() < 3


def codes(name: int) -> bytes:
    """A table of codes that holds something, under a name that scans use."""
    return segment(0xC4, bytes((name, *[0] * 7, len(SECRET), *[0] * 8)) + SECRET)


def test_of_scans_that_add_to_each_other_each_has_the_tables_that_it_uses(tmp_path: Path) -> None:
    """Steps count from a colour's first scan on, codes of means where means are coded, others where these are."""
    plain = PLAIN["progressive"]
    scans = [each for each in read_jpeg(plain).kept if each.marker == 0xDA]
    refining = next(each for each in scans[1:] if plain[each.start + 5 + 2 * plain[each.start + 4]] == 0)
    (bare,) = derived(tmp_path, plain, Whole())
    wanted = (tmp_path / "out" / bare.name).read_bytes()
    for at, hidden in (
        (scans[0].start, codes(0x10)),
        (refining.start, codes(0)),
        (scans[-1].start, segment(0xDB, b"\0" + PADDED)),
    ):
        (full,) = derived(tmp_path, plain[:at] + hidden + plain[at:], Whole())
        assert (tmp_path / "out" / full.name).read_bytes() == wanted


def test_a_table_of_large_steps_is_parted_from_the_next(tmp_path: Path) -> None:
    """Its steps take two bytes each."""
    plain = PLAIN["colours"]
    at = plain.index(b"\xff\xdb")
    content = plain[:at] + segment(0xDB, b"\x13" + 2 * PADDED + plain[at + 4 : at + 69]) + plain[at + 69 :]
    (full,) = derived(tmp_path, content, Whole())
    (bare,) = derived(tmp_path, plain, Whole())
    assert full.sha256 == bare.sha256


def parted(*before: Image.Image) -> bytes:
    """A JPEG with each colour in a scan of its own; before these a scan of the first for each of some grey pictures."""
    planes = [encoded(each, "JPEG") for each in (*before, *scene().convert("YCbCr").split())]
    one = planes[0]
    steps, frame, codes, scan = (one.index(bytes((0xFF, each))) for each in (0xDB, 0xC0, 0xC4, 0xDA))
    three = segment(0xC0, one[frame + 4 : frame + 9] + bytes((3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0)))
    names = [*(1 for _ in before), 1, 2, 3]
    scans = [each[scan : scan + 5] + bytes((n,)) + each[scan + 6 : -2] for n, each in zip(names, planes, strict=True)]
    return b"".join((b"\xff\xd8", one[steps:frame], three, one[codes:scan], *scans, b"\xff\xd9"))


def test_a_scan_that_another_is_drawn_over_does_not_leave(tmp_path: Path) -> None:
    """Colours in a scan each are kept as they are; of two scans of one colour nobody sees the first."""
    shown = []
    for content, scans in ((parted(), 3), (parted(scene(seed=2).convert("L")), 1)):
        assert content.count(b"\xff\xda") == (3 if scans == 3 else 4)
        (full,) = derived(tmp_path, content, Whole())
        written = tmp_path / "out" / full.name
        assert written.read_bytes().count(b"\xff\xda") == scans
        shown.append(pixels(written).astype(int))
    assert np.abs(shown[0] - shown[1]).mean() < 3


def test_tables_of_a_damaged_segment_are_the_decoders_to_refuse(tmp_path: Path) -> None:
    """One that says to be longer than its segment, and segments without any."""
    plain = PLAIN["colours"]
    for odd in (segment(0xDB, b"\3"), segment(0xC4, b"\x13\xff"), segment(0xDB, b"")):
        content = plain[:2] + odd + plain[2:]
        assert len(read_jpeg(content).stripped(content)) <= len(content)
        (full,) = derived(tmp_path, content, Whole())
        assert (full.width, full.height) == (96, 64)
