"""The movie as it leaves: in a form that all browsers play, with its pictures and nothing else.

Coded pictures that they all play are copied as they are, packet by packet, without what a camera hides beside them;
the player turns them by the track's matrix. All else is decoded and coded anew, upright: as H.264 where the reading
library has an encoder for it, since there is no browser without it, else as VP9. The encoder comes with the reading
library, which its user installs; nothing of it is part of this program. What neither can be copied nor coded anew is
put into a file to be taken away, with the reason.

A movie of which something was cut off, by a list of edits that leaves it in the file, is always coded anew; so is one
that is to be shown at an angle, stretched, for two eyes or all around, of which each player makes something else. What
might lie behind the last bit of a coded picture of H.264, HEVC, VP8 or VP9 can't be told from it and is copied along;
no camera is known to write there.
"""

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.bitstream import BitStreamFilterContext
from av.codec.context import Flags
from av.container import OutputContainer
from av.packet import Packet
from av.stream import Stream
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace
from av.video.stream import VideoStream
from PIL import Image

from portal.model.picture import PictureFacts
from portal.model.say import Say
from portal.pictures.bare import draws_over
from portal.pictures.jpeg import Inks, read_jpeg
from portal.pictures.kinds import AS_WHICH
from portal.pictures.mask import blacked
from portal.pictures.movie import Source, frames, matrix_of, movie_facts, opened, shown_oddly, upright_frame
from portal.pictures.store import Kept, half_written, keep_file
from portal.pictures.turbo import said_of
from portal.problem import PortalError

LONGEST = 1920
"""Pixels of the longer side of a movie that is coded anew; a larger one is made smaller."""

_EIGHT_BITS = {"yuv420p", "yuvj420p"}
_OPTIONS = {"fflags": "+bitexact"}
_FROM_ZERO = {"avoid_negative_ts": "make_zero"}
_FAST_START = {"movflags": "+faststart"}
"""Frames that are decoded before they are shown have times before the first: an MP4 says so in its list of edits, and
so its first frame is shown at once."""
_ONLY_PICTURES = {
    "h264": "filter_units=pass_types=1|5|7-8",
    "hevc": "filter_units=pass_types=0-9|16-21|32-34",
}
"""Units that pictures are made of, where cameras may hide more between them: ITU-T H.264 and H.265, table 7-1. Marks
between pictures and at their end aren't needed in a file, and have room behind them."""
_WRITTEN_ANEW = {"h264": "h264_metadata", "hevc": "hevc_metadata"}
"""Filters that take what is common to many pictures apart and write it again, without what lies behind."""

_BT709, _UNTOLD = 1, 2
"""Of ITU-T H.273 tables 2 to 4."""
_FORMS_OWN = "\0\0\0\0"
"""By which name a coding goes in a file is left to the kind of file that is written."""


@dataclass(frozen=True, slots=True)
class Form:
    """A kind of file that browsers play."""

    name: str
    ending: str
    sound: str
    """The encoder of sound."""
    options: tuple[tuple[str, str], ...] = ()


MP4 = Form("mp4", ".mp4", "aac", tuple(_FAST_START.items()))
WEBM = Form("webm", ".webm", "libopus", tuple(_FROM_ZERO.items()))
TO_TAKE_AWAY = Form("matroska", ".mkv", "aac", tuple(_FROM_ZERO.items()))

_BARE_CODINGS = {*_ONLY_PICTURES, "mjpeg", "vp8", "libvpx", "vp9", "libvpx-vp9"}
"""Codings of which it is known what of a packet is picture; what else a camera writes is not copied."""

PLAYED = {"h264": MP4, "vp8": WEBM, "libvpx": WEBM, "vp9": WEBM, "libvpx-vp9": WEBM}
"""Codings that every browser of today plays in that form, with 8 bits and a quarter of the colours. AV1 and HEVC are
played by some machines only."""

ENCODERS: tuple[tuple[str, Form, dict[str, str]], ...] = (
    ("libx264", MP4, {"crf": "19", "preset": "faster", "x264-params": "mbtree=0"}),
    ("libvpx-vp9", WEBM, {"crf": "28", "b": "0", "deadline": "good", "cpu-used": "4"}),
)
"""In the order in which they are tried. The same frames come out as the same bytes: one processor is used, and what
the first of them would do beyond a frame (`mbtree`) differs from run to run."""


@dataclass(frozen=True, slots=True)
class Played:
    """The file that was made, and what has to be said of it."""

    kept: Kept
    notes: tuple[Say, ...]


class TooLong(Exception):
    """Coding a movie anew takes more time than there is."""


def plays(ending: str) -> bool:
    """Whether browsers play a file with that ending."""
    return ending in {MP4.ending, WEBM.ending}


def play(
    path: Path, facts: PictureFacts, out: Path, *, seconds: float, encoders: Sequence[tuple[str, Form, Any]] = ENCODERS
) -> Played:
    """Write the movie that leaves into a folder; PortalError where not even a file to take away can be made."""
    form = _played_as_is(path, facts)
    if form is not None:
        copied = _copied(path, facts, out, form)
        if copied is not None:
            return Played(copied, (Say.of("movie.copied"), *_of_sound(facts)))
    try:
        return _anew(path, facts, out, until=time.monotonic() + seconds, encoders=encoders)
    except TooLong:
        why = Say.of("movie.too_long")
    except PortalError:
        raise
    except LookupError:
        why = Say.of("movie.no_encoder")
    if facts.masks:  # a copy would show what nobody else may see
        raise PortalError("it can't be coded anew, and something in it is to be blacked out", hint=AS_WHICH)
    copied = _copied(path, facts, out, TO_TAKE_AWAY)
    if copied is None:
        raise PortalError("it can neither be coded anew nor copied", hint=AS_WHICH)
    return Played(copied, (why,))


def _played_as_is(path: Path, facts: PictureFacts) -> Form | None:
    """The form in which all browsers play its pictures as they are coded, if they may all be seen."""
    if facts.masks or facts.movie is None:
        return None
    with opened(path) as source:
        first = next(frames(source), None)
        if first is None or shown_oddly(first) or source.video.codec_context.pix_fmt not in _EIGHT_BITS:
            return None
        return PLAYED.get(facts.movie.coding)


def _of_sound(facts: PictureFacts) -> tuple[Say, ...]:
    if facts.movie is None or not facts.movie.has_sound:
        return ()
    return (Say.of("movie.with_sound" if facts.movie.keeps_sound else "movie.without_sound"),)


def _copied(path: Path, facts: PictureFacts, out: Path, form: Form) -> Kept | None:
    """The coded pictures in a new file; None where that file doesn't show the same, so that it can't be used."""
    with half_written(out, ending=form.ending) as made:
        try:
            with opened(path) as source, _written(made, form) as target:
                if source.video.codec_context.name not in _BARE_CODINGS or _hides_more(source.video):
                    return None
                video = target.add_stream_from_template(source.video)
                video.metadata.clear()
                sound = _Sound(source, target, form) if facts.movie and facts.movie.keeps_sound else None
                _copy(source, target, video, sound)
            again = movie_facts(made, megapixels=float("inf"))
        except (PortalError, av.FFmpegError, ValueError):
            return None
        if (again.stored, again.orientation, again.movie and again.movie.frames) != (
            facts.stored,
            facts.orientation,
            facts.movie and facts.movie.frames,
        ):
            return None
        return keep_file(out, made, ending=form.ending)


def _hides_more(video: VideoStream) -> bool:
    """Whether what a decoder is set up with may hold more than it needs, by ISO/IEC 14496-15 section 8.3.3.1."""
    if video.codec_context.codec.canonical_name != "hevc":
        return False
    data = bytes(video.codec_context.extradata or b"")
    if data[:1] != b"\1" or len(data) < 23:
        return bool(data)
    at, kinds = 23, []
    for _ in range(data[22]):
        kinds.append(data[at] & 0x3F if at < len(data) else 0)
        count, at = int.from_bytes(data[at + 1 : at + 3], "big"), at + 3
        for _ in range(count):
            at += 2 + int.from_bytes(data[at : at + 2], "big")
    return not set(kinds) <= {32, 33, 34}


def _colours_told(video: VideoStream, coding: str) -> str | None:
    """The filter that writes into the coded pictures which colours are shown, where they don't say it.

    Browsers differ in what they take them for, and some go by what is told only where all of it is.
    """
    told = video.codec_context
    matrix = matrix_of(told.colorspace, told.height, coding)
    if coding == "vp9" and told.colorspace == _UNTOLD:
        return f"vp9_metadata=color_space={'bt709' if matrix == _BT709 else 'smpte170'}"
    if coding != "h264" or _UNTOLD not in {told.colorspace, told.color_primaries, told.color_trc}:
        return None
    primaries, brightness = (_BT709 if each == _UNTOLD else each for each in (told.color_primaries, told.color_trc))
    said = f"matrix_coefficients={matrix}:colour_primaries={primaries}:transfer_characteristics={brightness}"
    return f"h264_metadata={said}"


def _tell_colours(source: VideoStream, video: VideoStream, coding: str) -> None:
    """The same for the file around them: a VP8 frame has no room for it."""
    told, tells = source.codec_context, video.codec_context
    tells.colorspace = matrix_of(told.colorspace, told.height, coding)
    tells.color_primaries = _BT709 if told.color_primaries == _UNTOLD else told.color_primaries
    tells.color_trc = _BT709 if told.color_trc == _UNTOLD else told.color_trc


@contextmanager
def _written(made: Path, form: Form) -> Iterator[OutputContainer]:
    options = {**_OPTIONS, **dict(form.options)}
    with av.open(f"file:{made}", "w", format=form.name, options=options) as target:
        target.metadata.clear()
        yield target


def _copy(source: Source, target: OutputContainer, video: VideoStream, sound: "_Sound | None") -> None:
    coding = source.video.codec_context.codec.canonical_name
    told = _colours_told(source.video, coding) or _WRITTEN_ANEW.get(coding)
    filters = ",".join(each for each in (_ONLY_PICTURES.get(coding), told) if each)
    units = BitStreamFilterContext(filters, source.video, video) if filters else None
    video.codec_context.codec_tag = _FORMS_OWN
    if coding not in _ONLY_PICTURES:
        video.codec_context.extradata = None  # their decoders need none, so that anything may lie there
    _tell_colours(source.video, video, coding)
    streams: list[Stream] = [source.video, *([sound.heard] if sound else [])]
    for packet in source.container.demux(streams):
        if sound and packet.stream is sound.heard:
            sound.take(packet)
            continue
        if packet.size == 0:
            continue
        if packet.is_discard:
            raise ValueError("a frame that was cut off, and only its list of edits says so")
        strip = _jpeg_alone if coding == "mjpeg" else bytes
        fresh = _bare(packet, source.video, strip, begin=source.video.start_time or 0)
        for each in units.filter(fresh) if units else [fresh]:
            each.stream = video
            target.mux(each)
    for each in units.filter(None) if units else []:
        each.stream = video
        target.mux(each)
    if sound:
        sound.end()


def _bare(
    packet: "Packet[Any]", stream: Stream, strip: Callable[[bytes], bytes] = bytes, *, begin: int = 0
) -> "Packet[Any]":
    """A packet's coded pictures and its times from where it begins, without what else lies beside them."""
    fresh: Packet[Any] = Packet(strip(bytes(packet)))
    fresh.stream = stream
    pts, dts = (None if at is None else at - begin for at in (packet.pts, packet.dts))
    fresh.pts, fresh.dts, fresh.duration = pts, dts, packet.duration
    fresh.time_base, fresh.is_keyframe = packet.time_base, packet.is_keyframe
    return fresh


def _jpeg_alone(coded: bytes) -> bytes:
    found = read_jpeg(coded)
    clean = found.stripped(coded)
    if draws_over(coded, found.kept) or said_of(clean, "L" if found.inks is Inks.GREY else "RGB"):
        raise ValueError("more lies among its coded pixels")
    return clean


class _Sound:
    """Takes the sound along, coded anew: its coded form has room for a maker's words, some of it in every packet."""

    def __init__(self, source: Source, target: OutputContainer, form: Form) -> None:
        heard = source.container.streams.best("audio")
        if not isinstance(heard, AudioStream):
            raise PortalError("a movie without sound")
        stream = target.add_stream(form.sound, rate=48_000)
        if not isinstance(stream, AudioStream):
            raise TypeError(f"{form.sound} codes no sound")
        stream.codec_context.flags |= Flags.bitexact  # else the encoder's name and version are in it
        self.heard, self.stream, self.target = heard, stream, target
        self.begin = round((source.video.start_time or 0) * (source.video.time_base or 0) / (heard.time_base or 1))
        self.resampler = AudioResampler(format=stream.codec_context.format, layout="stereo", rate=48_000)

    def take(self, packet: "Packet[Any]") -> None:
        """Write what a packet holds."""
        for frame in packet.decode():
            if isinstance(frame, AudioFrame):
                frame.pts = None if frame.pts is None else frame.pts - self.begin
                for each in self.resampler.resample(frame):
                    self.target.mux(self.stream.encode(each))

    def end(self) -> None:
        """Write what is left."""
        for left in self.resampler.resample(None):
            self.target.mux(self.stream.encode(left))
        self.target.mux(self.stream.encode(None))


def _anew(
    path: Path, facts: PictureFacts, out: Path, *, until: float, encoders: Sequence[tuple[str, Form, Any]]
) -> Played:
    """Every frame decoded, set upright, blacked out where that is asked for, and coded; LookupError without encoder."""
    usable = [each for each in encoders if each[0] in av.codecs_available]
    if not usable:
        raise LookupError("the reading library has no encoder of a kind that browsers play")
    encoder, form, options = usable[0]
    size = _fitting(facts)
    with half_written(out, ending=form.ending) as made:
        with opened(path) as source, _written(made, form) as target:
            video = _coder(target, encoder, options, source, size)
            sound = _Sound(source, target, form) if facts.movie and facts.movie.keeps_sound else None
            target.start_encoding()  # now the filter finds what the encoder says of its stream
            only = _ONLY_PICTURES.get(video.codec.canonical_name)
            units = BitStreamFilterContext(only, video) if only else None
            _Writing(facts, source, target, video, size, until, units).all(sound)
        kept = keep_file(out, made, ending=form.ending)
    notes = [_why_anew(path, facts)]
    if max(facts.upright.width, facts.upright.height) > LONGEST:
        notes.append(Say.of("movie.smaller", width=size[0], height=size[1]))
    return Played(kept, (*notes, *_of_sound(facts)))


def _why_anew(path: Path, facts: PictureFacts) -> Say:
    coding = facts.movie.coding if facts.movie else ""
    if facts.masks:
        return Say.of("movie.blacked_out")
    with opened(path) as source:
        of_no_browser = coding not in PLAYED or source.video.codec_context.pix_fmt not in _EIGHT_BITS
    return Say.of("movie.coded_anew", coding=coding) if of_no_browser else Say.of("movie.no_copy")


def _fitting(facts: PictureFacts) -> tuple[int, int]:
    """The size of the coded frames: even numbers, as a quarter of the colours is kept."""
    upright = facts.upright
    share = min(1.0, LONGEST / max(upright.width, upright.height))
    width, height = (max(2, round(side * share) // 2 * 2) for side in (upright.width, upright.height))
    return width, height


def _coder(
    target: OutputContainer, encoder: str, options: dict[str, str], source: Source, size: tuple[int, int]
) -> VideoStream:
    rate = source.video.average_rate or source.video.guessed_rate or Fraction(25)
    video = target.add_stream(encoder, rate=rate, options=options)
    if not isinstance(video, VideoStream):
        raise TypeError(f"{encoder} codes no pictures")
    video.width, video.height = size
    video.pix_fmt = "yuv420p"
    coder = video.codec_context
    coder.thread_count = 1
    coder.time_base = source.video.time_base or Fraction(1, 1000)
    coder.colorspace = coder.color_primaries = coder.color_trc = _BT709
    coder.color_range = int(ColorRange.MPEG)
    return video


@dataclass
class _Writing:
    facts: PictureFacts
    source: Source
    target: OutputContainer
    video: VideoStream
    size: tuple[int, int]
    until: float
    units: BitStreamFilterContext | None
    last: int = -1

    def all(self, sound: _Sound | None) -> None:
        """Write every frame, and the sound beside."""
        self.source.video.codec_context.thread_count = 1
        streams: list[Stream] = [self.source.video, *([sound.heard] if sound else [])]
        for packet in self.source.container.demux(streams):
            if sound and packet.stream is sound.heard:
                sound.take(packet)
                continue
            for frame in packet.decode():
                if isinstance(frame, VideoFrame):
                    self.frame(frame)
        self.write(self.video.encode(None))
        if sound:
            sound.end()

    def frame(self, frame: VideoFrame) -> None:
        """Write one frame."""
        if time.monotonic() > self.until:
            raise TooLong
        at = self.last + 1 if frame.pts is None else frame.pts - (self.source.video.start_time or 0)
        if at <= self.last:
            return  # two frames of one moment, of which a player shows the first
        self.last = at
        image = blacked(upright_frame(frame, self.facts), self.facts.masks)
        if image.size != self.size:
            image = image.resize(self.size, Image.Resampling.BOX)
        fresh = VideoFrame.from_ndarray(np.asarray(image), "rgb24").reformat(
            format="yuv420p", dst_colorspace=Colorspace.ITU709, dst_color_range=ColorRange.MPEG
        )
        fresh.pts, fresh.time_base = at, self.source.video.time_base or Fraction(1, 1000)
        self.write(self.video.encode(fresh))

    def write(self, packets: "list[Packet[Any]]") -> None:
        """Write coded frames, without what the encoder says of itself beside them."""
        for packet in packets:
            bare = _bare(packet, self.video)
            for each in self.units.filter(bare) if self.units else [bare]:
                each.stream = self.video
                self.target.mux(each)
