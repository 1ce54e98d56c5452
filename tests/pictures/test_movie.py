"""Movies: what their files say, which frames are shown, what leaves, and what becomes of broken ones."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from av.video.frame import VideoFrame
from av.video.reformatter import VideoReformatter
from numpy.typing import NDArray
from PIL import Image

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.scalars import Frame
from portal.pictures import movie as moviefile
from portal.pictures.derive import Crop, Derived, Play, Still, Want, Whole, derive, want_key
from portal.pictures.facts import read_facts
from portal.pictures.jobs import derive_many, jobs_for
from portal.pictures.many import facts_many
from portal.pictures.movie import frame_at, frames, opened, upright_frame
from portal.pictures.movieplay import ENCODERS, PLAYED, play
from portal.problem import PortalError
from tests.leaves import told_beside
from tests.pictures.make import SECRET
from tests.pictures.movies import FORMS, SAID, TURNED, drawn, hide_in_pictures, hide_in_sound, movie, turn


def facts_of(path: Path) -> PictureFacts:
    """The facts of a sound movie."""
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts), facts
    return facts


def made(path: Path, *wants: Want, facts: PictureFacts | None = None) -> tuple[Derived, ...]:
    """What is derived from a movie, into a folder `out` beside it."""
    found = derive(path, facts or facts_of(path), wants, path.parent / "out")
    assert not isinstance(found, PictureUnreadable), found
    return found


def played(path: Path, facts: PictureFacts | None = None) -> tuple[Path, Derived]:
    """The movie that leaves."""
    (found,) = made(path, Play(), facts=facts)
    return path.parent / "out" / found.name, found


def frames_of(path: Path) -> list[NDArray[np.uint8]]:
    """Every frame as the reading library gives it by itself."""
    with av.open(str(path)) as container:
        return [np.asarray(each.to_ndarray(format="rgb24"), np.uint8) for each in container.decode(video=0)]


def notes(derived: Derived) -> list[str]:
    """The keys of what has to be said of it."""
    return [each.key for each in derived.notes]


@pytest.mark.parametrize("ending", [".mp4", ".mov", ".webm", ".avi", ".mkv", ".ts"])
def test_a_movie_of_any_form_is_told_by_its_content(ending: str, tmp_path: Path) -> None:
    """Its frame, how many there are and how long they last; the name's ending doesn't matter."""
    path = movie(tmp_path / f"a{ending}", frames=20).rename(tmp_path / "picture.jpg")
    facts = facts_of(path)
    assert facts.movie and facts.stored == Frame(96, 64)
    assert facts.movie.frames == 20
    assert facts.movie.seconds == pytest.approx(2.0, abs=0.11)  # some forms don't say how long the last frame lasts


@pytest.mark.parametrize("orientation", [1, *TURNED])
def test_a_turned_movie_is_shown_upright_once(orientation: int, tmp_path: Path) -> None:
    """The frame that stands for it is upright, and so is what leaves, by its matrix or by its pixels, not by both."""
    path = movie(tmp_path / "a.mov", orientation=orientation)
    facts = facts_of(path)
    assert facts.orientation == orientation
    upright = Frame(64, 96) if orientation == 6 or orientation == 8 else Frame(96, 64)
    assert facts.upright == upright
    (whole,) = made(path, Whole())
    corners = {1: "upper left", 2: "upper right", 3: "lower right", 6: "upper right", 8: "lower left"}
    with Image.open(tmp_path / "out" / whole.name) as image:
        assert image.size == (upright.width, upright.height)
        assert yellow(np.asarray(image)) == corners[orientation]
    again = facts_of(played(path)[0])
    assert (again.stored, again.orientation) == (facts.stored, orientation)
    blacked = replace(facts, masks=(((0.0, 40.0), (9.0, 40.0), (9.0, 49.0), (0.0, 49.0)),))
    again = facts_of(played(path, blacked)[0])
    assert (again.stored, again.orientation) == (upright, 1)


ODD = {
    "a third of a right angle": (0.8660, 0.5, -0.5, 0.8660),
    "two degrees": (0.99939, 0.0349, -0.0349, 0.99939),
    "as wide again": (2, 0, 0, 1),
    "sheared": (1, 1, 0, 1),
}


@pytest.mark.parametrize("matrix", ODD.values(), ids=ODD)
def test_a_movie_that_is_to_be_shown_at_an_angle_is_not_turned_by_any_player(
    matrix: tuple[float, float, float, float], tmp_path: Path
) -> None:
    """Some would, and show something else than what stands for it: so it is coded anew, without the matrix."""
    path = movie(tmp_path / "a.mp4")
    turn(path, matrix)
    assert facts_of(path).orientation == 1
    out, derived = played(path)
    assert notes(derived) == ["movie.no_copy"]
    again = facts_of(out)
    assert (again.stored, again.orientation) == (facts_of(path).stored, 1)
    with av.open(str(out)) as container:
        assert "DISPLAYMATRIX" not in next(container.decode(video=0)).side_data


def joined(path: Path, *sizes: tuple[int, int]) -> Path:
    """A movie in which the size of the frames changes, as the coding allows it in the middle of a file."""
    parts = [movie(path.with_name(f"{number}.webm"), coding="libvpx", size=size) for number, size in enumerate(sizes)]
    with av.open(str(path), "w") as target:
        stream = None
        for number, part in enumerate(parts):
            with av.open(str(part)) as source:
                stream = stream or target.add_stream_from_template(source.streams.video[0])
                for packet in source.demux(video=0):
                    if packet.size:
                        packet.pts = packet.dts = (packet.pts or 0) + number * 2000
                        packet.stream = stream
                        target.mux(packet)
    return path


@pytest.mark.parametrize("masks", [(), (((4.0, 2.0), (30.0, 2.0), (30.0, 20.0)),)], ids=["seen", "masked"])
def test_a_movie_whose_frames_change_their_size_is_named(
    masks: tuple[tuple[tuple[float, float], ...], ...], tmp_path: Path
) -> None:
    """Rather than stretched into the first one's."""
    path = joined(tmp_path / "a.webm", (96, 64), (64, 96))
    facts = replace(facts_of(path), masks=masks)
    assert facts.movie and facts.movie.frames == 40
    wants: list[Want] = [Still(5, 6), Play()] if masks else [Still(5, 6)]
    for want in wants:
        found = derive(path, facts, [want], tmp_path / "out")
        assert isinstance(found, PictureUnreadable), want
        assert found.reason == "its frames change their size, which isn't read"


def test_a_movie_for_two_eyes_is_shown_as_its_frames_are(tmp_path: Path) -> None:
    """Both side by side, as in what stands for it; a copy would say so, and players make of that what they like."""
    path = tmp_path / "a.webm"
    with av.open(str(movie(tmp_path / "plain.webm"))) as source, av.open(str(path), "w") as target:
        stream = target.add_stream_from_template(source.streams.video[0])
        stream.metadata["stereo_mode"] = "left_right"
        for packet in source.demux(video=0):
            if packet.size:
                packet.stream = stream
                target.mux(packet)
    assert facts_of(path).stored == Frame(96, 64)
    out, derived = played(path)
    assert notes(derived) == ["movie.no_copy"]
    with av.open(str(out)) as container:
        assert "STEREO3D" not in next(container.decode(video=0)).side_data
    assert facts_of(out).stored == Frame(96, 64)


@pytest.mark.parametrize("slip", [0.0001, -0.003])
def test_a_quarter_turn_may_be_told_with_a_rounding(slip: float, tmp_path: Path) -> None:
    """By what sines and cosines come to; a matrix of noughts turns nothing."""
    path = movie(tmp_path / "a.mp4")
    turn(path, (slip, 1 - slip, slip - 1, slip))
    assert facts_of(path).orientation == 6
    assert notes(played(path)[1]) == ["movie.copied"]
    turn(path, (0, 0, 0, 0))
    assert facts_of(path).orientation == 1
    assert notes(played(path)[1]) == ["movie.copied"]


def yellow(pixels: NDArray[np.uint8]) -> str:
    """The corner that is yellow."""
    height, width = pixels.shape[:2]
    for row, y in (("upper", 4), ("lower", height - 5)):
        for column, x in (("left", 4), ("right", width - 5)):
            red, green, blue = (int(each) for each in pixels[y, x])
            if red > 180 and green > 160 and blue < 90:
                return f"{row} {column}"
    return "none"


@pytest.mark.parametrize("ending", [".mp4", ".mov", ".mkv", ".ts", ".webm"])
def test_what_browsers_play_is_not_coded_again(ending: str, tmp_path: Path) -> None:
    """Frame by frame the pixels are exactly those of the original."""
    path = movie(tmp_path / f"a{ending}", sound=True)
    out, derived = played(path)
    assert notes(derived) == ["movie.copied", "movie.without_sound"]
    assert out.suffix == (".webm" if ending == ".webm" else ".mp4")
    one, other = frames_of(path), frames_of(out)
    assert len(one) == len(other) == 20
    assert all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize("ending", FORMS)
def test_what_leaves_begins_with_its_first_frame(ending: str, tmp_path: Path) -> None:
    """Each frame has the moment it had: frames that are decoded before they are shown delay none."""
    path = movie(tmp_path / f"a{ending}", sound=True)
    out, _ = played(path)
    with opened(path) as source, opened(out) as other:
        assert float((other.video.start_time or 0) * (other.video.time_base or 0)) == 0
        moments = [[round(each.second(frame), 3) for frame in frames(each)] for each in (source, other)]
    assert moments[0] == moments[1]


@pytest.mark.parametrize("ending", FORMS)
@pytest.mark.parametrize("second", [0.0, 0.05, 0.95, 1.85])
def test_the_frame_of_any_second_is_found(ending: str, second: float, tmp_path: Path) -> None:
    """Some kinds can only be wound to behind their only key frame."""
    path = movie(tmp_path / f"a{ending}")
    with opened(path) as source:
        found = np.asarray(frame_at(source, second, facts_of(path)))
    assert np.abs(found.astype(int) - drawn(int(second * 10), 20, 96, 64)).mean() < 6


@pytest.mark.parametrize(
    ("ending", "coding", "told", "tells"),
    [
        (".mp4", "libx264", {}, (6, 1, 1)),
        (".mp4", "libx264", {"x264-params": "colormatrix=bt709"}, (1, 1, 1)),
        (".mp4", "libx264", {"x264-params": "colormatrix=bt709:colorprim=bt709:transfer=smpte170m"}, (1, 1, 6)),
        (".ts", "libx264", {}, (6, 1, 1)),
        (".webm", "libvpx-vp9", {}, (6, 1, 1)),
        (".webm", "libvpx", {}, (6, 1, 1)),
    ],
)
def test_a_copy_tells_the_colours_that_its_original_leaves_open(
    ending: str, coding: str, told: dict[str, str], tells: tuple[int, int, int], tmp_path: Path
) -> None:
    """By which the frame that stands for it is shown: browsers differ in what they take them for."""
    path = movie(tmp_path / f"a{ending}", coding=coding, options=told)
    out, derived = played(path)
    assert notes(derived)[0] == "movie.copied"
    with opened(out) as source:
        found = source.video.codec_context
        assert (found.colorspace, found.color_primaries, found.color_trc) == tells
    assert all(np.array_equal(a, b) for a, b in zip(frames_of(path), frames_of(out), strict=True))


@pytest.mark.parametrize(
    ("ending", "coding", "pix_fmt"),
    [
        (".avi", "mjpeg", None),
        (".avi", "mpeg4", None),
        (".mp4", "libx265", None),
        (".mov", "libx264", "yuv444p"),
        (".mp4", "libx264", "yuv420p10le"),
    ],
)
def test_what_browsers_do_not_play_is_coded_anew(ending: str, coding: str, pix_fmt: str | None, tmp_path: Path) -> None:
    """As eight bits of a coding that they all play, the same frames at the same moments."""
    path = movie(tmp_path / f"a{ending}", coding=coding, pix_fmt=pix_fmt)
    out, derived = played(path)
    assert notes(derived) == ["movie.coded_anew"]
    facts = facts_of(out)
    assert facts.movie and facts.movie.coding in PLAYED and facts.movie.frames == 20
    assert facts.movie.seconds == pytest.approx(2.0, abs=0.11)
    for number, pixels in enumerate(frames_of(out)):
        assert np.abs(pixels.astype(int) - drawn(number, 20, 96, 64)).mean() < 6, number


def test_the_same_movie_coded_anew_twice_is_the_same_file(tmp_path: Path) -> None:
    """So that a build after nothing changed equals a clean one."""
    path = movie(tmp_path / "a.avi", frames=40, size=(160, 120))
    names = {played(path)[0].name for _ in range(4)}
    assert len(names) == 1


def test_colours_and_brightness_of_more_range_are_brought_into_what_a_page_shows(tmp_path: Path) -> None:
    """As newer telephones record (BT.2020, HLG): grey stays grey and isn't shown by its code, yellow stays yellow.

    How colours that don't fit are brought in is the reading library's choice; that it is done, and said, is tested.
    """
    path = movie(tmp_path / "a.mp4", coding="libx265", pix_fmt="yuv420p10le", wide=True, size=(192, 128))
    with av.open(str(path)) as container:
        first = next(container.decode(video=0))
        assert (first.color_primaries, first.color_trc) == (9, 18)
    (whole,) = made(path, Whole())
    out, _ = played(path)
    with Image.open(tmp_path / "out" / whole.name) as image:
        shown = np.asarray(image.convert("RGB")).astype(int)
    for pixels in (shown, frames_of(out)[10].astype(int)):
        yellow_, grey = pixels[8, 12], pixels[8, 150]
        assert np.ptp(grey) <= 6 and grey.mean() > 96  # code 90 of HLG
        assert yellow_[0] > yellow_[1] > yellow_[2] + 60
    with av.open(str(out)) as container:
        frame = next(container.decode(video=0))
        assert (frame.color_primaries, frame.color_trc, frame.format.name) == (1, 1, "yuv420p")


def test_the_table_of_colours_of_more_range_is_worked_out_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It takes longer than a hundred frames through it; one and the same thing that keeps it takes all frames."""
    taken: list[int] = []

    class Counted:
        def __init__(self) -> None:
            self.own = VideoReformatter()

        def reformat(self, *of: Any, **more: Any) -> VideoFrame:
            taken.append(id(self))
            return self.own.reformat(*of, **more)

    monkeypatch.setattr(moviefile, "VideoReformatter", Counted)
    monkeypatch.setattr(moviefile, "_own", moviefile._Own())
    path = movie(tmp_path / "a.mp4", frames=6, coding="libx265", pix_fmt="yuv420p10le", wide=True)
    facts = facts_of(path)
    with opened(path) as source:
        shown = [upright_frame(each, facts) for each in frames(source)]
    assert len(shown) == 6
    assert (len(taken), len(set(taken))) == (6, 1)


def test_a_cover_is_not_the_movie(tmp_path: Path) -> None:
    """A picture that a program attached, larger than the frames: neither shown nor taken along."""
    path = movie(tmp_path / "a.mp4", cover=True)
    with av.open(str(path)) as container:
        assert len(container.streams.video) == 2
    assert facts_of(path).stored == Frame(96, 64)
    with av.open(str(played(path)[0])) as container:
        assert [each.codec_context.name for each in container.streams.video] == ["h264"]


def test_pixels_are_square(tmp_path: Path) -> None:
    """A capture card's frame whose pixels are wider than high is shown as wide as it was filmed."""
    path = movie(tmp_path / "a.mov", size=(96, 64), coding="mpeg4", options={"aspect": "2:1"})
    facts = facts_of(path)
    assert facts.stored == Frame(192, 64)
    assert facts_of(played(path)[0]).stored == Frame(192, 64)
    (whole,) = made(path, Whole())
    assert (whole.width, whole.height) == (192, 64)


def test_sound_goes_along_only_where_it_is_asked_for(tmp_path: Path) -> None:
    """As a track that can be decoded."""
    for ending in (".mp4", ".avi", ".webm"):
        path = movie(tmp_path / f"a{ending}", sound=True)
        facts = facts_of(path)
        assert facts.movie and facts.movie.has_sound
        assert not has_sound(played(path)[0])
        wished = replace(facts, movie=replace(facts.movie, keeps_sound=True))
        out, derived = played(path, wished)
        assert has_sound(out) and notes(derived)[-1] == "movie.with_sound"
        assert want_key(facts, Play()) != want_key(wished, Play())


def has_sound(path: Path) -> bool:
    """Whether there is a track of sound in a file, and one can be decoded."""
    with av.open(str(path)) as container:
        return bool(container.streams.audio) and len(list(container.decode(audio=0))) > 0


@pytest.mark.parametrize("ending", [".mp4", ".avi"])
def test_what_is_blacked_out_is_gone_from_every_frame(ending: str, tmp_path: Path) -> None:
    """Of the movie, of the frame that stands for it, and of the small ones."""
    path = movie(tmp_path / f"a{ending}")
    region = ((4.0, 2.0), (30.0, 2.0), (30.0, 20.0), (4.0, 20.0))
    facts = replace(facts_of(path), masks=(region,))
    out, derived = played(path, facts)
    assert notes(derived) == ["movie.blacked_out"]
    frames = [*frames_of(out)]
    for each in made(path, Whole(), Still(0, 2), facts=facts):
        with Image.open(tmp_path / "out" / each.name) as image:
            frames.append(np.asarray(image.convert("RGB")))
    assert len(frames) == 22
    assert all(int(pixels[4:19, 6:29].max()) < 24 for pixels in frames)
    assert any(int(pixels[4:19, 6:29].max()) > 180 for pixels in frames_of(path))


def test_what_is_blacked_out_in_a_turned_movie_is_where_it_is_seen(tmp_path: Path) -> None:
    """Its bright corner, which lies at the upper right once the movie is upright."""
    path = movie(tmp_path / "a.mov", orientation=6)
    facts = replace(facts_of(path), masks=(((40.0, 0.0), (64.0, 0.0), (64.0, 30.0), (40.0, 30.0)),))
    (poster,) = made(path, Whole())
    with Image.open(tmp_path / "out" / poster.name) as image:
        assert int(np.asarray(image.convert("RGB"))[2:22, 50:62].max()) > 180
    (poster,) = made(path, Whole(), facts=facts)
    with Image.open(tmp_path / "out" / poster.name) as image:
        frames = [np.asarray(image.convert("RGB")), *frames_of(played(path, facts)[0])]
    assert len(frames) == 21 and all(each.shape == (96, 64, 3) for each in frames)
    assert all(int(each[:29, 41:].max()) < 24 for each in frames)


def test_a_movie_that_may_not_be_seen_whole_is_never_copied(tmp_path: Path) -> None:
    """Without an encoder nothing leaves of it."""
    path = movie(tmp_path / "a.mp4")
    facts = replace(facts_of(path), masks=(((4.0, 2.0), (30.0, 2.0), (30.0, 20.0)),))
    with pytest.raises(PortalError, match="blacked out"):
        play(path, facts, tmp_path / "out", seconds=60, encoders=())
    assert not list((tmp_path / "out").glob("*"))


def test_without_h264_it_becomes_vp9_and_without_both_a_file_to_take_away(tmp_path: Path) -> None:
    """The reason is told; what can't be played holds the coded pictures and nothing else."""
    path = movie(tmp_path / "a.avi", frames=6)
    facts = facts_of(path)
    one = play(path, facts, tmp_path / "out", seconds=60, encoders=ENCODERS[1:])
    assert one.kept.name.endswith(".webm") and len(frames_of(tmp_path / "out" / one.kept.name)) == 6
    other = play(path, facts, tmp_path / "out", seconds=60, encoders=())
    assert other.kept.name.endswith(".mkv")
    assert [each.key for each in other.notes] == ["movie.no_encoder"]
    assert len(frames_of(tmp_path / "out" / other.kept.name)) == 6
    late = play(path, facts, tmp_path / "out", seconds=-1)
    assert [each.key for each in late.notes] == ["movie.too_long"] and late.kept == other.kept


def test_the_frame_that_stands_for_it_is_the_one_that_its_tag_names(tmp_path: Path) -> None:
    """Else the one in the middle; frames in small are spread evenly."""
    path = movie(tmp_path / "a.mp4", frames=21)
    facts = facts_of(path)
    assert facts.movie
    first = replace(facts, movie=replace(facts.movie, poster_at=0.0))
    last = replace(facts, movie=replace(facts.movie, poster_at=99.0))
    assert [bar(path, Whole(), each) for each in (first, facts, last)] == pytest.approx([0, 44, 88], abs=3)
    assert want_key(first, Whole()) != want_key(facts, Whole())
    assert [bar(path, Still(number, 3), facts) for number in range(3)] == pytest.approx([13, 44, 75], abs=4)
    (part,) = made(path, Crop((10, 20, 40, 50)))
    assert (part.width, part.height) == (30, 30)


def bar(path: Path, want: Want, facts: PictureFacts) -> int:
    """Where the white bar of a derived picture begins."""
    (found,) = made(path, want, facts=facts)
    with Image.open(path.parent / "out" / found.name) as image:
        row = np.asarray(image.convert("L"))[50]
    return int(np.flatnonzero(row > 180)[0])


@pytest.mark.parametrize("ending", [".mp4", ".mov", ".webm", ".avi", ".mkv"])
def test_a_movie_that_ends_early_is_named(ending: str, tmp_path: Path) -> None:
    """Never is half of one shown as if it were whole."""
    path = movie(tmp_path / f"a{ending}", frames=60, size=(160, 120))
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    facts = read_facts(path)
    assert isinstance(facts, PictureUnreadable)
    assert facts.reason.startswith("damaged file: "), facts


def test_no_broken_movie_stops_the_others(tmp_path: Path) -> None:
    """Each byte may be another; whatever comes of it is a reason or a movie, never an exception."""
    whole = movie(tmp_path / "a.mp4").read_bytes()
    dice = np.random.default_rng(7)
    paths = []
    for number in range(12):
        data = np.frombuffer(whole, np.uint8).copy()
        data[dice.integers(8, len(data), 40)] = dice.integers(0, 256, 40)
        paths.append(tmp_path / f"{number}.mp4")
        paths[-1].write_bytes(data.tobytes())
    paths.append(tmp_path / "a.mp4")
    facts = facts_many(paths, threads=1)
    assert isinstance(facts[-1], PictureFacts)
    jobs = [
        job
        for path, known in zip(paths, facts, strict=True)
        if isinstance(known, PictureFacts)
        for job in jobs_for(path, known, (Whole(), Still(0, 2), Play()), tmp_path / "out")
    ]
    assert len(derive_many(jobs, processes=1)) == len(jobs)


def test_whatever_the_reading_library_raises_is_a_reason(tmp_path: Path) -> None:
    """Here a frame that is larger than any memory."""
    path = movie(tmp_path / "a.mp4")
    facts = replace(facts_of(path), stored=Frame(10**9, 64))
    found = derive(path, facts, (Whole(),), tmp_path / "out")
    assert isinstance(found, PictureUnreadable) and found.reason.startswith("damaged file: can't be decoded")


def test_a_movie_itself_may_fail_alone(tmp_path: Path) -> None:
    """Its frames are another job than the movie."""
    path = movie(tmp_path / "a.mp4")
    one, other = jobs_for(path, facts_of(path), (Whole(), Play(), Still(0, 2)), tmp_path)
    assert one.wants == (Whole(), Still(0, 2)) and other.wants == (Play(),)


def test_nothing_is_opened_but_the_file_itself(tmp_path: Path) -> None:
    """A list of other files, which the reading library would follow, is no movie; nor does a name matter."""
    listed = tmp_path / "list.mp4"
    listed.write_text("ffconcat version 1.0\nfile a.mp4\n", encoding="utf-8")
    movie(tmp_path / "a.mp4")
    assert isinstance(read_facts(listed), PictureUnreadable)
    odd = movie(tmp_path / "b.mp4").rename(tmp_path / "concat:x%d.mp4")
    assert isinstance(read_facts(odd), PictureFacts)


def test_when_it_was_taken_is_told_only_with_its_offset(tmp_path: Path) -> None:
    """A camera's clock without a zone would be told wrong."""
    assert facts_of(movie(tmp_path / "a.mov", said=SAID)).taken == "2026-02-12T10:15:00+01:00"
    assert facts_of(movie(tmp_path / "b.mov", said={"creation_time": SAID["creation_time"]})).taken is None


@pytest.mark.parametrize("ending", [".mp4", ".mov", ".webm", ".mkv", ".avi"])
@pytest.mark.parametrize("keeps_sound", [False, True], ids=["silent", "with sound"])
def test_what_leaves_holds_pictures_and_nothing_else(ending: str, keeps_sound: bool, tmp_path: Path) -> None:
    """Outside check: exiftool finds in it no tag that isn't about the pictures; the word isn't in its bytes."""
    path = movie(tmp_path / f"a{ending}", said=SAID, sound=True, second_track=ending in {".mp4", ".mov", ".mkv"})
    if ending in {".mp4", ".mov", ".mkv"}:
        hide_in_pictures(path)
    path.write_bytes(path.read_bytes() + SECRET)
    assert SECRET in path.read_bytes()
    if ending in {".mp4", ".mov", ".mkv"}:
        with av.open(str(path)) as container:
            assert len(container.chapters()) == 1
    facts = facts_of(path)
    assert facts.movie
    out, _ = played(path, replace(facts, movie=replace(facts.movie, keeps_sound=keeps_sound)))
    assert SECRET not in out.read_bytes() and b"x264" not in out.read_bytes()
    with av.open(str(out)) as container:
        assert [each.type for each in container.streams] == ["video", "audio"][: 1 + keeps_sound]
        assert container.chapters() == []
    assert not told_beside([out])


def test_what_an_encoder_of_sound_wrote_into_it_stays_here(tmp_path: Path) -> None:
    """Every packet of sound has room for words beside it, which no reader of tags sees: the bytes are searched."""
    path = movie(tmp_path / "a.mp4", sound=True)
    hide_in_sound(path)
    facts = facts_of(path)
    assert facts.movie
    out, derived = played(path, replace(facts, movie=replace(facts.movie, keeps_sound=True)))
    assert notes(derived) == ["movie.copied", "movie.with_sound"] and has_sound(out)
    assert SECRET not in out.read_bytes() and b"Lavc" not in out.read_bytes()


def test_a_coding_that_may_hide_more_is_not_copied(tmp_path: Path) -> None:
    """The encoder of this one writes of itself into what a decoder is set up with."""
    path = movie(tmp_path / "a.mp4", coding="libx265")
    assert b"x265" in path.read_bytes()
    with pytest.raises(PortalError, match="neither be coded anew nor copied"):
        play(path, facts_of(path), tmp_path / "out", seconds=60, encoders=())
