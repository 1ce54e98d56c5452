"""What kind of file it is, told by its content and never by the ending of its name."""

from enum import Enum

HEAD = 200
"""How many bytes of a file are enough to tell its kind."""

PIXEL = 4
"""Bytes in which the reading library holds a pixel of colours: red, green, blue, and one that may say nothing."""

AS_WHAT = "save it as 8- or 16-bit TIFF, PNG or JPEG"
"""The hint beside every picture of a kind that isn't read."""

AS_WHICH = "save it as MP4 with H.264"
"""The hint beside every movie that isn't read."""


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


class MovieKind(Enum):
    """The kinds of file that hold a movie; the value is the reading library's own name of it."""

    ISO = "mov"
    """The ISO base media file format and what it was made from: `.mp4`, `.mov`, `.m4v`, `.3gp`."""
    MATROSKA = "matroska"
    """Also `.webm`."""
    AVI = "avi"
    ASF = "asf"
    FLV = "flv"
    PROGRAM_STREAM = "mpeg"
    TRANSPORT_STREAM = "mpegts"


_MOVIE_STARTS = (
    (b"\x1aE\xdf\xa3", MovieKind.MATROSKA),
    (b"0&\xb2u\x8ef\xcf\x11", MovieKind.ASF),
    (b"FLV\x01", MovieKind.FLV),
    (b"\0\0\x01\xba", MovieKind.PROGRAM_STREAM),
)
_BOXES = (b"moov", b"mdat", b"wide", b"free", b"skip", b"pnot")
"""With which a movie of that format may begin that doesn't say its brand."""
_PACKET, _STAMP = 188, 4
"""Bytes of a packet of a transport stream, and of the time that some cameras write before each."""

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
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a ZIP file"),
    (b"8BPS", "a layered picture of an image editor"),
    (b"\0\0\0\x0cjP  ", "a JPEG 2000 picture"),
    (b"\xff\x0a", "a JPEG XL picture"),
    (b"\0\0\0\x0cJXL ", "a JPEG XL picture"),
    (b"OggS", "a movie in Ogg"),
    (b"\x06\x0e\x2b\x34\x02\x05", "a movie in MXF"),
    (b"YUV4MPEG2", "a movie in YUV4MPEG2"),
    *((start, "a movie without a file around it") for start in (b"\0\0\1\xb3", b"\0\0\0\1\x09", b"\0\0\0\1\x27")),
    *((start, "a movie without a file around it") for start in (b"\0\0\0\1\x67", b"\0\0\0\1\x40\1")),
)


def sniff(head: bytes) -> Kind | None:
    """The kind of picture whose file begins so, or None where it isn't one that is read."""
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return Kind.WEBP
    if head[4:8] == b"ftyp":
        end = min(len(head), int.from_bytes(head[:4], "big"))
        brands = [head[8:12], *(head[at : at + 4] for at in range(16, end, 4))]
        return next((kind for brand, kind in _BRANDS.items() if brand in brands), None)
    return next((kind for start, kind in _STARTS if head.startswith(start)), None)


def sniff_movie(head: bytes) -> MovieKind | None:
    """The kind of movie whose file begins so, or None where it is none."""
    if head[4:8] == b"ftyp":
        return None if sniff(head) else MovieKind.ISO
    if head[4:8] in _BOXES:
        return MovieKind.ISO
    if head[:4] == b"RIFF" and head[8:11] == b"AVI":
        return MovieKind.AVI
    if any(head[at : at + 1] == head[at + _PACKET : at + _PACKET + 1] == b"G" for at in (0, _STAMP)):
        return MovieKind.TRANSPORT_STREAM
    return next((kind for start, kind in _MOVIE_STARTS if head.startswith(start)), None)


def describe_stranger(head: bytes) -> str:
    """What a file that isn't read seems to be, as the end of the sentence `this is …`."""
    if not head:
        return "an empty file"
    if sniff_movie(head):
        return "a movie"
    return next((name for start, name in _STRANGERS if head.startswith(start)), "no picture of a known kind")
