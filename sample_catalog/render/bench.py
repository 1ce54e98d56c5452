"""Large photo-like pictures, made fast, for timing what reads them."""

from functools import lru_cache

import numpy as np
from PIL import Image

from . import lens
from .face import FacePiece, Seeds, render_face
from .frame import Frame
from .scenes import Pixels


def bench_picture(seed: int, size: tuple[int, int]) -> Pixels:
    """Return a picture (rows, columns, 3) of one face, mirrored and freshly grained by seed."""
    rng = np.random.default_rng([seed, 9])
    base = _enlarged(size)
    if seed & 1:
        base = base[:, ::-1]
    if seed & 2:
        base = base[::-1]
    grain = np.roll(_tile(), (int(rng.integers(512)), int(rng.integers(512))), axis=(0, 1))
    wide = np.tile(grain, (-(-size[1] // 512), -(-size[0] // 512), 1))[: size[1], : size[0]]
    made = base + wide + np.int16(rng.integers(-6, 7))
    return np.asarray(np.clip(made, 0, 255), np.uint8)


@lru_cache(maxsize=1)
def _tile() -> "np.ndarray[tuple[int, ...], np.dtype[np.int16]]":
    grey = np.random.default_rng(9).normal(0.0, 2.2, (512, 512, 1))
    return np.rint(grey).astype(np.int16)


@lru_cache(maxsize=2)
def _enlarged(size: tuple[int, int]) -> "np.ndarray[tuple[int, ...], np.dtype[np.int16]]":
    frame, seeds, camera = Frame(1024, 768, 3.44, 3.436, 150.0, 0.0), Seeds(900), lens.Camera()
    light = render_face(frame, FacePiece(3, 0.01, ()), low=True, seeds=seeds, camera=camera)
    small = lens.to_bytes(lens.expose(light, frame, camera, None))
    return np.asarray(Image.fromarray(small).resize(size, Image.Resampling.BICUBIC)).astype(np.int16)
