"""Makes picture files of every kind for the tests, with only what a test asks for in them."""

import struct
import zlib
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.say import Say
from portal.pictures.derive import Derived, Want, derive
from portal.pictures.facts import read_facts
from portal.pictures.upright import Upright, upright
from portal.problem import PortalError

Order = Literal["little", "big"]
SECRET = b"SECRET-5417"


def encoded(image: Image.Image, form: str, **options: Any) -> bytes:
    """A picture written by the reading library's own writer."""
    buffer = BytesIO()
    image.save(buffer, form, **options)
    return buffer.getvalue()


def exif(
    orientation: int | None = None, *, taken: str | None = None, offset: str | None = None, size: Sequence[int] = ()
) -> Image.Exif:
    """An Exif block of the values that are given."""
    block = Image.Exif()
    if orientation is not None:
        block[0x0112] = orientation
    inner: dict[int, Any] = block.get_ifd(0x8769)
    if taken:
        inner[0x9003] = taken
    if offset:
        inner[0x9011] = offset
    if size:
        inner[0xA002], inner[0xA003] = size
    return block


def scene(width: int = 96, height: int = 64, *, seed: int = 1) -> Image.Image:
    """A smooth coloured picture with some grain and a bright spot left of its upper corner's middle."""
    y, x = np.mgrid[0:height, 0:width]
    grain = np.random.default_rng(seed).normal(0, 4, (height, width))
    planes = [90 + 60 * np.sin(x / 17 + k) + 40 * np.cos(y / 11 - k) + grain for k in range(3)]
    pixels = np.clip(np.stack(planes, axis=-1), 0, 255).astype(np.uint8)
    pixels[4:12, 8:20] = (250, 240, 30)
    return Image.fromarray(pixels)


def swatches(colours: Sequence[Any], mode: str, side: int = 16) -> Image.Image:
    """Squares of plain colour in a row, as large as the blocks that JPEG codes at once."""
    image = Image.new(mode, (side * len(colours), side))
    for number, colour in enumerate(colours):
        image.paste(colour, (number * side, 0, (number + 1) * side, side))
    return image


def centres(image: Image.Image, count: int) -> NDArray[np.int16]:
    """The colours in the middle of each of so many squares in a row."""
    pixels = np.asarray(image.convert("RGB"), dtype=np.int16)
    side = image.width // count
    return pixels[image.height // 2, side // 2 :: side]


def segment(marker: int, payload: bytes) -> bytes:
    """One segment of a JPEG."""
    return bytes([0xFF, marker]) + struct.pack(">H", len(payload) + 2) + payload


def dirty_jpeg(image: Image.Image, *, orientation: int | None = None, **options: Any) -> bytes:
    """A JPEG with a secret in every place that a camera or an editor puts something."""
    block = exif(orientation)
    block[0x010F] = block[0x013B] = SECRET.decode()
    block.get_ifd(0x8825)[0x001B] = SECRET
    thumbnail = encoded(image.resize((16, 16)), "JPEG", comment=SECRET)
    plain = encoded(image, "JPEG", exif=block, comment=SECRET, **options)
    extra = (
        segment(0xE0, b"JFXX\0\x10" + thumbnail),
        segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + SECRET),
        segment(0xE2, _mpf()),
        segment(0xE2, b"FPXR\0" + SECRET),
        segment(0xE5, SECRET),
        segment(0xEB, b"JP" + SECRET),
        segment(0xED, b"Photoshop 3.0\x008BIM\x04\x0c\0\0" + struct.pack(">I", len(thumbnail)) + thumbnail),
        segment(0xFE, SECRET),
    )
    return plain[:2] + b"".join(extra) + plain[2:] + b"\0\0" + thumbnail + SECRET


def _mpf() -> bytes:
    """The index of a file of several pictures, with one. Layout: CIPA DC-007."""
    entries = struct.pack("<HHI4s", 0xB000, 7, 4, b"0100"), struct.pack("<HHII", 0xB001, 4, 1, 1)
    table = struct.pack("<HHII", 0xB002, 7, 16, 50)
    return b"MPF\0II*\0\x08\0\0\0\3\0" + b"".join(entries) + table + bytes(4) + bytes(16) + SECRET


def png(samples: NDArray[np.uint16], *, extra: bytes = b"") -> bytes:
    """A PNG of 16 bits a sample: height x width grey, or height x width x 2, 3 or 4."""
    height, width = samples.shape[:2]
    count = 1 if samples.ndim == 2 else samples.shape[2]
    head = struct.pack(">IIBBBBB", width, height, 16, {1: 0, 2: 4, 3: 2, 4: 6}[count], 0, 0, 0)
    rows = samples.astype(">u2").reshape(height, -1)
    coded = zlib.compress(b"".join(b"\0" + row.tobytes() for row in rows))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + extra + chunk(b"IDAT", coded) + chunk(b"IEND", b"")


def chunk(name: bytes, payload: bytes) -> bytes:
    """One chunk of a PNG."""
    return struct.pack(">I", len(payload)) + name + payload + struct.pack(">I", zlib.crc32(name + payload))


def tiff(
    samples: NDArray[Any],
    *,
    order: Order = "little",
    photometric: int = 1,
    deflate: bool = False,
    tags: Sequence[tuple[int, int]] = (),
) -> bytes:
    """A TIFF of one strip: 8, 16 or 32 bits a sample, in either byte order, with more tags of one short number."""
    sign = "<" if order == "little" else ">"
    height, width = samples.shape[:2]
    count = 1 if samples.ndim == 2 else samples.shape[2]
    strip = samples.astype(samples.dtype.newbyteorder(sign)).tobytes()  # type: ignore[arg-type]  # numpy knows both
    strip = zlib.compress(strip) if deflate else strip
    bits = 8 * samples.dtype.itemsize
    found: dict[int, tuple[int, ...]] = {256: (width,), 257: (height,), 258: (bits,) * count}
    found |= {259: (8 if deflate else 1,), 262: (photometric,), 273: (0,), 277: (count,), 278: (height,), 279: (0,)}
    if samples.dtype.kind == "f":
        found[339] = (3,)
    found |= {tag: (value,) for tag, value in tags}
    room = 8 + 2 + 12 * len(found) + 4
    found[273], found[279] = (room + 8,), (len(strip),)
    entries = b"".join(_entry(sign, tag, found[tag], room) for tag in sorted(found))
    head = (b"II" if order == "little" else b"MM") + struct.pack(sign + "HI", 42, 8)
    depths = struct.pack(sign + "4H", *(bits,) * 4)
    return head + struct.pack(sign + "H", len(found)) + entries + struct.pack(sign + "I", 0) + depths + strip


def _entry(sign: str, tag: int, values: tuple[int, ...], room: int) -> bytes:
    if tag in {273, 279}:
        return struct.pack(sign + "HHII", tag, 4, 1, values[0])
    if len(values) > 2:
        return struct.pack(sign + "HHII", tag, 3, len(values), room)
    return struct.pack(sign + "HHI2H", tag, 3, len(values), *values, *(0,) * (2 - len(values)))


def profile(primaries: Sequence[Sequence[float]], gamma: float, *, padding: int = 0) -> bytes:
    """A colour profile of three primaries (CIE XYZ under D50, a row each) and a power law. Layout: ICC.1:2001-04."""
    curve = b"curv" + struct.pack(">IIHxx", 0, 1, round(gamma * 256))
    text = b"text" + struct.pack(">I", 0) + b"made\0\0\0\0"
    desc = b"desc" + struct.pack(">II", 0, 5) + b"made\0" + bytes(79)
    parts = {b"desc": desc, b"cprt": text, b"wtpt": _xyz((0.9642, 1.0, 0.8249))}
    parts |= dict(zip((b"rXYZ", b"gXYZ", b"bXYZ"), map(_xyz, primaries), strict=True))
    parts |= dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve)
    if padding:
        parts[b"zero"] = b"data" + bytes(padding)
    offset, table, body = 132 + 12 * len(parts), b"", b""
    for name, part in parts.items():
        padded = part + bytes(-len(part) % 4)
        table += name + struct.pack(">II", offset + len(body), len(part))
        body += padded
    size = offset + len(body)
    head = struct.pack(">I4xI4s4s4s12x4s", size, 0x02400000, b"mntr", b"RGB ", b"XYZ ", b"acsp")
    head += bytes(28) + struct.pack(">3I", 0xF6D6, 0x10000, 0xD32D)
    return head + bytes(128 - len(head)) + struct.pack(">I", len(parts)) + table + body


def _xyz(values: Sequence[float]) -> bytes:
    return b"XYZ " + bytes(4) + struct.pack(">3i", *(round(value * 65536) for value in values))


def known(path: Path) -> PictureFacts:
    """The facts of a picture that is meant to be readable."""
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts), facts
    return facts


def seen(folder: Path, content: bytes) -> Upright:
    """The upright picture of a file's content."""
    path = folder / "picture"
    path.write_bytes(content)
    return upright(content, known(path))


def derived(folder: Path, content: bytes, *wants: Want) -> tuple[Derived, ...]:
    """The derived files of a picture that is meant to be readable, written into the folder `out`."""
    path = folder / "picture"
    path.write_bytes(content)
    found = derive(path, known(path), wants, folder / "out")
    assert isinstance(found, tuple), found
    return found


def fault(folder: Path, content: bytes, *wants: Want) -> PictureUnreadable:
    """Why a picture that is meant to be unreadable is so, whether its header or only its pixels tell."""
    path = folder / "picture"
    path.write_bytes(content)
    facts = read_facts(path)
    found = facts if isinstance(facts, PictureUnreadable) else derive(path, facts, wants, folder / "out")
    assert isinstance(found, PictureUnreadable), found
    return found


def told(folder: Path, content: bytes) -> str:
    """What is said of a file: why it is refused, that it is doubtful, or nothing."""
    path = folder / "picture"
    path.write_bytes(content)
    facts = read_facts(path)
    if isinstance(facts, PictureUnreadable):
        return facts.reason
    try:
        return "doubtful" if Say.of("picture.doubtful") in upright(content, facts).notes else ""
    except PortalError as error:
        return str(error)


def pixels(path: Path) -> NDArray[np.uint8]:
    """The pixels of a file as the reading library sees them."""
    with Image.open(path) as image:
        return np.asarray(image)
