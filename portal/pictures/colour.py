"""Brings the colours of a decoded picture to sRGB."""

from functools import lru_cache
from io import BytesIO

import numpy as np
from PIL import Image, ImageCms

from portal.model.say import Say

Notes = tuple[Say, ...]

_NEAR = 2
"""A profile that moves no colour by more than so many of 255 levels is as good as sRGB."""


def to_srgb(image: Image.Image, icc: bytes | None) -> tuple[Image.Image, Notes]:
    """A picture of mode L, RGB, CMYK or LAB as L or RGB in sRGB, by its profile where it has one that can be used."""
    if image.mode == "LAB":
        return _apply(image, _transform(None, "LAB")), ()
    transform = _usable(icc, image.mode) if icc else None
    if transform:
        return _apply(image, transform), ()
    if image.mode == "L" and icc and (transform := _usable(icc, "RGB")):
        return _apply(image.convert("RGB"), transform), ()
    notes: Notes = (Say.of("picture.colour.profile_unusable"),) if icc else ()
    if image.mode == "CMYK":
        return image.convert("RGB"), (*notes, Say.of("picture.colour.inks"))
    return image, notes


@lru_cache(maxsize=16)
def is_srgb(icc: bytes, mode: str) -> bool:
    """Whether a profile leaves the colours of mode L or RGB as they are."""
    transform = _usable(icc, mode)
    if transform is None:
        return False
    sample = _sample(mode)
    moved = np.asarray(_apply(sample, transform), dtype=np.int16) - np.asarray(sample.convert("RGB"), dtype=np.int16)
    return bool(np.abs(moved).max() <= _NEAR)


def on_white(image: Image.Image, alpha: Image.Image) -> Image.Image:
    """A picture laid on white through its transparency."""
    ground = Image.new(image.mode, image.size, "white")
    ground.paste(image, mask=alpha)
    return ground


def _sample(mode: str) -> Image.Image:
    if mode == "L":
        return Image.fromarray(np.arange(256, dtype=np.uint8).reshape(1, -1))
    steps = np.linspace(0, 255, 17).astype(np.uint8)
    return Image.fromarray(np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(1, -1, 3))


def _usable(icc: bytes, mode: str) -> ImageCms.ImageCmsTransform | None:
    try:
        return _transform(icc, mode)
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None


@lru_cache(maxsize=8)
def _transform(icc: bytes | None, mode: str) -> ImageCms.ImageCmsTransform:
    """The way from a profile (None: CIE Lab under D50) to sRGB; the library refuses one of another kind of colour."""
    source = ImageCms.ImageCmsProfile(BytesIO(icc) if icc else ImageCms.createProfile("LAB"))
    target = ImageCms.createProfile("sRGB")
    return ImageCms.buildTransform(source, target, mode, "RGB", ImageCms.Intent.PERCEPTUAL)


def _apply(image: Image.Image, transform: ImageCms.ImageCmsTransform) -> Image.Image:
    changed = ImageCms.applyTransform(image, transform)
    if changed is None:
        raise ValueError("the transform was made in place")
    return changed
