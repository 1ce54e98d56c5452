"""Blacks out what nobody else may see, before any other file is made of a picture."""

from collections.abc import Sequence

from PIL import Image, ImageDraw

from portal.pictures.upright import Upright

Masks = Sequence[Sequence[tuple[float, float]]]

_EDGE = 3
"""Width of the line along the border in pixels, so that no pixel that the region touches is left."""


def masked(picture: Upright, masks: Masks) -> Upright:
    """The picture with those regions black; what had to be copied as it is has to be encoded anew.

    It is blackened where it lies: a second copy of a picture of 200 megapixels would take 800 MB.
    """
    return Upright(blacked(picture.image, masks), picture.notes) if masks else picture


def blacked(image: Image.Image, masks: Masks) -> Image.Image:
    """The same image, upright, in which those regions were made black."""
    draw = ImageDraw.Draw(image)
    for corners in masks:
        draw.polygon([tuple(corner) for corner in corners], fill=0, outline=0, width=_EDGE)
    return image
