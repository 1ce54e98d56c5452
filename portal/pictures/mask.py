"""Blacks out what nobody else may see, before any other file is made of a picture."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations, product

from PIL import Image, ImageDraw

from portal.pictures.upright import Upright

Point = tuple[float, float]
Masks = Sequence[Sequence[Point]]

_BESIDE = range(-2, 3)
"""By how many pixels the border is drawn beside itself, so that no pixel that the region touches is left: a corner is
up to half a pixel off, the line between two as much, and it may touch the next pixel."""
_ROOM = 8
"""Pixels around a picture at which regions are cut off; the library that draws takes no numbers as large as any."""


def masked(picture: Upright, masks: Masks) -> Upright:
    """The picture with those regions black; what had to be copied as it is has to be encoded anew.

    It is blackened where it lies: a second copy of a picture of 200 megapixels would take 800 MB.
    """
    return Upright(blacked(picture.image, masks), picture.notes, masks=masks) if masks else picture


def blacked(image: Image.Image, masks: Masks) -> Image.Image:
    """The same image, upright, in which those regions were made black, and what lies less than four pixels beside.

    Of an outline that crosses or touches itself nobody knows what is inside: all triangles of its first corner and a
    side are. One that goes twice round would be left open otherwise.
    """
    draw = ImageDraw.Draw(image)
    for corners in masks:
        for region in _regions(tuple((x, y) for x, y in corners), image.size):
            _blacken(draw, region)
    return image


@lru_cache(maxsize=64)
def _regions(corners: tuple[Point, ...], size: tuple[int, int]) -> tuple[Sequence[Point], ...]:
    """What has to be black in a picture of that size; worked out once for all frames of a movie."""
    regions = [corners, *_triangles(corners)] if _meets_itself(corners) else [corners]
    return tuple(_cut_off(region, size) for region in regions)


def _blacken(draw: ImageDraw.ImageDraw, region: Sequence[Point]) -> None:
    if not region:
        return
    # The library's whole numbers are the middles of pixels; it knows no others, and no wide line that is sure to be so.
    centred = [(round(x - 0.5), round(y - 0.5)) for x, y in (*region, region[0])]
    draw.polygon(centred, fill=0)
    for right, down in product(_BESIDE, _BESIDE):
        draw.line([(x + right, y + down) for x, y in centred], fill=0)


def _triangles(corners: Sequence[Point]) -> Iterator[Sequence[Point]]:
    for one, other in zip(corners[1:], corners[2:], strict=False):
        yield corners[0], one, other


def _meets_itself(corners: Sequence[Point]) -> bool:
    """Whether two sides that don't follow each other cross, touch, or lie on each other."""
    apart = [here for here, there in zip(corners, (*corners[1:], corners[0]), strict=True) if here != there]
    sides = list(zip(apart, (*apart[1:], *apart[:1]), strict=True))
    last = len(sides) - 1
    return any(
        _meet(*sides[one], *sides[other])
        for one, other in combinations(range(len(sides)), 2)
        if other - one > 1 and (one, other) != (0, last)
    )


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    if not all(max(a[n], b[n]) >= min(c[n], d[n]) and max(c[n], d[n]) >= min(a[n], b[n]) for n in (0, 1)):
        return False
    return _side(a, b, c) * _side(a, b, d) <= 0 and _side(c, d, a) * _side(c, d, b) <= 0


def _side(a: Point, b: Point, c: Point) -> float:
    """Above 0 where the third lies on one side of the line through the others, below 0 on the other."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cut_off(region: Sequence[Point], size: tuple[int, int]) -> Sequence[Point]:
    """What of a region lies in the picture or near it: I. Sutherland and G. Hodgman, "Reentrant polygon clipping",
    Communications of the ACM 17 (1974); cited from memory."""
    for axis in (0, 1):
        for sign, limit in ((1, -_ROOM), (-1, size[axis] + _ROOM)):
            region = list(_kept(region, axis, sign, limit))
    return region


def _kept(region: Sequence[Point], axis: int, sign: int, limit: float) -> Iterator[Point]:
    """What lies on that side of a line that is parallel to an axis, with the points at which it is cut."""
    for here, there in zip(region, (*region[1:], *region[:1]), strict=True):
        inside = [sign * (each[axis] - limit) for each in (here, there)]
        if inside[0] >= 0:
            yield here
        if inside[0] * inside[1] < 0:
            share = inside[0] / (inside[0] - inside[1])
            found = [a + share * (b - a) for a, b in zip(here, there, strict=True)]
            found[axis] = limit
            yield found[0], found[1]
