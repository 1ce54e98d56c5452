"""Movies shown right to the letter: colours, moments, sizes, sound; each was broken once and seen failing."""

import struct
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from av.audio.frame import AudioFrame
from av.video.frame import VideoFrame
from av.video.reformatter import ColorPrimaries, Colorspace, ColorTrc
from av.video.stream import VideoStream
from numpy.typing import NDArray
from PIL import Image

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.scalars import Frame
from portal.pictures.derive import Derived, Play, Still, Want, Whole, derive
from portal.pictures.facts import read_facts
from portal.pictures.movie import frame_at, matrix_of, opened, upright_frame
from tests.pictures.boxed import boxes, built, inside
from tests.pictures.movies import SAID, drawn, movie, sound_with_cover


def facts_of(path: Path) -> PictureFacts:
    """The facts of a sound movie."""
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts), facts
    return facts


def made(path: Path, want: Want, facts: PictureFacts | None = None) -> tuple[Path, Derived]:
    """What is derived from a movie, and its file."""
    found = derive(path, facts or facts_of(path), [want], path.parent / "out")
    assert not isinstance(found, PictureUnreadable), found
    return path.parent / "out" / found[0].name, found[0]


def frames_of(path: Path) -> list[NDArray[np.uint8]]:
    """Every frame as the reading library gives it by itself."""
    with av.open(str(path)) as container:
        return [np.asarray(each.to_ndarray(format="rgb24"), np.uint8) for each in container.decode(video=0)]


@pytest.mark.parametrize(
    ("told", "height", "coding", "rule"),
    [
        (2, 719, "h264", 6),
        (2, 720, "h264", 1),
        (2, 2160, "vp9", 6),
        (2, 720, "libvpx-vp9", 6),
        (2, 1080, "vp8", 6),
        (2, 1080, "mjpeg", 1),
        (6, 1080, "h264", 6),
        (1, 480, "h264", 1),
        (9, 480, "hevc", 9),
        (0, 480, "h264", 6),
    ],
)
def test_untold_colours_are_taken_as_players_take_them(told: int, height: int, coding: str, rule: int) -> None:
    """By the height from which screens are wide, but of a WebM; what is told holds, where it is a rule."""
    assert matrix_of(told, height, coding) == rule


def grey_frame(code: int, primaries: int, brightness: int) -> VideoFrame:
    """A frame all of one grey in codes of BT.709's rule, which says those primaries and that brightness."""
    frame = VideoFrame.from_ndarray(np.full((64, 96, 3), code, np.uint8), "rgb24")
    frame = frame.reformat(format="yuv420p10le", dst_colorspace=Colorspace.ITU709)
    frame.colorspace, frame.color_primaries, frame.color_trc = 1, primaries, brightness
    return frame


@pytest.mark.parametrize("brightness", [18, 16])
def test_brightness_of_more_range_is_brought_in_whatever_the_primaries(brightness: int) -> None:
    """HLG and PQ by themselves: a dark code means another light than on a page, which shows it by another code."""
    facts = PictureFacts("0" * 64, Frame(96, 64))
    plain = np.asarray(upright_frame(grey_frame(90, ColorPrimaries.BT709, ColorTrc.BT709), facts)).mean()
    other = np.asarray(upright_frame(grey_frame(90, ColorPrimaries.BT709, brightness), facts)).mean()
    assert abs(plain - 90) < 3 and other > plain + 5


@pytest.mark.parametrize("primaries", [9, 11, 12])
def test_primaries_of_more_range_are_brought_in_whatever_the_brightness(primaries: int) -> None:
    """BT.2020 and both of P3: their pure yellow's blue is less than none on a page; a colour of theirs is another."""
    facts = PictureFacts("0" * 64, Frame(96, 64))
    pixels = np.full((64, 96, 3), (150, 90, 90), np.uint8)
    shown = []
    for each in (1, primaries):
        frame = VideoFrame.from_ndarray(pixels, "rgb24").reformat(format="yuv444p", dst_colorspace=Colorspace.ITU709)
        frame.colorspace, frame.color_primaries, frame.color_trc = 1, each, 1
        shown.append(np.asarray(upright_frame(frame, facts)).astype(int)[30, 40])
    assert np.abs(shown[0] - (150, 90, 90)).max() <= 2
    assert shown[1][0] > 153, "a red of theirs is redder than that of a page"


@pytest.mark.parametrize("ending", [".mp4", ".avi", ".webm"])
@pytest.mark.parametrize("number", [0, 1, 7, 19])
def test_the_frame_of_the_second_at_which_it_begins_is_that_frame(ending: str, number: int, tmp_path: Path) -> None:
    """And not the one before."""
    path = movie(tmp_path / f"a{ending}")
    with opened(path) as source:
        found = np.asarray(frame_at(source, number / 10, facts_of(path)))
    assert np.abs(found.astype(int) - drawn(number, 20, 96, 64)).mean() < 4


@pytest.mark.parametrize("ending", [".mp4", ".mov", ".avi"])
def test_a_movie_lasts_until_its_last_frame_ends(ending: str, tmp_path: Path) -> None:
    """To the millisecond, where the file says how long that frame is shown."""
    movie_ = facts_of(movie(tmp_path / f"a{ending}")).movie
    assert movie_ and movie_.seconds == 2.0


@pytest.mark.parametrize("told", ["2026-02-12T10:15:00.000Z", "2026-02-12T10:15:00 UTC+", "2026-02-12T10:15:00"])
def test_a_time_without_an_offset_is_none(told: str, tmp_path: Path) -> None:
    """However long it is."""
    said = {**SAID, "com.apple.quicktime.creationdate": told}
    assert facts_of(movie(tmp_path / "a.mov", said=said)).taken is None


def test_the_frames_that_are_decoded_are_within_the_limit_too(tmp_path: Path) -> None:
    """Not only what is shown of them, of which narrow pixels make a small picture."""
    path = movie(tmp_path / "a.mov", coding="mpeg4", options={"aspect": "1:2"})
    assert facts_of(path).stored == Frame(48, 64)
    assert isinstance(read_facts(path, megapixels=0.0062), PictureFacts)
    assert isinstance(read_facts(path, megapixels=0.0060), PictureUnreadable)


def test_half_of_the_colours_are_more_than_every_browser_plays(tmp_path: Path) -> None:
    """H.264 of 8 bits with 4:2:2, as some capture devices code it."""
    out, derived = made(movie(tmp_path / "a.mov", pix_fmt="yuv422p"), Play())
    assert [note.key for note in derived.notes] == ["movie.coded_anew"]
    with av.open(str(out)) as container:
        assert next(container.decode(video=0)).format.name == "yuv420p"


def late(path: Path, target: Path) -> Path:
    """The same three seconds later, as what is cut out of a longer recording."""
    with av.open(str(path)) as source, av.open(str(target), "w") as made_late:
        streams = [made_late.add_stream_from_template(each) for each in source.streams]
        for packet in source.demux():
            if packet.size:
                by = int(3 / (packet.time_base or 1))
                packet.pts, packet.dts = (packet.pts or 0) + by, (packet.dts or 0) + by
                packet.stream = streams[packet.stream.index]
                made_late.mux(packet)
    return target


@pytest.mark.parametrize("ending", [".ts", ".mkv"])
def test_sound_begins_with_the_frames(ending: str, tmp_path: Path) -> None:
    """Also where the file's clock doesn't begin at nought."""
    path = movie(tmp_path / f"a{ending}", sound=True)
    if ending == ".mkv":
        path = late(path, tmp_path / "late.mkv")
    facts = facts_of(path)
    assert facts.movie
    out, _ = made(path, Play(), replace(facts, movie=replace(facts.movie, keeps_sound=True)))
    with av.open(str(out)) as container:
        heard = next(each for each in container.decode(audio=0) if isinstance(each, AudioFrame))
        assert abs(float(heard.pts or 0) * float(heard.time_base or 0)) < 0.1
        assert container.duration and abs(container.duration / av.time_base - 2) < 0.2


def test_of_two_frames_of_one_moment_the_first_is_coded(tmp_path: Path) -> None:
    """As a player shows it; an encoder takes no two."""
    path = tmp_path / "a.mkv"
    with av.open(str(movie(tmp_path / "plain.avi"))) as source, av.open(str(path), "w") as target:
        stream = target.add_stream_from_template(source.streams.video[0])
        for packet in source.demux(video=0):
            if packet.size:
                packet.pts = packet.dts = (packet.pts or 0) // 2
                packet.stream = stream
                target.mux(packet)
    out, _ = made(path, Play())
    shown = frames_of(out)
    assert len(shown) == 10
    for number, pixels in enumerate(shown):
        assert np.abs(pixels.astype(int) - drawn(2 * number, 20, 96, 64)).mean() < 4, number


def lossless(path: Path, *pixels: NDArray[np.uint8]) -> Path:
    """A movie of just these frames."""
    with av.open(str(path), "w") as target:
        video = target.add_stream("ffv1", rate=10)
        assert isinstance(video, VideoStream)
        video.height, video.width = pixels[0].shape[:2]
        video.pix_fmt = "bgr0"
        for number, each in enumerate(pixels):
            frame = VideoFrame.from_ndarray(each, "rgb24").reformat(format="bgr0")
            frame.pts, frame.time_base = number, Fraction(1, 10)
            target.mux(video.encode(frame))
        target.mux(video.encode(None))
    return path


@pytest.mark.parametrize(("size", "coded"), [((97, 65), (96, 64)), ((1, 1), (2, 2)), ((1922, 16), (1920, 16))])
def test_a_movie_that_is_coded_anew_has_even_sides_and_is_at_most_so_long(
    size: tuple[int, int], coded: tuple[int, int], tmp_path: Path
) -> None:
    """1920 pixels at its longer side, which is said where it is smaller than what was recorded."""
    pixels = np.full((size[1], size[0], 3), 120, np.uint8)
    out, derived = made(lossless(tmp_path / "a.mkv", pixels, pixels), Play())
    with av.open(str(out)) as container:
        video = container.streams.video[0]
        assert (video.width, video.height) == coded
    assert ("movie.smaller" in [note.key for note in derived.notes]) == (size[0] > 1920)


def test_a_movie_made_smaller_has_the_means_of_its_pixels(tmp_path: Path) -> None:
    """Lines of one pixel become grey and neither vanish nor grow."""
    pixels = np.zeros((32, 3840, 3), np.uint8)
    pixels[:, ::2] = 200
    out, _ = made(lossless(tmp_path / "a.mkv", pixels, pixels), Play())
    shown = frames_of(out)[0][4:12, 100:-100].astype(int)
    assert abs(shown.mean() - 100) < 4 and np.ptp(shown) < 12


def test_a_movie_that_is_coded_anew_keeps_its_colours(tmp_path: Path) -> None:
    """Strong ones and greys from black to white, by the rule and the range that the file tells."""
    colours = ((0, 0, 0), (255, 255, 255), (128, 128, 128), (190, 40, 40), (40, 160, 60), (40, 60, 180), (16, 16, 16))
    pixels = np.concatenate([np.full((64, 32, 3), each, np.uint8) for each in colours], axis=1)
    out, _ = made(lossless(tmp_path / "a.mkv", pixels, pixels), Play())
    whole, _ = made(tmp_path / "a.mkv", Whole())
    with av.open(str(out)) as container:
        frame = next(container.decode(video=0))
        assert (frame.colorspace, frame.color_primaries, frame.color_trc, frame.color_range) == (1, 1, 1, 1)
        shown = frame.reformat(format="rgb24", src_colorspace=Colorspace.ITU709).to_ndarray().astype(int)
    with Image.open(whole) as image:
        stands = np.asarray(image.convert("RGB")).astype(int)
    for number, colour in enumerate(colours):
        for each in (shown, stands):
            assert np.abs(each[16:48, 32 * number + 8 : 32 * number + 24].mean(axis=(0, 1)) - colour).max() < 5, colour


@pytest.mark.parametrize("ending", [".mp4", ".avi"])
def test_the_index_of_what_leaves_comes_before_its_frames(ending: str, tmp_path: Path) -> None:
    """So that it begins to play before all of it was fetched."""
    out, _ = made(movie(tmp_path / f"a{ending}"), Play())
    data = out.read_bytes()
    assert 0 < data.index(b"moov") < data.index(b"mdat")


def test_the_second_of_the_frame_that_stands_for_it_is_said(tmp_path: Path) -> None:
    """On the page beside it, by one decimal; what is in small is said elsewhere."""
    path = movie(tmp_path / "a.mp4")
    (note,) = made(path, Whole())[1].notes
    assert note.key == "movie.frame_shown" and "1.0" in str(note)
    assert made(path, Still(0, 2))[1].notes == ()


def test_an_avi_that_ends_early_is_told_by_the_length_that_it_says(tmp_path: Path) -> None:
    """Between two frames, and where it leaves open how many it holds, as a recorder that learns it only at the end."""
    path = movie(tmp_path / "a.avi", frames=40)
    data = bytearray(path.read_bytes())
    for place in (data.index(b"avih") + 8 + 16, data.index(b"strh") + 8 + 32):
        data[place : place + 4] = bytes(4)
    path.write_bytes(data)
    assert isinstance(read_facts(path), PictureFacts)
    with av.open(str(path)) as container:
        places = [(packet.pos or 0) - 8 for packet in container.demux(video=0) if packet.size]
    assert data[places[20] : places[20] + 4] == b"00dc"
    path.write_bytes(data[: places[20]])
    found = read_facts(path)
    assert isinstance(found, PictureUnreadable) and found.reason == "damaged file: ends early"


def test_a_cover_alone_is_no_movie(tmp_path: Path) -> None:
    """What a recorder of sound attaches moves nowhere."""
    found = read_facts(sound_with_cover(tmp_path / "a.mp4"))
    assert isinstance(found, PictureUnreadable) and found.reason == "a movie without pictures"


def test_a_matroska_movie_that_ends_early_is_told_by_how_long_it_says_to_last(tmp_path: Path) -> None:
    """Also one whose clock begins late; a whole one may lack a second of it, which some writers count too many."""
    for number, path in enumerate((movie(tmp_path / "a.mkv", frames=60), late(tmp_path / "a.mkv", tmp_path / "b.mkv"))):
        assert isinstance(read_facts(path), PictureFacts), number
        data = path.read_bytes()
        path.write_bytes(data[: len(data) // 2])
        found = read_facts(path)
        assert isinstance(found, PictureUnreadable) and found.reason == "damaged file: ends early", number


@pytest.mark.parametrize(("across", "down", "width"), [(2, 1, 192), (16, 15, 102), (1, 2, 48)])
def test_pixels_that_only_the_file_calls_wide_are_square_in_what_leaves(
    across: int, down: int, width: int, tmp_path: Path
) -> None:
    """The coded pictures say nothing of it, so that a copy would be shown otherwise: ISO/IEC 14496-12, `pasp`."""
    path = movie(tmp_path / "a.mp4")
    tree = boxes(path.read_bytes())
    table = inside(tree, b"moov", b"trak", b"mdia", b"minf", b"stbl")
    at = next(number for number, (name, _) in enumerate(table) if name == b"stsd")
    told, size = table[at][1], int.from_bytes(table[at][1][8:12], "big")
    entry = (size + 16).to_bytes(4, "big") + told[12:] + built([(b"pasp", struct.pack(">II", across, down))])
    table[at] = (b"stsd", told[:8] + entry)
    path.write_bytes(built(tree))
    assert facts_of(path).stored == Frame(width, 64)
    out, derived = made(path, Play())
    assert [note.key for note in derived.notes] == ["movie.no_copy"]
    assert facts_of(out).stored == Frame(width, 64)
    whole, _ = made(path, Whole())
    with Image.open(whole) as image:
        assert image.size == (width, 64)
