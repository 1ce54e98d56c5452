"""Movies of a few bytes that would take hours: told by what their index says, or given up once they took too much."""

import os
import signal
import struct
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from portal.model.picture import Movie, PictureFacts, PictureUnreadable
from portal.model.scalars import Frame
from portal.pictures.apart import facts_apart
from portal.pictures.derive import Play, Still, Whole
from portal.pictures.facts import read_facts
from portal.pictures.jobs import Job
from portal.pictures.kinds import AS_WHICH
from tests.pictures.boxed import boxes, built, inside
from tests.pictures.movies import movie

TOP = Path(__file__).resolve().parents[2]


def edited(path: Path, *edits: int, told: int | None = None) -> Path:
    """A movie whose tracks have so many edits, each of a tenth of a second; or say to have so many."""
    tree = boxes(movie(path, second_track=len(edits) > 1).read_bytes())
    tracks = [content for name, content in inside(tree, b"moov") if name == b"trak"]
    for track, many in zip(tracks, edits, strict=True):
        table = b"".join(struct.pack(">IiI", 100, 1024, 1 << 16) for _ in range(many))
        inside(track, b"edts")[:] = [(b"elst", bytes(4) + struct.pack(">I", told or many) + table)]
    path.write_bytes(built(tree))
    return path


@pytest.mark.parametrize(("edits", "told"), [((1001,), None), ((501, 500), None), ((3,), 1 << 31)])
def test_a_movie_of_more_edits_than_any_has_is_refused_by_their_number(
    edits: tuple[int, ...], told: int | None, tmp_path: Path
) -> None:
    """Of all its tracks together, before any is looked at; the reading library looks for each among all frames."""
    found = read_facts(edited(tmp_path / "a.mp4", *edits, told=told))
    assert isinstance(found, PictureUnreadable)
    assert found.reason == f"its lists of edits have {told or sum(edits)} entries, more than the 1000 that are read"
    assert found.hint == AS_WHICH


def test_a_movie_of_some_edits_is_read(tmp_path: Path) -> None:
    """As programs make them that cut."""
    found = read_facts(edited(tmp_path / "a.mp4", 3))
    assert not isinstance(found, PictureUnreadable) or "edits" not in found.reason


def test_an_index_in_an_index_without_end_is_a_reason(tmp_path: Path) -> None:
    """Boxes in boxes, as deep as a file has room."""
    deep = b""
    for _ in range(20_000):
        deep = struct.pack(">I", 8 + len(deep)) + b"trak" + deep
    path = movie(tmp_path / "a.mp4")
    path.write_bytes(path.read_bytes() + struct.pack(">I", 8 + len(deep)) + b"moov" + deep)
    assert isinstance(read_facts(path), PictureUnreadable)


_LOOK = """
import sys
from pathlib import Path
from portal.pictures import apart
from portal.pictures.bounds import marked
apart.BUSY = 1
with marked(Path(sys.argv[2])):
    apart._look(Path(sys.argv[1]), megapixels=250)
"""


def told(many: int) -> bytes:
    """So many things told of a movie, each by another name, which the reading library compares with all before."""
    names = (f"{number:06}".encode() for number in range(many))
    keys = b"".join(struct.pack(">I", 14) + b"mdta" + name for name in names)
    data = struct.pack(">I", 17) + b"data" + bytes(3) + b"\1" + bytes(4) + b"x"
    values = b"".join(struct.pack(">II", 8 + len(data), number + 1) + data for number in range(many))
    inner = [
        (b"hdlr", bytes(8) + b"mdta" + bytes(13)),
        (b"keys", bytes(4) + struct.pack(">I", many) + keys),
        (b"ilst", values),
    ]
    return bytes(4) + built(inner)


@pytest.mark.skipif(sys.platform == "win32", reason="there the system counts no seconds of work")
def test_a_movie_whose_index_keeps_a_processor_busy_is_given_up(tmp_path: Path) -> None:
    """By the work that it takes, so that a slow share is no reason; in the build it is named."""
    path = movie(tmp_path / "a.mp4")
    tree = boxes(path.read_bytes())
    inside(tree, b"moov", b"udta")[:] = [(b"meta", told(60_000))]
    path.write_bytes(built(tree))
    mark = tmp_path / "mark"
    ran = subprocess.run(
        [sys.executable, "-c", _LOOK, str(path), str(mark)],
        env={**os.environ, "PYTHONPATH": str(TOP)},
        check=False,
        timeout=300,
    )
    assert ran.returncode == -signal.SIGXCPU and mark.stat().st_size > 0


def test_a_movie_that_brings_its_process_down_has_a_movies_reason_and_hint(tmp_path: Path) -> None:
    """And one that went away meanwhile is no exception."""
    (gone,) = facts_apart([tmp_path / "gone.mp4"], megapixels=250)
    assert isinstance(gone, PictureUnreadable) and gone.reason.startswith("can't be opened")


@pytest.mark.parametrize(
    ("wants", "frame", "frames", "seconds"),
    [
        ((Play(),), Frame(1000, 1000), 100, 90.3),
        ((Play(),), Frame(2, 2), 100_000, 360.12),
        ((Play(),), Frame(15_000, 15_000), 10_000_000, 3660),
        ((Whole(), Still(0, 6)), Frame(1000, 1000), 100, 90),
        ((Whole(), Still(0, 6)), Frame(15_000, 15_000), 10_000_000, 960),
    ],
)
def test_no_movie_may_take_for_ever_whatever_it_says_to_hold(
    wants: tuple[Play | Whole | Still, ...], frame: Frame, frames: int, seconds: float, tmp_path: Path
) -> None:
    """A large frame that is named a million times takes a few bytes each time."""
    facts = PictureFacts("0" * 64, frame, 1, None, movie=Movie("h264", frames, frames / 25))
    assert Job(tmp_path / "a.mp4", facts, wants, tmp_path).seconds == pytest.approx(seconds)
    assert Job(tmp_path / "a.mp4", replace(facts, movie=None), (Whole(),), tmp_path).seconds < 300


@pytest.mark.parametrize(("side", "what"), [(9000, "81 megapixels, more than the 70"), (8000, "can't be decoded")])
def test_a_movie_of_larger_frames_than_any_camera_makes_is_refused_before_one_is_decoded(
    side: int, what: str, tmp_path: Path
) -> None:
    """Here a few bytes that only say so: of the one that isn't refused for it no frame can be decoded."""
    path = movie(tmp_path / "a.avi")
    data = path.read_bytes()
    frame = struct.pack(">HH", 64, 96)
    assert data.count(frame) == 20
    at = data.index(b"strf") + 12
    data = data[:at] + struct.pack("<II", side, side) + data[at + 8 :]
    path.write_bytes(data.replace(frame, struct.pack(">HH", side, side)))
    found = read_facts(path)
    assert isinstance(found, PictureUnreadable) and what in found.reason, found
