"""Blacks out what nobody else may see, before any other file is made of a picture."""

from collections.abc import Sequence

from PIL import ImageDraw

from portal.pictures.upright import Upright

_EDGE = 3
"""Width of the line along the border in pixels, so that no pixel that the region touches is left."""


def masked(picture: Upright, masks: Sequence[Sequence[tuple[float, float]]]) -> Upright:
    """The picture with those regions black; what had to be copied as it is has to be encoded anew."""
    if not masks:
        return picture
    image = picture.image.copy()
    draw = ImageDraw.Draw(image)
    for corners in masks:
        draw.polygon([tuple(corner) for corner in corners], fill=0, outline=0, width=_EDGE)
    return Upright(image, picture.notes)
