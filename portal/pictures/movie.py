"""What a movie's file says of itself, and its frames set upright.

It is opened by the demuxer of the kind that its first bytes tell, through a file that is open already: so nothing in
it can make the reading library open another. The frame that the pages measure by has square pixels, as a player shows
it. Rotation: ISO/IEC 14496-12 section 6.2.2, the matrix of a track, of which quarter turns and mirrors are known.
"""

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import local

import av
import numpy as np
from av.container import InputContainer
from av.sidedata.sidedata import SideData
from av.stream import Disposition
from av.video.frame import VideoFrame
from av.video.reformatter import ColorPrimaries, Colorspace, ColorTrc, VideoReformatter
from av.video.stream import VideoStream
from numpy.typing import NDArray
from PIL import Image

from portal.model.picture import Movie, PictureFacts
from portal.model.scalars import Frame
from portal.pictures.boxes import check_movie
from portal.pictures.header import check_size
from portal.pictures.jpeg import ENDS_EARLY
from portal.pictures.kinds import AS_WHICH, HEAD, MovieKind, sniff_movie
from portal.pictures.upright import TURNS
from portal.problem import PortalError

_MOST_MEGAPIXELS = 70
"""Twice those of the largest movies that cameras make. A frame is there several times at once while it is shown: one of
100 megapixels took 1.7 GB."""

_LEAST_SHARE = 0.95
"""Fewer frames than this share of those that the file says to hold: it ends early. Some writers count one too many."""

_ORIENTATIONS = {
    (1, 0, 0, 1): 1,
    (-1, 0, 0, 1): 2,
    (-1, 0, 0, -1): 3,
    (1, 0, 0, -1): 4,
    (0, 1, 1, 0): 5,
    (0, 1, -1, 0): 6,
    (0, -1, -1, 0): 7,
    (0, -1, 1, 0): 8,
}
"""The Exif value for the signs of a, b, c, d of a track's matrix: x' = ax + cy, y' = bx + dy."""

_COLOURS = {
    1: Colorspace.ITU709,
    4: Colorspace.FCC,
    5: Colorspace.ITU601,
    6: Colorspace.ITU601,
    7: Colorspace.SMPTE240M,
    9: Colorspace.BT2020,
    10: Colorspace.BT2020,
}
"""By the matrix coefficients of ITU-T H.273 table 4."""

_WIDE_PRIMARIES = {9, 11, 12}
_WIDE_BRIGHTNESS = {16, 18}
"""Colours and brightness of more range than a page shows, which newer telephones record: they are brought into it. By
ITU-T H.273 tables 2 and 3: BT.2020 and the two of P3; PQ and HLG."""

_WIDE_FROM = 720
"""Rows from which players take untold colours for those of wide screens; common practice, no source."""

_EARLIER = (0, 2, 10, float("inf"))
"""Seconds before that to which a movie is wound: some kinds can only be wound to somewhere behind."""

_WIDE, _NARROW = 1, 6
_WEB = {"vp8", "libvpx", "vp9", "libvpx-vp9"}
"""Of which untold colours are taken for narrow ones whatever the size. VP8 knows no others: RFC 6386 section 9.2. Of
VP9 nearly all that write it make them so, and the most used browser plays them so; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Source:
    """An open movie and the stream of it that is shown."""

    container: InputContainer
    video: VideoStream

    def second(self, frame: VideoFrame) -> float:
        """When a frame is shown, from the start of the movie."""
        start = self.video.start_time or 0
        pts = frame.pts if frame.pts is not None else start
        return float((pts - start) * (self.video.time_base or 0))


@contextmanager
def opened(path: Path, *, uncut: bool = False) -> Iterator[Source]:
    """A movie to be read; PortalError for whatever is wrong with it, also while it is read.

    `uncut` is with what its list of edits cuts off: ISO/IEC 14496-12 section 8.6.6.
    """
    try:
        with path.open("rb") as file:
            kind = sniff_movie(file.read(HEAD))
            if kind is None:
                raise PortalError("this is no movie")
            _refuse_half(path, kind)
            file.seek(0)
            options = {"ignore_editlist": "1"} if uncut and kind is MovieKind.ISO else {}
            with av.open(file, "r", format=kind.value, metadata_errors="ignore", options=options) as container:
                yield Source(container, _stream(container))
    except av.FFmpegError as error:
        raise PortalError(f"damaged file: can't be decoded ({error.strerror})") from error
    except OSError as error:
        raise PortalError(f"can't be opened: {error.strerror or error}") from error


def movie_facts(path: Path, *, megapixels: float) -> PictureFacts:
    """What a movie's file says of itself; one frame is decoded, and all are counted."""
    megapixels = min(megapixels, _MOST_MEGAPIXELS)
    with path.open("rb") as file:
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    with opened(path) as source:
        stored = displayed(source.video)
        check_size(stored, megapixels)
        check_size(Frame(source.video.codec_context.width, source.video.codec_context.height), megapixels)
        first = next(frames(source), None)
        if first is None:
            raise PortalError("damaged file: no frame of it can be decoded")
        orientation = orientation_of(first)
        taken = _taken(source.container.metadata.get("com.apple.quicktime.creationdate", ""))
        sound = bool(source.container.streams.audio)
    with opened(path) as source:
        count, held, seconds = _count(source)
        coding, least = source.video.codec_context.name, _LEAST_SHARE * source.video.frames
    if held < least and _held_uncut(path) < least:
        raise PortalError(ENDS_EARLY)
    return PictureFacts(sha256, stored, orientation, taken, movie=Movie(coding, count, seconds, sound))


class _Own(local):
    """What brings the frames of this thread into other colours, and keeps what it worked out for one for the next.

    For colours of more range that is a table, which takes longer than a hundred frames through it.
    """

    def __init__(self) -> None:
        self.reformatter = VideoReformatter()


_own = _Own()


def frames(source: Source) -> Iterator[VideoFrame]:
    """The frames from where the movie stands; one processor is enough, as several movies are read at once."""
    if not source.video.codec_context.is_open:
        source.video.codec_context.thread_count = 1
    yield from source.container.decode(source.video)


def displayed(video: VideoStream) -> Frame:
    """The frame as a player shows it before it is turned: its pixels made square by changing its width."""
    width, height = video.codec_context.width, video.codec_context.height
    shape = video.sample_aspect_ratio
    if shape and shape > 0 and shape != 1:
        width = max(1, round(width * shape))
    return Frame(width, height)


def orientation_of(frame: VideoFrame) -> int:
    """How a frame lies, as an Exif value; any turn that is no quarter turn counts as none, as in most players."""
    return _lying(frame) or 1


def shown_oddly(frame: VideoFrame) -> bool:
    """Whether a file says to show its frames otherwise than in one of eight ways at the size that they have.

    It may turn them by any angle, stretch or shear them, or have them for two eyes or all around, of which each
    player makes what it likes.
    """
    if any(kind in frame.side_data for kind in ("STEREO3D", "SPHERICAL")):
        return True
    return _lying(frame) is None or not np.isin(np.abs(np.round(_turn_of(frame), 2)), (0, 1)).all()


def _lying(frame: VideoFrame) -> int | None:
    turn = _turn_of(frame)
    a, b, c, d = (int(each) for each in np.sign(np.round(turn / np.abs(turn).max(), 2)))
    return _ORIENTATIONS.get((a, b, c, d))


def _turn_of(frame: VideoFrame) -> NDArray[np.float64]:
    """The numbers a, b, c, d of a track's matrix; those of a frame that isn't turned where there are none."""
    found = frame.side_data.get("DISPLAYMATRIX")
    matrix = np.frombuffer(bytes(found) if isinstance(found, SideData) else b"", dtype=np.int32)
    turn = matrix[[0, 1, 3, 4]] / 0x10000 if matrix.size == 9 else np.zeros(4)
    return turn if turn.any() else np.array([1.0, 0, 0, 1])


def upright_frame(frame: VideoFrame, facts: PictureFacts) -> Image.Image:
    """A frame as everybody sees it: upright, of square pixels, red, green and blue of 8 bits.

    PortalError where it has another height than the first: players differ in how they show that, and a region to be
    blacked out would lie elsewhere.
    """
    stored = facts.stored
    if frame.height != stored.height:
        raise PortalError("its frames change their size, which isn't read", hint=AS_WHICH)
    wide: dict[str, int] = {}
    if frame.color_primaries in _WIDE_PRIMARIES or frame.color_trc in _WIDE_BRIGHTNESS:
        wide = {"dst_color_primaries": ColorPrimaries.BT709, "dst_color_trc": ColorTrc.BT709}
    coding = facts.movie.coding if facts.movie else ""
    colours = _COLOURS[matrix_of(frame.colorspace, frame.height, coding)]
    plain = _own.reformatter.reformat(frame, stored.width, stored.height, "rgb24", src_colorspace=colours, **wide)
    image = Image.fromarray(plain.to_ndarray())
    turn = TURNS.get(facts.orientation)
    return image if turn is None else image.transpose(turn)


def matrix_of(told: int, height: int, coding: str) -> int:
    """By which rule of ITU-T H.273 brightness and differences become red, green and blue: as told or as it is taken."""
    if told in _COLOURS:
        return told
    return _WIDE if height >= _WIDE_FROM and coding not in _WEB else _NARROW


def frame_at(source: Source, second: float, facts: PictureFacts) -> Image.Image:
    """The frame that is shown at that second, upright; PortalError where none can be decoded there."""
    last = None
    for earlier in _EARLIER:
        last = _last_until(source, second, _from(source, second - earlier))
        if last is not None and source.second(last) <= second:
            break
    if last is None:
        raise PortalError("damaged file: no frame of it can be decoded")
    return upright_frame(last, facts)


def _last_until(source: Source, second: float, found: Iterator[VideoFrame]) -> VideoFrame | None:
    """The last frame that begins by that second, else the first that there is."""
    last = None
    for frame in found:
        if last is not None and source.second(frame) > second:
            break
        last = frame
    return last


def _from(source: Source, second: float) -> Iterator[VideoFrame]:
    """Frames from the last key frame before that second; from the start where the movie can't be wound there."""
    video = source.video
    if second < 0:
        source.container.seek(0)
        yield from frames(source)
        return
    at = int(second / float(video.time_base or 1)) + (video.start_time or 0)
    try:
        source.container.seek(at, stream=video)
    except av.FFmpegError:
        source.container.seek(0)
    yield from frames(source)


def _stream(container: InputContainer) -> VideoStream:
    """The stream that a player would show: not a picture that is attached as a cover."""
    found = container.streams.best("video")
    if isinstance(found, VideoStream) and found.disposition & Disposition.attached_pic:
        moving = (each for each in container.streams.video if not each.disposition & Disposition.attached_pic)
        found = next(moving, None)
    if not isinstance(found, VideoStream):
        raise PortalError("a movie without pictures", hint=AS_WHICH)
    if found.codec_context is None or found.codec_context.name in {"", "none"}:
        raise PortalError("a movie coded in a way that isn't read", hint=AS_WHICH)
    return found


def _count(source: Source) -> tuple[int, int, float]:
    """How many frames are shown, how many there are with those that are only decoded for others, how long they last."""
    video, count, held, first, end = source.video, 0, 0, None, 0
    for packet in source.container.demux(video):
        if packet.size == 0:
            continue
        if packet.is_corrupt and packet.pts is not None:
            raise PortalError(ENDS_EARLY)
        held += 1
        if packet.is_discard:
            continue
        count += 1
        if packet.pts is not None:
            first = packet.pts if first is None else min(first, packet.pts)
            end = max(end, packet.pts + (packet.duration or 0))
    seconds = float((end - (first or 0)) * (video.time_base or 0))
    rate = video.average_rate
    if seconds <= 0 and rate:
        seconds = float(count / rate)
    declared = (source.container.duration or 0) / av.time_base
    until = max(seconds, float(end * (video.time_base or 0)))  # its clock may begin later than at nought
    if source.container.format.name.startswith("matroska") and until < _LEAST_SHARE * declared - 1:
        raise PortalError(ENDS_EARLY)
    return count, held, round(seconds, 3)


def _held_uncut(path: Path) -> int:
    """How many frames there are with all that was cut off; that is only asked of a movie that seems to lack some."""
    with opened(path, uncut=True) as source:
        return _count(source)[1]


def _refuse_half(path: Path, kind: MovieKind) -> None:
    """A file of which a part is missing is refused: a player would stop in the middle of it without a word."""
    with path.open("rb") as file:
        if kind is MovieKind.ISO:
            check_movie(file)
        elif kind is MovieKind.AVI:
            said = int.from_bytes(file.read(8)[4:], "little")
            if said + 8 > file.seek(0, os.SEEK_END) + 1:
                raise PortalError(ENDS_EARLY)


def _taken(text: str) -> str | None:
    """When it was taken, by the camera's clock with its offset; whether a time without one is UTC, nobody knows."""
    if len(text) == 24 and text[19] in "+-":
        return f"{text[:22]}:{text[22:]}"
    return None
