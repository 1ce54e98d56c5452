"""Walks the outer boxes of a file of the ISO base media file format. Layout: ISO/IEC 14496-12 section 4.2."""

from portal.pictures.jpeg import ENDS_EARLY
from portal.problem import PortalError


def check_whole(data: bytes) -> None:
    """PortalError where the file ends before a box does: decoders show what is there, and grey or green below it."""
    at = 0
    while at < len(data):
        head = 16 if data[at : at + 4] == b"\0\0\0\1" else 8
        size = int.from_bytes(data[at + head - 8 : at + head] if head == 16 else data[at : at + 4], "big")
        if size == 0 and at + head <= len(data):  # the last box, which reaches to the end of the file
            return
        if size < head or at + size > len(data):
            raise PortalError(ENDS_EARLY)
        at += size
