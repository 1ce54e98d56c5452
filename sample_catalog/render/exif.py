"""The data a camera writes into a JPEG: a TIFF structure made by bytes, thumbnail included."""

import io
import struct
from dataclasses import dataclass

import numpy as np
from PIL import Image

_ASCII, _SHORT, _LONG, _RATIONAL, _UNDEFINED, _BYTE = 2, 3, 4, 5, 7, 1
_SIZES = {_BYTE: 1, _ASCII: 1, _SHORT: 2, _LONG: 4, _RATIONAL: 8, _UNDEFINED: 1}

Entry = tuple[int, int, bytes]


@dataclass(frozen=True)
class Shot:
    """What the camera notes about one exposure; `size` is the frame as the sensor stored it."""

    taken: str
    size: tuple[int, int]
    orientation: int
    number: int
    exposure_ms: int
    camera: str = "CX-5"
    serial: str = "CX5-0041877"
    bench: int = 2


def ascii_entry(tag: int, text: str) -> Entry:
    """Make a text entry."""
    return tag, _ASCII, text.encode("ascii") + b"\0"


def shorts(tag: int, *values: int) -> Entry:
    """Make an entry of 16-bit numbers."""
    return tag, _SHORT, struct.pack(f"<{len(values)}H", *values)


def longs(tag: int, *values: int) -> Entry:
    """Make an entry of 32-bit numbers."""
    return tag, _LONG, struct.pack(f"<{len(values)}I", *values)


def ratios(tag: int, *values: tuple[int, int]) -> Entry:
    """Make an entry of unsigned fractions."""
    return tag, _RATIONAL, b"".join(struct.pack("<II", *v) for v in values)


def directory(entries: list[Entry], at: int, following: int = 0) -> bytes:
    """Lay out one image file directory that starts at an offset, its longer values after it."""
    table, spill = b"", b""
    free = at + 2 + 12 * len(entries) + 4
    for tag, kind, value in sorted(entries):
        if len(value) <= 4:
            held = value.ljust(4, b"\0")
        else:
            held = struct.pack("<I", free + len(spill))
            spill += value + b"\0" * (len(value) % 2)
        table += struct.pack("<HHI", tag, kind, len(value) // _SIZES[kind]) + held
    return struct.pack("<H", len(entries)) + table + struct.pack("<I", following) + spill


def camera_exif(shot: Shot, thumbnail: bytes) -> bytes:
    """Return the Exif segment's content for one shot."""
    main = 8
    exif = main + len(directory(_main(shot, 0, 0), main))
    gps = exif + len(directory(_camera(shot), exif))
    small = gps + len(directory(_position(shot), gps))
    data = small + len(directory(_thumbnail(0, 0), small))
    parts = (
        b"II*\0" + struct.pack("<I", main),
        directory(_main(shot, exif, gps), main, small),
        directory(_camera(shot), exif),
        directory(_position(shot), gps),
        directory(_thumbnail(data, len(thumbnail)), small),
        thumbnail,
    )
    return b"Exif\0\0" + b"".join(parts)


def small_jpeg(picture: "np.ndarray[tuple[int, ...], np.dtype[np.uint8]]") -> bytes:
    """Return the 160-pixel JPEG that cameras embed."""
    image = Image.fromarray(picture)
    image.thumbnail((160, 160), Image.Resampling.BOX)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=60)
    return out.getvalue()


def _main(shot: Shot, exif: int, gps: int) -> list[Entry]:
    return [
        ascii_entry(0x010F, "Orrisview"),
        ascii_entry(0x0110, f"Orrisview {shot.camera}"),
        shorts(0x0112, shot.orientation),
        ratios(0x011A, (72, 1)),
        ratios(0x011B, (72, 1)),
        shorts(0x0128, 2),
        ascii_entry(0x0131, f"{shot.camera} firmware 2.11"),
        ascii_entry(0x0132, shot.taken),
        ascii_entry(0x013B, f"Inspection bench {shot.bench}, T. Ollemarr"),
        ascii_entry(0x8298, "Halvenast Small Parts"),
        longs(0x8769, exif),
        longs(0x8825, gps),
    ]


def _camera(shot: Shot) -> list[Entry]:
    return [
        ratios(0x829A, (shot.exposure_ms, 1000)),
        shorts(0x8827, 100),
        (0x9000, _UNDEFINED, b"0232"),
        ascii_entry(0x9003, shot.taken),
        ascii_entry(0x9004, shot.taken),
        (0x9101, _UNDEFINED, b"\1\2\3\0"),
        shorts(0x9209, 0),
        (0x927C, _UNDEFINED, _maker_note(shot)),
        (0x9286, _UNDEFINED, b"ASCII\0\0\0" + f"bench {shot.bench}, left eyepiece port".encode("ascii")),
        shorts(0xA001, 1),
        longs(0xA002, shot.size[0]),
        longs(0xA003, shot.size[1]),
        ascii_entry(0xA430, "Halvenast metrology room"),
        ascii_entry(0xA431, shot.serial),
        ascii_entry(0xA434, "C-mount adapter 0.5x"),
    ]


def _maker_note(shot: Shot) -> bytes:
    rng = np.random.default_rng([shot.number, 77])
    head = b"ORRISVIEW\0\1\0" + struct.pack("<IHH", shot.number, 4127, shot.exposure_ms)
    return head + b"LED ring 8seg\0" + rng.integers(0, 256, 420, dtype=np.uint8).tobytes()


def _position(shot: Shot) -> list[Entry]:
    return [
        (0x0000, _BYTE, b"\2\3\0\0"),
        ascii_entry(0x0001, "S"),
        ratios(0x0002, (44, 1), (17, 1), (2316, 100)),
        ascii_entry(0x0003, "W"),
        ratios(0x0004, (121, 1), (52, 1), (4071, 100)),
        (0x0005, _BYTE, b"\0"),
        ratios(0x0006, (31, 10)),
        ascii_entry(0x001D, shot.taken[:10]),
    ]


def _thumbnail(offset: int, size: int) -> list[Entry]:
    return [
        shorts(0x0103, 6),
        ratios(0x011A, (72, 1)),
        ratios(0x011B, (72, 1)),
        shorts(0x0128, 2),
        longs(0x0201, offset),
        longs(0x0202, size),
    ]
