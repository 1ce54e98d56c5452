"""A kept picture in fewer bytes, for a carrier that has to stay small; the kept one stays what was shown."""

from io import BytesIO

from PIL import Image, UnidentifiedImageError

from portal.problem import PortalError


def smaller(content: bytes, *, longest: int, quality: int) -> bytes:
    """The same picture with sides of at most so many pixels, as JPEG; as it is where that saves nothing.

    The same bytes come out of the same Pillow. PortalError where the content is no picture.
    """
    try:
        with Image.open(BytesIO(content)) as opened:
            if max(opened.size) > longest:
                opened.draft("RGB", (2 * longest, 2 * longest))
            image = opened if opened.mode == "RGB" else opened.convert("RGB")
            image.load()
    except (OSError, UnidentifiedImageError, Image.DecompressionBombError) as error:
        raise PortalError(f"a kept picture can't be read: {error}") from None
    if max(image.size) > longest:
        share = longest / max(image.size)
        size = (max(1, round(image.width * share)), max(1, round(image.height * share)))
        image = image.resize(size, Image.Resampling.HAMMING, reducing_gap=2.0)
    image.info.clear()  # the writing library would copy a comment from it
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=quality, optimize=True)
    made = buffer.getvalue()
    return made if len(made) < len(content) else content
