"""Reads the header of a WebP file without its decoder, which would make room for the whole canvas first.

Layout: WebP container specification; frame headers: RFC 6386 section 9.1 (lossy), RFC 9649 section 3.4 (lossless).
"""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.model.scalars import Frame
from portal.pictures.jpeg import ENDS_EARLY
from portal.pictures.kinds import AS_WHAT
from portal.problem import PortalError

_MOST_CHUNKS = 100_000
"""A moving picture has one for each of its frames, a still one some few."""

_FOURTEEN_BITS = (1 << 14) - 1


@dataclass(frozen=True, slots=True)
class Webp:
    """What a WebP's chunks say before any pixel."""

    stored: Frame
    exif: bytes


def read_webp(data: bytes) -> Webp:
    """Read the chunks of a WebP to its very end; PortalError where it ends early or has no frame."""
    if int.from_bytes(data[4:8], "little") + 8 > len(data):
        raise PortalError(ENDS_EARLY)
    stored, exif = None, b""
    for name, payload in _chunks(data):
        stored = stored or _frame(name, payload)
        if name == b"EXIF" and not exif:
            exif = payload
    if stored is None:
        raise PortalError("damaged file: a WebP without a frame")
    return Webp(stored, exif.removeprefix(b"Exif\0\0"))


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 12
    for _ in range(_MOST_CHUNKS):
        if at + 8 > len(data):
            return
        size = int.from_bytes(data[at + 4 : at + 8], "little")
        yield data[at : at + 4], data[at + 8 : at + 8 + size]
        at += 8 + size + size % 2
    raise PortalError(f"a WebP of more than {_MOST_CHUNKS} chunks, which isn't read", hint=AS_WHAT)


def _frame(name: bytes, payload: bytes) -> Frame | None:
    """The canvas of an extended file, the frame of a plain one."""
    if name == b"VP8X" and len(payload) >= 10:
        return Frame(1 + int.from_bytes(payload[4:7], "little"), 1 + int.from_bytes(payload[7:10], "little"))
    if name == b"VP8 " and payload[3:6] == b"\x9d\x01\x2a":
        width, height = (int.from_bytes(payload[at : at + 2], "little") & _FOURTEEN_BITS for at in (6, 8))
        return Frame(width, height)
    if name == b"VP8L" and payload[:1] == b"\x2f":
        bits = int.from_bytes(payload[1:5], "little")
        return Frame(1 + (bits & _FOURTEEN_BITS), 1 + (bits >> 14 & _FOURTEEN_BITS))
    return None
