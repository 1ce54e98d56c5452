"""What of a JPEG's segments its pixels really need: the rest is room in which something may lie that nobody sees.

Each table that no scan uses has room for some hundred bytes, and a scan may be drawn over by a later one. Layout of
tables and scans: ITU-T T.81 sections B.2.3 and B.2.4; which tables a scan uses: the same, and G.1 for those that add.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

SCAN = 0xDA
"""The marker of a scan, which holds coded pixels."""
_DQT, _DHT, _DRI = 0xDB, 0xC4, 0xDD
_PROGRESSIVE = 0xC2
_FRAMES = {0xC0, 0xC1, _PROGRESSIVE}

Key = tuple[int, int]
"""The kind of a table, and which of its kind."""


@dataclass(frozen=True, slots=True)
class Segment:
    """One segment, from its marker to its end; that of a scan includes the coded pixels."""

    marker: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class _Scan:
    names: tuple[int, ...]
    """Of its components, in their order."""
    coders: tuple[int, ...]
    """Which tables each is coded by: the upper half of a byte for its mean, the lower for all else."""
    first: int
    refines: bool


def needed(data: bytes, kept: Sequence[Segment]) -> Iterator[memoryview | bytes]:
    """The segments as they are, without tables that no scan uses."""
    view = memoryview(data)
    used = set(_used(data, kept))
    for segment in kept:
        tables = [(start, end) for _, start, end in _tables(data, segment)]
        left = [view[start:end] for start, end in tables if start in used]
        if len(left) == len(tables):  # also what is no table
            yield view[segment.start : segment.end]
        elif left:
            content = b"".join(left)
            yield bytes((0xFF, segment.marker)) + (len(content) + 2).to_bytes(2, "big") + content


def draws_over(data: bytes, kept: Sequence[Segment]) -> bool:
    """Whether a component is in two scans that each hold all of it, of which nobody sees the first."""
    if any(each.marker == _PROGRESSIVE for each in kept):
        return False  # there a decoder says so
    names = [name for each in kept if each.marker == SCAN for name in _scan(data, each).names]
    return len(names) > len(set(names))


def _used(data: bytes, kept: Sequence[Segment]) -> Iterator[int]:
    """Where each table begins that a scan uses."""
    latest: dict[Key, int] = {}
    quantisers: dict[int, int] = {}
    progressive = False
    for segment in kept:
        latest.update((key, start) for key, start, _ in _tables(data, segment))
        if segment.marker in _FRAMES:
            head = data[segment.start + 4 : segment.end]
            progressive = segment.marker == _PROGRESSIVE
            quantisers = dict(zip(head[6::3], head[8::3], strict=False))
        elif segment.marker == SCAN:
            scan = _scan(data, segment)
            keys = [(_DRI, 0), *_coders(scan, progressive=progressive)]
            keys += [(_DQT, quantisers.pop(name)) for name in scan.names if name in quantisers]
            yield from (latest[key] for key in keys if key in latest)


def _coders(scan: _Scan, *, progressive: bool) -> Iterator[Key]:
    for each in scan.coders:
        if not progressive or (scan.first == 0 and not scan.refines):
            yield _DHT, each >> 4
        if not progressive or scan.first:
            yield _DHT, 0x10 | (each & 15)


def _scan(data: bytes, segment: Segment) -> _Scan:
    head = data[segment.start + 4 : segment.start + 260] + bytes(5)
    end = 1 + 2 * head[0]
    first, _, step = (head[end : end + 3] + bytes(3))[:3]
    return _Scan(tuple(head[1:end:2]), tuple(head[2:end:2]), first, bool(step >> 4))


def _tables(data: bytes, segment: Segment) -> Iterator[tuple[Key, int, int]]:
    """The tables of a segment with where they begin and end; the decoder tells what is wrong with one."""
    at, end = segment.start + 4, segment.end
    while segment.marker in _SIZES and at < end:
        size, which = _SIZES[segment.marker](data, at), data[at] & _WHICH[segment.marker]
        yield (segment.marker, which), at, min(at + size, end)
        at += size


_WHICH = {_DQT: 15, _DHT: 31, _DRI: 0}
"""The bits of a table's first byte that say which of its kind it is."""

_SIZES: dict[int, Callable[[bytes, int], int]] = {
    _DQT: lambda data, at: 129 if data[at] >> 4 else 65,
    _DHT: lambda data, at: 17 + sum(data[at + 1 : at + 17]),
    _DRI: lambda data, at: 2,
}
"""How many bytes a table takes that begins there."""
