"""What kind of file it is, told by its content and never by the ending of its name."""

from enum import Enum

HEAD = 32
"""How many bytes of a file are enough to tell its kind."""

AS_WHAT = "save it as 8- or 16-bit TIFF, PNG or JPEG"
"""The hint beside every picture of a kind that isn't read."""


class Kind(Enum):
    """The kinds of picture that are read; the value is the reading library's own name of it."""

    JPEG = "JPEG"
    """Also a file of several JPEG pictures, of which the first is the picture."""
    PNG = "PNG"
    TIFF = "TIFF"
    """Both byte orders, with 4-byte or 8-byte offsets."""
    WEBP = "WEBP"
    BMP = "BMP"
    GIF = "GIF"
    AVIF = "AVIF"
    HEIC = "HEIF"


_STARTS = (
    (b"\xff\xd8\xff", Kind.JPEG),
    (b"\x89PNG\r\n\x1a\n", Kind.PNG),
    (b"II*\0", Kind.TIFF),
    (b"MM\0*", Kind.TIFF),
    (b"II+\0", Kind.TIFF),
    (b"MM\0+", Kind.TIFF),
    (b"BM", Kind.BMP),
    (b"GIF87a", Kind.GIF),
    (b"GIF89a", Kind.GIF),
)

_BRANDS = {
    **dict.fromkeys((b"avif", b"avis"), Kind.AVIF),
    **dict.fromkeys((b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1"), Kind.HEIC),
}
"""Brands of the ISO base media file format; those that any HEIF picture may have come last. Another is a movie."""

_STRANGERS = (
    (b"\x1aE\xdf\xa3", "a movie"),
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP file"),
    (b"8BPS", "a layered picture of an image editor"),
    (b"\0\0\0\x0cjP  ", "a JPEG 2000 picture"),
    (b"\xff\x0a", "a JPEG XL picture"),
    (b"\0\0\0\x0cJXL ", "a JPEG XL picture"),
)


def sniff(head: bytes) -> Kind | None:
    """The kind of picture whose file begins so, or None where it isn't one that is read."""
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return Kind.WEBP
    if head[4:8] == b"ftyp":
        brands = [head[8:12], *(head[at : at + 4] for at in range(16, len(head), 4))]
        return next((kind for brand, kind in _BRANDS.items() if brand in brands), None)
    return next((kind for start, kind in _STARTS if head.startswith(start)), None)


def describe_stranger(head: bytes) -> str:
    """What a file that isn't read seems to be, as the end of the sentence `this is …`."""
    if not head:
        return "an empty file"
    if head[4:8] == b"ftyp":
        return "a movie"
    if head[:4] == b"RIFF" and head[8:11] == b"AVI":
        return "a movie"
    return next((name for start, name in _STRANGERS if head.startswith(start)), "no picture of a known kind")
