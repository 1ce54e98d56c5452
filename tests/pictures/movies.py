"""Makes small movies for the tests, with only what a test asks for in them."""

import re
import struct
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.packet import Packet
from av.stream import Disposition, Stream
from av.video.frame import VideoFrame
from av.video.reformatter import Colorspace
from av.video.stream import VideoStream
from numpy.typing import NDArray

from tests.pictures.make import SECRET

FORMS = {
    ".mp4": ("mp4", "libx264", "aac"),
    ".mov": ("mov", "libx264", "aac"),
    ".webm": ("webm", "libvpx-vp9", "libopus"),
    ".avi": ("avi", "mjpeg", "pcm_s16le"),
    ".mkv": ("matroska", "libx264", "aac"),
    ".ts": ("mpegts", "libx264", "aac"),
}
RATE = 10
Change = Callable[[bytes], bytes]

TURNED = {3: (-1, 0, 0, -1), 6: (0, 1, -1, 0), 8: (0, -1, 1, 0), 2: (-1, 0, 0, 1)}
"""The matrix (a, b, c, d) of a track by the Exif value that means the same; after ISO/IEC 14496-12 section 6.2.2."""

KINDS = {
    "libx264": "yuv420p",
    "libvpx-vp9": "yuv420p",
    "libvpx": "yuv420p",
    "mjpeg": "yuvj420p",
    "libx265": "yuv420p",
    "mpeg4": "yuv420p",
}


def drawn(number: int, frames: int, width: int, height: int) -> NDArray[np.uint8]:
    """A grey frame with a yellow corner at the upper left, and a white bar that moves from left to right."""
    pixels = np.full((height, width, 3), 90, np.uint8)
    pixels[: height // 4, : width // 4] = (230, 210, 20)
    at = (width - 8) * number // max(frames - 1, 1)
    pixels[height // 2 :, at : at + 8] = 250
    return pixels


def movie(
    path: Path,
    *,
    frames: int = 20,
    size: tuple[int, int] = (96, 64),
    coding: str | None = None,
    pix_fmt: str | None = None,
    sound: bool = False,
    said: Mapping[str, str] | None = None,
    orientation: int = 1,
    second_track: bool = False,
    cover: bool = False,
    wide: bool = False,
    options: Mapping[str, str] | None = None,
) -> Path:
    """A movie of a bar that moves, in the form that the ending names."""
    form, usual, sound_coding = FORMS[path.suffix]
    path.parent.mkdir(parents=True, exist_ok=True)
    extra = {"movflags": "use_metadata_tags"} if form in {"mp4", "mov"} and not cover else {}
    with av.open(str(path), "w", format=form, options=extra) as target:
        target.metadata.update(said or {})
        if said and form in {"mp4", "mov", "matroska"}:
            title = {"title": said["title"]} if "title" in said else {}
            target.set_chapters([{"id": 1, "start": 0, "end": 1000, "time_base": Fraction(1, 1000), "metadata": title}])
        videos = [
            _video(target.add_stream(coding or usual, rate=RATE, options=dict(options or {})), size, pix_fmt)
            for _ in range(1 + second_track)
        ]
        if said:
            videos[0].metadata["handler_name"] = said.get("title", "camera")
        if wide:
            for video in videos:
                video.codec_context.colorspace = video.codec_context.color_primaries = 9
                video.codec_context.color_trc = 18
        pictured = _cover(target) if cover else None
        heard = target.add_stream(sound_coding, rate=48_000) if sound else None
        if pictured:
            still = VideoFrame.from_ndarray(np.full((480, 640, 3), 200, np.uint8), "rgb24")
            still.pts, still.time_base = 0, Fraction(1, 1)
            target.mux([*pictured.encode(still), *pictured.encode(None)])
        for number in range(frames):
            for video in videos:
                frame = VideoFrame.from_ndarray(drawn(number, frames, *size), "rgb24")
                if wide:
                    frame = frame.reformat(format="yuv420p10le", dst_colorspace=Colorspace.BT2020)
                    frame.colorspace = frame.color_primaries = 9
                    frame.color_trc = 18
                frame.pts, frame.time_base = number, Fraction(1, RATE)
                target.mux(video.encode(frame))
        for video in videos:
            target.mux(video.encode(None))
        if isinstance(heard, AudioStream):
            for each in _tone(frames / RATE):
                target.mux(heard.encode(each))
            target.mux(heard.encode(None))
    if orientation != 1:
        turn(path, orientation)
    return path


def sound_with_cover(path: Path) -> Path:
    """Two seconds of sound with a picture that is attached, as a recorder of sound writes it; nothing in it moves."""
    with av.open(str(path), "w", format="mp4") as target:
        heard, pictured = target.add_stream("aac", rate=48_000), _cover(target)
        assert isinstance(heard, AudioStream)
        still = VideoFrame.from_ndarray(np.full((480, 640, 3), 200, np.uint8), "rgb24")
        still.pts, still.time_base = 0, Fraction(1, 1)
        target.mux([*pictured.encode(still), *pictured.encode(None)])
        for each in _tone(2):
            target.mux(heard.encode(each))
        target.mux(heard.encode(None))
    return path


def _video(video: object, size: tuple[int, int], pix_fmt: str | None) -> VideoStream:
    assert isinstance(video, VideoStream)
    video.width, video.height = size
    video.pix_fmt = pix_fmt or KINDS[video.codec.name]
    video.codec_context.time_base = Fraction(1, RATE)
    return video


def _cover(target: OutputContainer) -> VideoStream:
    """A picture that is attached, larger than the frames."""
    cover = target.add_stream("mjpeg", rate=1)
    assert isinstance(cover, VideoStream)
    cover.width, cover.height, cover.pix_fmt = 640, 480, "yuvj420p"
    cover.disposition = Disposition.attached_pic
    return cover


def _tone(seconds: float) -> list[AudioFrame]:
    samples = np.sin(np.arange(int(48_000 * seconds)) * 2 * np.pi * 440 / 48_000).astype(np.float32)
    found = []
    for at in range(0, len(samples) - 1023, 1024):
        frame = AudioFrame.from_ndarray(samples[None, at : at + 1024], format="flt", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = 48_000, at, Fraction(1, 48_000)
        found.append(frame)
    return found


def turn(path: Path, orientation: int | tuple[float, float, float, float]) -> None:
    """Write into every track that it is to be shown turned, or by those numbers a, b, c, d."""
    told = TURNED[orientation] if isinstance(orientation, int) else orientation
    a, b, c, d = (round(each * 0x10000) for each in told)
    matrix = struct.pack(">9i", a, b, 0, c, d, 0, 0, 0, 0x40000000)
    data = bytearray(path.read_bytes())
    at = data.find(b"tkhd")
    assert at > 0 and data[at + 4] == 0, "a track header of version 0"
    while at > 0:
        data[at + 44 : at + 80] = matrix
        at = data.find(b"tkhd", at + 4)
    path.write_bytes(bytes(data))


def hide_in_pictures(path: Path) -> None:
    """Put a word between the coded pictures of the first frame of an H.264 movie, where some cameras write theirs."""
    data = path.read_bytes()
    marker = b"x264 - core"
    assert marker in data
    path.write_bytes(data.replace(marker, SECRET[: len(marker)].ljust(len(marker), b"!")))


def hide_in_sound(path: Path) -> None:
    """Put a word into the coded sound, where its encoder writes what it is."""
    data = path.read_bytes()
    path.write_bytes(re.sub(rb"Lavc[0-9.]{7,}", lambda found: SECRET.ljust(len(found[0]), b"!"), data))
    assert SECRET in path.read_bytes()


SAID = {
    "title": SECRET.decode(),
    "artist": SECRET.decode(),
    "comment": SECRET.decode(),
    "creation_time": "2026-02-12T09:15:00Z",
    "location": "+48.2082+016.3738/",
    "com.apple.quicktime.location.ISO6709": "+48.2082+016.3738+180.000/",
    "com.apple.quicktime.make": SECRET.decode(),
    "com.apple.quicktime.model": SECRET.decode(),
    "com.apple.quicktime.creationdate": "2026-02-12T10:15:00+0100",
}
"""What telephones and cameras say of themselves beside the pictures."""


def cut(path: Path, begin: float, end: float) -> Path:
    """Have a movie begin and end at those seconds by its list of edits alone, as some programs cut: all stays in it."""
    data = bytearray(path.read_bytes())
    edits, movie_head, media_head = (data.index(name) for name in (b"elst", b"mvhd", b"mdhd"))
    of_movie, of_media = (int.from_bytes(data[at + 16 : at + 20], "big") for at in (movie_head, media_head))
    _, start = struct.unpack_from(">Ii", data, edits + 12)
    struct.pack_into(">Ii", data, edits + 12, round((end - begin) * of_movie), start + round(begin * of_media))
    path.write_bytes(bytes(data))
    return path


def rewritten(
    path: Path, target: Path, form: str, *, first: Change = bytes, each: Change = bytes, setup: Change = bytes
) -> Path:
    """A movie's packets in another file, the first of them, each, and what a decoder is set up with changed."""
    with av.open(str(path)) as source, av.open(str(target), "w", format=form) as made:
        stream = made.add_stream_from_template(source.streams.video[0])
        stream.codec_context.extradata = setup(bytes(stream.codec_context.extradata or b"")) or None
        for number, packet in enumerate(source.demux(video=0)):
            if packet.size:
                fresh: Packet[Stream] = Packet(each(bytes(packet) if number else first(bytes(packet))))
                fresh.stream, fresh.pts, fresh.dts = stream, packet.pts, packet.dts
                fresh.duration, fresh.time_base, fresh.is_keyframe = (
                    packet.duration,
                    packet.time_base,
                    packet.is_keyframe,
                )
                made.mux(fresh)
    return target


def unit(payload: bytes) -> bytes:
    """A unit of H.264 or HEVC as it lies in an MP4."""
    return struct.pack(">I", len(payload)) + payload
