"""Walks the outer boxes of a file of the ISO base media file format. Layout: ISO/IEC 14496-12 section 4.2."""

import os
from typing import BinaryIO

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


def check_movie(file: BinaryIO) -> None:
    """PortalError where a movie's index isn't there, or its file ends before the frames that it says to hold."""
    size = file.seek(0, os.SEEK_END)
    at, has_index = 0, False
    while at + 8 <= size:
        file.seek(at)
        head = file.read(16)
        length, name = int.from_bytes(head[:4], "big"), head[4:8]
        if length == 1:
            length = int.from_bytes(head[8:16], "big")
        has_index |= name == b"moov"
        if length == 0:
            break
        if length < 8 or at + length > size:
            if name in {b"mdat", b"moov"}:
                raise PortalError(ENDS_EARLY)
            break  # what a writer left behind its last box
        at += length
    if not has_index:
        raise PortalError("damaged file: its recording was never finished, so that its index isn't there")
