"""The sample's movie: a low lamp goes to and fro over a sink mark, as an inspector tilts it by hand.

`python -m render.film`, started in `sample_catalog/`, writes it again.
"""

import argparse
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction
from functools import partial
from pathlib import Path

import av
import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace
from av.video.stream import VideoStream

from . import lens, light
from .face import FacePiece, Seeds, render_face
from .frame import Frame
from .scenes import Pixels, Scene, _frame, _piece
from .shots import SHOTS

SCENE = next(each for each in SHOTS if "T2_c4_s14_low-angle" in each.path)
PATH = "moulds/M-118/trials/T2/images/M-118_T2_c4_s14_tilt.mp4"
SIZE = (640, 480)
MIDDLE, FACTOR = (1440.0, 1095.0), 1.4
"""Where the mark is in the picture of that scene, and how many of its pixels are one of the movie's."""
FRAMES, RATE = 60, 12
_OPTIONS = {"crf": "23", "preset": "slow", "x264-params": "mbtree=0"}


def main() -> int:
    """Make the movie and write it into the sample, or elsewhere."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).resolve().parents[1])
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    path = asked.out / PATH
    path.parent.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(asked.jobs) as pool:
        write(path, pool.map(partial(picture, SCENE), range(FRAMES)))
    print(f"{PATH}: {path.stat().st_size / 1000:.0f} kB")
    return 0


def tilted(number: int) -> light.Light:
    """The lamp at one frame: it goes round a third of a circle and comes back, and rises on the way."""
    way = 0.5 - 0.5 * float(np.cos(2 * np.pi * number / FRAMES))
    azimuth, tall = 160.0 + 105.0 * way, 8.0 + 7.0 * float(np.sin(np.pi * way)) ** 2
    lamps = (light.lamp(azimuth, tall, 1.0, 0.05), light.lamp(azimuth + 9, tall + 4, 0.35, 0.1))
    return light.Light(lamps, 0.045, 1.38)


def picture(scene: Scene, number: int) -> Pixels:
    """One frame of the movie, as the pixels of its camera."""
    whole, piece = _frame(scene), _piece(scene)
    if not isinstance(piece, FacePiece):
        raise ValueError("only a face lies still under a moving lamp")
    left, top = (round(each - side * FACTOR / 2) for each, side in zip(MIDDLE, SIZE, strict=True))
    part = whole.cut(
        slice(top, top + round(SIZE[1] * FACTOR)), slice(left, left + round(SIZE[0] * FACTOR))
    )
    frame = Frame(*SIZE, part.sx * FACTOR, part.sy * FACTOR, part.cx, part.cy)
    camera = lens.Camera()
    seen = render_face(frame, piece, low=True, seeds=Seeds(scene.seed), camera=camera, lamps=tilted(number))
    return lens.to_bytes(np.clip(lens.expose(seen, frame, camera, None), 0.0, 255.0))


def write(path: Path, pictures: Iterator[Pixels]) -> None:
    """Write frames as a telephone would: H.264 in an MP4, with the time beside them."""
    with av.open(str(path), "w", format="mp4") as target:
        target.metadata["creation_time"] = "2026-03-04T09:15:40Z"
        target.metadata["title"] = "low lamp over cavity 4"
        video = target.add_stream("libx264", rate=RATE, options=_OPTIONS)
        if not isinstance(video, VideoStream):
            raise TypeError("no coder of pictures")
        video.width, video.height = SIZE
        video.pix_fmt = "yuv420p"
        video.codec_context.thread_count = 1
        video.codec_context.time_base = Fraction(1, RATE)
        video.codec_context.colorspace = video.codec_context.color_primaries = 1
        video.codec_context.color_trc = 1
        for number, pixels in enumerate(pictures):
            frame = VideoFrame.from_ndarray(pixels, "rgb24").reformat(
                format="yuv420p", dst_colorspace=Colorspace.ITU709, dst_color_range=ColorRange.MPEG
            )
            frame.pts, frame.time_base = number, Fraction(1, RATE)
            target.mux(video.encode(frame))
        target.mux(video.encode(None))


if __name__ == "__main__":
    raise SystemExit(main())
