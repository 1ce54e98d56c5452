"""Makes TIFFs of every form that cameras' programs write: strips or tiles, by pixel or by colour, packed or not."""

import struct
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

LZW, OLD_JPEG, JPEG, DEFLATE, PACKBITS = 5, 6, 7, 8, 32773
_BY_LIBRARY = {LZW: "tiff_lzw", PACKBITS: "packbits"}


@dataclass(frozen=True)
class Form:
    """How the samples lie in the file."""

    sign: str = "<"
    packing: int = 1
    predictor: int = 1
    rows: int = 16
    tile: tuple[int, int] | None = None
    """Its height and width, both whole numbers of 16."""
    in_planes: bool = False
    photometric: int | None = None
    tags: tuple[tuple[int, int], ...] = ()
    """More tags, of one short number."""


def tiff_of(samples: NDArray[Any], form: Form) -> bytes:
    """A TIFF of whole numbers or reals: height x width, or height x width x colours."""
    sign = form.sign
    height, width = samples.shape[:2]
    pixels = samples.reshape(height, width, -1)
    count = pixels.shape[2]
    planes = [pixels[..., k : k + 1] for k in range(count)] if form.in_planes else [pixels]
    parts = [_packed(part, form) for plane in planes for part in _parts(plane, form)]
    kind = (2 if count > 2 else 1) if form.photometric is None else form.photometric
    short: dict[int, Sequence[int]] = {258: [8 * samples.dtype.itemsize] * count, 259: [form.packing], 262: [kind]}
    short |= {277: [count], 284: [2 if form.in_planes else 1], 317: [form.predictor]}
    short |= {339: [3] * count} if samples.dtype.kind == "f" else {}
    short |= {tag: [value] for tag, value in form.tags}
    long: dict[int, Sequence[int]] = {256: [width], 257: [height]}
    long |= {322: [form.tile[1]], 323: [form.tile[0]]} if form.tile else {278: [form.rows]}
    starts, sizes = (324, 325) if form.tile else (273, 279)
    long |= {starts: [0] * len(parts), sizes: [len(part) for part in parts]}
    at = 8 + 2 + 12 * (len(short) + len(long)) + 4
    at += sum(size for tags, each in ((short, 2), (long, 4)) for v in tags.values() if (size := each * len(v)) > 4)
    long[starts] = [at + sum(len(part) for part in parts[:number]) for number in range(len(parts))]
    return b"".join((*_directory(sign, short, long), *parts))


def _directory(sign: str, short: dict[int, Sequence[int]], long: dict[int, Sequence[int]]) -> Iterator[bytes]:
    values = {tag: (3, len(v), struct.pack(f"{sign}{len(v)}H", *v)) for tag, v in short.items()}
    values |= {tag: (4, len(v), struct.pack(f"{sign}{len(v)}I", *v)) for tag, v in long.items()}
    at, beyond = 8 + 2 + 12 * len(values) + 4, []
    yield (b"II" if sign == "<" else b"MM") + struct.pack(f"{sign}HIH", 42, 8, len(values))
    for tag, (kind, count, value) in sorted(values.items()):
        yield struct.pack(f"{sign}HHI", tag, kind, count)
        yield value.ljust(4, b"\0") if len(value) <= 4 else struct.pack(f"{sign}I", at)
        if len(value) > 4:
            at += len(value)
            beyond.append(value)
    yield bytes(4)
    yield from beyond


def _parts(plane: NDArray[Any], form: Form) -> Iterator[NDArray[Any]]:
    height, width = plane.shape[:2]
    if not form.tile:
        yield from (plane[top : top + form.rows] for top in range(0, height, form.rows))
        return
    high, wide = form.tile
    whole = np.pad(plane, ((0, -height % high), (0, -width % wide), (0, 0)))
    for top in range(0, height, high):
        yield from (whole[top : top + high, left : left + wide] for left in range(0, width, wide))


def _packed(part: NDArray[Any], form: Form) -> bytes:
    if form.packing in {OLD_JPEG, JPEG}:
        return _as_jpeg(part, form)
    if form.predictor == 2:
        part = np.concatenate((part[:, :1], part[:, 1:] - part[:, :-1]), axis=1)
    plain = part.astype(part.dtype.newbyteorder(form.sign)).tobytes()  # type: ignore[arg-type]  # numpy knows both
    if form.packing == DEFLATE:
        return zlib.compress(plain)
    if form.packing == 1:
        return plain
    buffer = BytesIO()
    Image.frombytes("L", (len(plain), 1), plain).save(buffer, "TIFF", compression=_BY_LIBRARY[form.packing])
    with Image.open(BytesIO(buffer.getvalue())) as made:
        tags: Any = made.tag_v2  # type: ignore[attr-defined]  # only TIFFs have them
        (start,), (size,) = tags[273], tags[279]
    return buffer.getvalue()[start : start + size]


def _as_jpeg(part: NDArray[Any], form: Form) -> bytes:
    """A JPEG with all of its tables; its colours as they are or, of the older way, as brightness and differences."""
    buffer = BytesIO()
    Image.fromarray(part[..., 0] if part.shape[2] == 1 else part).save(
        buffer, "JPEG", quality=90, keep_rgb=form.packing == JPEG and part.shape[2] == 3
    )
    return buffer.getvalue()
