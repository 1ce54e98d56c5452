"""Numbers about a picture that an inspector may want to look at again; none of them is a verdict.

Sharpness is the variance of the Laplacian, at half size so that the sensor's grain counts less: Pech-Pacheco and
others, "Diatom autofocusing in brightfield microscopy: a comparative study", ICPR 2000; compared with 35 others by
Pertuz and others, "Analysis of focus measure operators for shape-from-focus", Pattern Recognition 46 (2013); both cited
from memory. It grows with contrast and light, so it only says something beside pictures of the same view and setting.
"""

import json
from collections.abc import Sequence
from dataclasses import asdict

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from portal.model.picture import Hints
from portal.pictures.looks import look_of
from portal.pictures.mask import Masks, blacked

Box = tuple[int, int, int, int]

CLIPPED_FROM = 254
"""Codes from here up have no structure left; a JPEG's coding may lower the last one by one."""
_FIELDS = 3
_SEEN_ENOUGH = 0.5
"""Share of a field that isn't blacked out."""
_SEEN = 255
"""What isn't blacked out, in a picture of what is."""
_LEAST_SIDE = 8
_MIDDLE_SIDE = 2000


def hints_of(image: Image.Image, regions: Sequence[Box], masks: Masks = ()) -> Hints:
    """The numbers of an upright picture; sharpness and clipping within the regions, or in its middle without any.

    What was blacked out is no dark light, nor does it count for sharpness or among the pixels that aren't clipped.
    """
    grey = image.convert("L")
    whole = (0, 0, *image.size)
    shown = blacked(Image.new("L", image.size, _SEEN), masks) if masks else None
    drawn = [box for each in regions if (box := _within(each, whole)) and _is_seen(shown, box)]
    inside = drawn or [_middle(image)]
    step = max(1, min(grey.size) // 256)
    coarse = grey.reduce(step)
    smaller = [[(x / step, y / step) for x, y in corners] for corners in masks]
    seen = blacked(Image.new("L", coarse.size, _SEEN), smaller) if masks else None
    return Hints(
        sharpness=_sharpness(grey, inside, shown),
        clipped=_clipped(image, inside, shown),
        evenness=_evenness(coarse, seen),
        within=bool(regions) if shown is None else bool(drawn),
        look=look_of(coarse, seen),
    )


def as_file(hints: Hints) -> bytes:
    """The same as a file, so that it is kept as all that is derived."""
    return json.dumps(asdict(hints), sort_keys=True).encode("ascii")


def laplacian(codes: NDArray[np.float32]) -> NDArray[np.float32]:
    """Four times each inner pixel less its four neighbours."""
    found: NDArray[np.float32] = np.float32(4) * codes[1:-1, 1:-1]
    for beside in (codes[:-2, 1:-1], codes[2:, 1:-1], codes[1:-1, :-2], codes[1:-1, 2:]):
        found -= beside
    return found


def _sharpness(grey: Image.Image, regions: Sequence[Box], seen: Image.Image | None) -> float:
    found = []
    for box in regions:
        part = _part(grey, box)
        is_halved = min(part.size) >= 2 * _LEAST_SIDE
        values = laplacian(np.asarray(part.reduce(2) if is_halved else part, np.float32))
        if seen is None:
            found.append(values.ravel())
        else:
            shown = _part(seen, box)
            found.append(values[_inner(np.asarray(shown.reduce(2) if is_halved else shown) == _SEEN)])
    values = np.concatenate(found)
    return float(values.var()) if values.size else 0.0


def _inner(seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The inner pixels that are seen with their four neighbours: the edge of what was blacked out is no sharp one."""
    return seen[1:-1, 1:-1] & seen[:-2, 1:-1] & seen[2:, 1:-1] & seen[1:-1, :-2] & seen[1:-1, 2:]


def _clipped(image: Image.Image, regions: Sequence[Box], seen: Image.Image | None) -> float:
    """The share of what is seen at the top of the range, in the colour that has most of it."""
    bands = len(image.getbands())
    counts, pixels = np.zeros(bands), 0
    for box in regions:
        part, shown = _part(image, box), _part(seen, box) if seen is not None else None
        of_part = np.asarray(part.histogram(shown)).reshape(bands, 256)
        counts += of_part[:, CLIPPED_FROM:].sum(axis=1)
        pixels += int(of_part[0].sum())
    return float(counts.max() / pixels) if pixels else 0.0


def _part(image: Image.Image, box: Box) -> Image.Image:
    return image if box == (0, 0, *image.size) else image.crop(box)


def _evenness(grey: Image.Image, seen: Image.Image | None) -> float:
    """Brightness of the darkest of nine fields over that of the brightest, of those seen at least by a half."""
    fields = _means(grey)
    if seen is not None:
        shares = _means(seen) / _SEEN
        fields = (fields / np.maximum(shares, 1 / _SEEN))[shares >= _SEEN_ENOUGH]
    return float(fields.min() / max(fields.max(), 1.0)) if fields.size else 1.0


def _means(grey: Image.Image) -> NDArray[np.float64]:
    return np.asarray(grey.resize((_FIELDS, _FIELDS), Image.Resampling.BOX), np.float64)


def _is_seen(seen: Image.Image | None, box: Box) -> bool:
    """Whether something of a region isn't blacked out."""
    return seen is None or _part(seen, box).getextrema()[1] == _SEEN


def _middle(image: Image.Image) -> Box:
    """As much of the middle as takes no long time."""
    left, top = (max(0, (side - _MIDDLE_SIDE) // 2) for side in image.size)
    return left, top, image.width - left, image.height - top


def _within(box: Box, whole: Box) -> Box | None:
    """The part of a region that lies in the picture; None where it is too small to say anything."""
    left, top = max(box[0], whole[0]), max(box[1], whole[1])
    right, bottom = min(box[2], whole[2]), min(box[3], whole[3])
    return (left, top, right, bottom) if min(right - left, bottom - top) >= _LEAST_SIDE else None
