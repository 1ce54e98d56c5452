"""A movie whose coded pictures are copied leaves with these and nothing beside; what was cut off it stays here."""

from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.pictures.derive import Derived, Play, Still, Want, Whole, derive
from portal.pictures.facts import read_facts
from tests.pictures.make import SECRET, segment
from tests.pictures.movies import Change, cut, drawn, movie, rewritten, unit

TOLD = {"x264-params": "colormatrix=bt709:colorprim=bt709:transfer=bt709"}
"""Nothing has to be written into coded pictures that say their colours."""
HEVC = {"x265-params": "no-info=1:log-level=none"}


def facts_of(path: Path) -> PictureFacts:
    """The facts of a sound movie."""
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts), facts
    return facts


def left(path: Path, *, seconds: float = 60) -> tuple[Path, Derived] | PictureUnreadable:
    """The movie that leaves."""
    found = derive(path, facts_of(path), [Play()], path.parent / "out", seconds=seconds)
    return found if isinstance(found, PictureUnreadable) else (path.parent / "out" / found[0].name, found[0])


def before(hidden: bytes) -> Change:
    """Puts something before a packet."""
    return lambda packet: hidden + packet


def with_steps(setup: bytes) -> bytes:
    """Behind what a decoder of H.264 is set up with: layout of ISO/IEC 14496-15 section 5.3.3.1."""
    size = int.from_bytes(setup[6:8], "big")
    return setup[:6] + (size + len(SECRET)).to_bytes(2, "big") + setup[8 : 8 + size] + SECRET + setup[8 + size :]


H264: dict[str, Callable[[Path, Path], Path]] = {
    name: lambda path, target, hidden=hidden: rewritten(path, target, "mp4", first=before(unit(hidden)))  # type: ignore[misc]
    for name, hidden in {
        "mark between pictures": b"\x09\xf0" + SECRET,
        "end of a sequence": b"\x0a" + SECRET,
        "end of all": b"\x0b" + SECRET,
        "words": b"\x06\x05" + bytes([16 + len(SECRET)]) + bytes(16) + SECRET + b"\x80",
        "filling": b"\x0c" + SECRET,
        "more of a sequence": b"\x6d" + SECRET,
        "part of a picture that has no other": b"\x03" + SECRET,
        "picture of something else": b"\x13" + SECRET,
        "of no known kind": b"\x1e" + SECRET,
    }.items()
}
H264["behind the setup"] = lambda path, target: rewritten(path, target, "mp4", setup=lambda setup: setup + SECRET)
H264["behind a part of the setup"] = lambda path, target: rewritten(path, target, "mp4", setup=with_steps)


@pytest.mark.parametrize("told", [TOLD, {}], ids=["colours told", "colours untold"])
@pytest.mark.parametrize("hide", H264.values(), ids=H264)
def test_between_copied_pictures_lies_nothing(
    hide: Callable[[Path, Path], Path], told: dict[str, str], tmp_path: Path
) -> None:
    """In none of the units that a decoder passes over, nor behind those that it takes."""
    path = hide(movie(tmp_path / "plain.mp4", options=told), tmp_path / "a.mp4")
    assert SECRET in path.read_bytes()
    found = left(path)
    assert not isinstance(found, PictureUnreadable)
    assert [note.key for note in found[1].notes] == ["movie.copied"]
    assert SECRET not in found[0].read_bytes()
    with av.open(str(path)) as one, av.open(str(found[0])) as other:
        shown = [[each.to_ndarray() for each in container.decode(video=0)] for container in (one, other)]
    assert len(shown[0]) == len(shown[1]) == 20
    assert all(np.array_equal(a, b) for a, b in zip(*shown, strict=True))


@pytest.mark.parametrize(("ending", "coding"), [(".webm", "libvpx"), (".webm", "libvpx-vp9"), (".avi", "mjpeg")])
def test_what_a_decoder_is_not_set_up_with_is_not_copied(ending: str, coding: str, tmp_path: Path) -> None:
    """Some codings need nothing there, so that anything may lie in that place."""
    plain = movie(tmp_path / f"plain{ending}", coding=coding)
    path = rewritten(plain, tmp_path / "a.mkv", "matroska", setup=lambda setup: SECRET)
    assert SECRET in path.read_bytes()
    found = left(path, seconds=0)
    assert not isinstance(found, PictureUnreadable)
    assert SECRET not in found[0].read_bytes()
    assert found[0].suffix == (".mkv" if coding == "mjpeg" else ".webm")


@pytest.mark.parametrize("hidden", [b"\x46\x01\x50" + SECRET, b"\x48\x01" + SECRET, b"\x4e\x01\x04" + SECRET])
def test_nor_between_pictures_that_are_taken_away(hidden: bytes, tmp_path: Path) -> None:
    """Where nothing can be coded anew: the same of HEVC."""
    plain = movie(tmp_path / "plain.mp4", coding="libx265", options=HEVC)
    path = rewritten(plain, tmp_path / "a.mp4", "mp4", first=before(unit(hidden)))
    found = left(path, seconds=0)
    assert not isinstance(found, PictureUnreadable)
    assert found[0].suffix == ".mkv" and SECRET in path.read_bytes() and SECRET not in found[0].read_bytes()


def test_frames_that_are_pictures_by_themselves_are_taken_bare_or_not_at_all(tmp_path: Path) -> None:
    """A comment is left out; what lies among coded pixels can't be, so that there is nothing to take away."""
    plain = movie(tmp_path / "plain.avi")
    told = rewritten(plain, tmp_path / "a.avi", "avi", each=lambda each: each[:2] + segment(0xFE, SECRET) + each[2:])
    found = left(told, seconds=0)
    assert not isinstance(found, PictureUnreadable) and found[0].suffix == ".mkv"
    assert SECRET in told.read_bytes() and SECRET not in found[0].read_bytes()
    among = rewritten(plain, tmp_path / "b.avi", "avi", each=lambda each: each[:-2] + SECRET + each[-2:])
    refused = left(among, seconds=0)
    assert isinstance(refused, PictureUnreadable) and "neither be coded anew nor copied" in refused.reason
    anew = left(among)
    assert not isinstance(anew, PictureUnreadable) and SECRET not in anew[0].read_bytes()


@pytest.mark.parametrize("every", [10, 250])
@pytest.mark.parametrize(("begin", "end"), [(1.5, 4), (0, 0.5), (1.2, 2.2)])
def test_what_was_cut_off_does_not_leave(begin: float, end: float, every: int, tmp_path: Path) -> None:
    """Programs that cut without coding leave it in the file, and only a list of edits keeps players from showing it."""
    path = movie(tmp_path / "a.mp4", frames=40, sound=False, options={"g": str(every)})
    cut(path, begin, end)
    facts, count = facts_of(path), round((end - begin) * 10)
    assert facts.movie and facts.movie.frames == count
    assert facts.movie.seconds == pytest.approx(end - begin, abs=0.11)
    found = left(path)
    assert not isinstance(found, PictureUnreadable)
    assert [note.key for note in found[1].notes] == ["movie.no_copy"]
    with av.open(str(found[0]), options={"ignore_editlist": "1"}) as container:
        frames = [each.to_ndarray(format="rgb24") for each in container.decode(video=0)]
    assert len(frames) == count
    for number, pixels in enumerate(frames):
        assert np.abs(pixels.astype(int) - drawn(number + round(begin * 10), 40, 96, 64)).mean() < 6, number


def test_the_frame_that_stands_for_a_cut_movie_is_one_of_those_that_are_left(tmp_path: Path) -> None:
    """As are those in small."""
    path = cut(movie(tmp_path / "a.mp4", frames=40), 1, 2)
    found = derive(path, facts_of(path), [Whole(), Still(0, 2), Still(1, 2)], tmp_path / "out")
    assert not isinstance(found, PictureUnreadable)
    for each in found:
        with av.open(str(tmp_path / "out" / each.name)) as container:
            (pixels,) = (frame.to_ndarray(format="rgb24") for frame in container.decode(video=0))
        bar = int(np.abs(pixels[48].astype(int) - 90).sum(axis=1)[:, None].argmax())
        assert 10 * 88 / 39 - 9 <= bar <= 20 * 88 / 39 + 9


def test_a_movie_of_which_the_index_says_more_than_there_is_still_ends_early(tmp_path: Path) -> None:
    """Though a list of edits may leave out as much: its pictures are the last box, which reaches to the end."""
    made = left(movie(tmp_path / "a.mp4", frames=40, options={"g": "10"}))
    assert not isinstance(made, PictureUnreadable)
    data = made[0].read_bytes()
    at = data.index(b"mdat") - 4
    assert at + int.from_bytes(data[at : at + 4], "big") == len(data)
    with av.open(str(made[0])) as container:
        places = [packet.pos or 0 for packet in container.demux(video=0) if packet.size]
    made[0].write_bytes(data[:at] + bytes(4) + data[at + 4 : places[20]])
    found = read_facts(made[0])
    assert isinstance(found, PictureUnreadable) and "ends early" in found.reason, found


@pytest.mark.parametrize(("size", "divide"), [((480, 64), 1), ((482, 64), 2), ((64, 960), 2), ((1000, 64), 3)])
def test_a_frame_in_small_is_at_most_so_long(size: tuple[int, int], divide: int, tmp_path: Path) -> None:
    """480 pixels at its longer side, by a whole number; where it has fewer it is as it is."""
    path = movie(tmp_path / "a.avi", frames=2, size=size)
    found = derive(path, facts_of(path), [Still(0, 2)], tmp_path / "out")
    assert not isinstance(found, PictureUnreadable)
    assert (found[0].divide, found[0].width, found[0].height) == (divide, -(-size[0] // divide), -(-size[1] // divide))


def test_a_movie_that_changed_since_it_was_looked_at_is_not_shown(tmp_path: Path) -> None:
    """Of what it says now nobody knows; the next build does."""
    path = movie(tmp_path / "a.mp4", orientation=6)
    facts = facts_of(path)
    movie(path, orientation=1)
    for want in (Whole(), Still(0, 2), Play()):
        found = derive(path, facts, [want], tmp_path / "out")
        assert isinstance(found, PictureUnreadable) and found.reason == "the file changed while it was being read"
        assert found.hint == "wait until it is copied, then build again"
    assert not list((tmp_path / "out").glob("*"))


@pytest.mark.parametrize("want", [Whole(), Still(0, 2), Play()])
def test_what_the_disk_refuses_is_no_fault_of_the_movies(want: Want, tmp_path: Path) -> None:
    """Nobody is told that a movie is damaged because there was no room for what is made of it."""
    path = movie(tmp_path / "a.mp4")
    (tmp_path / "out").write_bytes(b"no folder")
    with pytest.raises(OSError, match="out"):
        derive(path, facts_of(path), [want], tmp_path / "out")
