"""Walks the segments of a JPEG file, and strips it to those that its pixels need.

Markers and layout: ITU-T T.81 annex B; which colours a file holds: JFIF 1.02 and the rules that the widespread
decoders follow where no marker says it.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from portal.model.scalars import Frame
from portal.pictures.bare import Segment, needed
from portal.pictures.kinds import AS_WHAT, PIXEL
from portal.problem import PortalError

ENDS_EARLY = "damaged file: ends early"

_SOI, _EOI, _SOS, _COM = 0xD8, 0xD9, 0xDA, 0xFE
_APP0, _APP1, _APP2, _APP14 = 0xE0, 0xE1, 0xE2, 0xEE
_STANDALONE = {0x01, *range(0xD0, 0xD8)}
_NEXT_MARKER = re.compile(rb"\xff[^\x00\x01\xd0-\xd7\xff]")
_AFTER_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
"""Neither a byte that was stuffed, nor a restart, nor one that fills: sought by one call, since a crafted file may have
as many of these as it has bytes."""
_SEQUENTIAL = {0xC0, 0xC1}
"""Coded block by block from top to bottom by Huffman's codes; other ways code many blocks at once."""
_HUFFMAN = {*_SEQUENTIAL, 0xC2}
_FRAMES = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}
_DAC, _DNL = 0xCC, 0xDC
_KEPT = {*range(0xC0, 0xE0)} - _STANDALONE - {_SOI, _EOI, 0xC8, _DNL}
"""Tables, frame and scan headers with their data; what applications add is E0 and above. A number of lines that only
stands behind the first scan isn't read: such a frame has none."""

_EXIF, _ICC, _JFIF, _ADOBE = b"Exif\0", b"ICC_PROFILE\0", b"JFIF\0", b"Adobe"
_MOST_SCANS = 500
"""A decoder goes over the whole picture for each; encoders write about ten."""
_MOST_SEGMENTS = 100_000
"""A file of 4 GB that is full of the largest has fewer; an encoder writes some dozen."""
_BLOCK, _BITS_OF_BLOCK = 64, 2
"""Pixels of a block, and the fewest bits that one can take: a code for its mean and a code for its end."""
_COEFFICIENT = 2
"""Bytes from which each sample is worked out."""
_PLAIN_JFIF = b"\xff\xe0\x00\x10JFIF\0\x01\x01\x00\x00\x01\x00\x01\x00\x00"
"""Density 1:1 without a unit: it says the pixels are square, and nothing else."""


class Inks(Enum):
    """What the components of a JPEG stand for."""

    GREY = "grey"
    YCC = "brightness and two colour differences"
    RGB = "red, green, blue"
    CMYK = "four inks"
    YCCK = "four inks, three of them as brightness and colour differences"


_MARKED = {Inks.RGB: 0, Inks.CMYK: 0, Inks.YCCK: 2}
"""The transform that an Adobe marker names for colours which nothing else tells apart."""


@dataclass(frozen=True, slots=True)
class Jpeg:
    """What a JPEG's markers say, and where the segments lie that its pixels need."""

    stored: Frame
    coding: int
    """The marker of its frame: C0 baseline, C1 extended, C2 progressive …"""
    bits: int
    inks: Inks
    exif: bytes
    icc: bytes | None
    kept: tuple[Segment, ...]
    samples: float = 3
    """Of all components together for each pixel."""

    @property
    def ends_early(self) -> bool:
        """Whether it has too few bits for its frame, so that a decoder would make up what isn't there."""
        bits = 8 * sum(each.end - each.start for each in self.kept if each.marker == _SOS)
        blocks = self.stored.width * self.stored.height // _BLOCK
        return self.coding in _SEQUENTIAL and bits < _BITS_OF_BLOCK * blocks

    @property
    def decoded_by_huffman(self) -> bool:
        """Whether its pixels are coded by Huffman's codes, by blocks."""
        return self.coding in _HUFFMAN

    @property
    def in_one_scan(self) -> bool:
        """Whether the coding goes over the picture once, from top to bottom."""
        return sum(each.marker == _SOS for each in self.kept) == 1

    @property
    def bytes_a_pixel(self) -> float:
        """The memory that its pixels take while they are decoded: with several scans all coefficients are held."""
        return PIXEL + (0 if self.in_one_scan else _COEFFICIENT * self.samples)

    def lacks_scans(self, data: bytes) -> bool:
        """Whether a component, or some bits of it where each scan adds some, is in no scan of its file.

        Layout of a scan's header: section B.2.3; order of what is added: G.1.
        """
        if not self.decoded_by_huffman:
            return False
        bits_left: dict[int, list[int]] = {}
        for segment in self.kept:
            head = data[segment.start + 4 : segment.start + 260]
            if segment.marker == self.coding:
                bits_left = {name: [1] * _BLOCK for name in head[6 : 6 + 3 * head[5] : 3]}
            elif segment.marker == _SOS:
                count = head[0]
                first, last, step = (head[1 + 2 * count : 4 + 2 * count] + bytes(3))[:3]
                if self.coding in _SEQUENTIAL:
                    first, last, step = 0, _BLOCK - 1, 0
                for name in head[1 : 1 + 2 * count : 2]:
                    bits_left.setdefault(name, [1] * _BLOCK)[first : last + 1] = [step & 15] * (last + 1 - first)
        return any(any(bits) for bits in bits_left.values())

    @property
    def shown_everywhere(self) -> bool:
        """Whether any browser shows it: 8 bits, Huffman coded, grey or colour."""
        return self.bits == 8 and self.coding in {0xC0, 0xC1, 0xC2} and self.inks in {Inks.GREY, Inks.YCC, Inks.RGB}

    def stripped(self, data: bytes) -> bytes:
        """The same coded pixels without metadata, comment, profile, thumbnail, second picture or trailing bytes."""
        parts: Iterable[memoryview | bytes]
        if self.decoded_by_huffman:
            parts = needed(data, [each for each in self.kept if each.marker != _DAC])
        else:
            parts = (memoryview(data)[each.start : each.end] for each in self.kept)
        return b"".join((b"\xff\xd8", self._colour_marker(), *parts, b"\xff\xd9"))

    def _colour_marker(self) -> bytes:
        transform = _MARKED.get(self.inks)
        return _PLAIN_JFIF if transform is None else b"\xff\xee\x00\x0eAdobe\0\x64\0\0\0\0" + bytes([transform])


def read_jpeg(data: bytes) -> Jpeg:
    """Read the first picture of a JPEG file to its very end; PortalError where it ends early or has no frame."""
    notes = _Notes()
    kept = []
    for segment in segments(data):
        if segment.marker in _KEPT:
            kept.append(segment)
        notes.take(segment.marker, data[segment.start + 4 : min(segment.end, segment.start + 65_537)])
    return notes.jpeg(tuple(kept))


def segments(data: bytes) -> Iterator[Segment]:
    """The segments between start and end of the first picture; PortalError where the data ends before it."""
    at = 2
    for _ in range(_MOST_SEGMENTS):
        found = _NEXT_MARKER.search(data, at)
        if found is None:
            raise PortalError(ENDS_EARLY)
        at, marker = found.start(), data[found.start() + 1]
        if marker == _EOI:
            return
        end = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        if marker == _SOS:
            end = _end_of_scan(data, end)
        if end > len(data):
            raise PortalError(ENDS_EARLY)
        yield Segment(marker, at, end)
        at = end
    raise PortalError(f"a JPEG of more than {_MOST_SEGMENTS} segments, which isn't read", hint=AS_WHAT)


def _end_of_scan(data: bytes, at: int) -> int:
    """Where the next marker begins that is neither a stuffed byte nor a restart."""
    found = _AFTER_SCAN.search(data, at)
    if found is None:
        raise PortalError(ENDS_EARLY)
    return found.start()


class _Notes:
    """Gathers what the markers say on the way through a file."""

    def __init__(self) -> None:
        self.frame: tuple[int, bytes] | None = None
        self.jfif = False
        self.adobe: int | None = None
        self.exif = b""
        self.icc: dict[int, bytes] = {}

    def take(self, marker: int, payload: bytes) -> None:
        if marker in _FRAMES:
            if self.frame:
                raise PortalError("a JPEG of several layers, which isn't read", hint=AS_WHAT)
            self.frame = (marker, payload)
        elif marker == _APP0 and payload.startswith(_JFIF):
            self.jfif = True
        elif marker == _APP14 and payload.startswith(_ADOBE) and len(payload) >= 12:
            self.adobe = payload[11]
        elif marker == _APP1 and payload.startswith(_EXIF) and not self.exif:
            self.exif = payload[6:]
        elif marker == _APP2 and payload.startswith(_ICC) and len(payload) > 14:
            self.icc.setdefault(payload[12], payload[14:])

    def jpeg(self, kept: tuple[Segment, ...]) -> Jpeg:
        if self.frame is None or len(self.frame[1]) < 6 + 3 * self.frame[1][5]:
            raise PortalError("damaged file: a JPEG without a frame")
        scans = [segment for segment in kept if segment.marker == _SOS]
        if not scans:
            raise PortalError(ENDS_EARLY)
        if len(scans) > _MOST_SCANS:
            raise PortalError(f"a JPEG of {len(scans)} scans, more than the {_MOST_SCANS} that are read", hint=AS_WHAT)
        coding, head = self.frame
        stored = Frame(int.from_bytes(head[3:5], "big"), int.from_bytes(head[1:3], "big"))
        inks = self._inks(bytes(head[6 : 6 + 3 * head[5] : 3]))
        icc = b"".join(self.icc[number] for number in sorted(self.icc)) or None
        shares = [(each >> 4) * (each & 15) for each in head[7 : 6 + 3 * head[5] : 3]]
        samples = sum(shares) / (max(shares) or 1)
        return Jpeg(stored, coding, head[0], inks, self.exif, icc, kept, samples)

    def _inks(self, names: bytes) -> Inks:
        if len(names) == 1:
            return Inks.GREY
        if len(names) == 3:
            if self.jfif or self.adobe not in {None, 0}:
                return Inks.YCC
            return Inks.RGB if self.adobe == 0 or names == b"RGB" else Inks.YCC
        if len(names) == 4:
            return Inks.CMYK if self.adobe in {None, 0} else Inks.YCCK
        raise PortalError(f"a JPEG of {len(names)} components, which isn't read", hint=AS_WHAT)
