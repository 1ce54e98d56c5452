"""A catalogue of pictures and movies with something in every place that a camera, a telephone or an editor uses."""

import hashlib
import struct
from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path

import pillow_heif
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from tests.pictures.make import SECRET, chunk, dirty_jpeg, encoded, exif, scene, segment
from tests.pictures.movies import SAID, hide_in_pictures, movie
from tests.pictures.test_bare import AMONG, BESIDE
from tests.pictures.test_privacy import archive, dirty_bitmap, private_tiff, told_profile
from tests.tasks.small import SPECK, TRIAL

WORD = SECRET.decode()
XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    b'<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/" dc:format="' + SECRET + b'"/></rdf:RDF></x:xmpmeta>'
)


def full_exif(orientation: int = 1) -> bytes:
    """Owner, serial number, place, maker's notes, time; the writer knows no notes, so a comment becomes them."""
    block = exif(orientation, taken="2026:02:12 10:15:00")
    block[0x010F] = block[0x0110] = block[0x0131] = block[0x013B] = block[0x8298] = WORD
    inner = block.get_ifd(0x8769)
    inner[0x9286] = b"notes: " + SECRET
    inner[0xA430] = inner[0xA431] = inner[0xA435] = WORD
    place = block.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (48.0, 12.0, 30.0), "E", (16.0, 22.0, 25.0)
    written = block.tobytes()
    assert written.count(b"\x92\x86\0\1") == 1
    return written.replace(b"\x92\x86\0\1", b"\x92\x7c\0\7")


def full_jpeg(orientation: int) -> bytes:
    """Also XMP, IPTC, a thumbnail, a second picture and what follows the end."""
    iptc = b"\x1c\2\x50" + struct.pack(">H", len(SECRET)) + SECRET
    small = encoded(scene(32, 24), "JPEG", comment=SECRET)
    extra = (
        segment(0xE0, b"JFXX\0\x10" + small),
        segment(0xED, resource(0x040C, bytes(28) + small)),
        segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + XMP),
        segment(0xED, resource(0x0404, iptc)),
    )
    plain = dirty_jpeg(scene(320, 240), orientation=orientation)
    whole = encoded(scene(320, 240), "JPEG", exif=full_exif(orientation), comment=SECRET, quality=92)
    return whole[:2] + b"".join(extra) + whole[2:] + plain


def resource(kind: int, data: bytes) -> bytes:
    """One resource of an image editor."""
    return b"Photoshop 3.0\x008BIM" + struct.pack(">HHI", kind, 0, len(data)) + data + b"\0" * (len(data) % 2)


def full_png() -> bytes:
    """Texts of every kind, Exif, a time."""
    texts = PngInfo()
    texts.add_text("Comment", WORD)
    texts.add_text("Author", WORD * 9, zip=True)
    texts.add_itxt("XML:com.adobe.xmp", XMP.decode())
    texts.add(b"tIME", bytes((7, 234, 2, 12, 10, 15, 0)))
    plain = encoded(scene(320, 240), "PNG", pnginfo=texts, exif=full_exif(), icc_profile=told_profile())
    moving = chunk(b"prVt", SECRET) + chunk(b"acTL", bytes((0, 0, 0, 1, 0, 0, 0, 0)))
    return plain[:-12] + moving + plain[-12:] + archive()


def full_heic() -> bytes:
    """Exif and XMP."""
    buffer, image = BytesIO(), scene(320, 240)
    pillow_heif.encode("RGB", image.size, image.tobytes(), buffer, exif=full_exif(), xmp=XMP)
    return buffer.getvalue()


def tiff_exif() -> Image.Exif:
    """The same as tags, as that writer takes them."""
    block = Image.Exif()
    block.load(full_exif().removeprefix(b"Exif\0\0"))
    return block


def full_tiff() -> bytes:
    """Tags of the main directory, XMP, and a scale."""
    options = {"exif": tiff_exif(), "description": f"{WORD}\nunit=micron\n", "software": WORD}
    return encoded(scene(320, 240), "TIFF", **options) + SECRET


def full_webp() -> bytes:
    """Exif, XMP, a profile, and a part that no reader knows."""
    plain = encoded(scene(320, 240), "WEBP", exif=full_exif(), xmp=XMP, icc_profile=told_profile())
    more = plain + b"prVt" + struct.pack("<I", len(SECRET) + 1) + SECRET + b"\0"
    return more[:4] + struct.pack("<I", len(more) - 8) + more[8:] + archive()


def boxed(content: bytes) -> bytes:
    """With boxes behind all others that no reader looks into, as any file of that format may have them."""
    return content + b"".join(
        struct.pack(">I", 24 + len(SECRET)) + name + bytes(16) + SECRET for name in (b"uuid", b"free", b"skip", b"zzzz")
    )


def full_pages() -> bytes:
    """A TIFF of two pages: what the second shows, and says, is nobody's business; between them lies something."""
    second = encoded(scene(320, 240, seed=4), "TIFF", description=WORD)
    return encoded(scene(320, 240), "TIFF", save_all=True, append_images=[Image.open(BytesIO(second))]) + SECRET


def among(places: Mapping[str, Callable[[bytes], bytes]]) -> bytes:
    """A JPEG with something in each of those places."""
    content = encoded(scene(320, 240), "JPEG", quality=85, restart_marker_blocks=8)
    for hide in places.values():
        content = hide(content)
    return content


PICTURES = {
    "p1.jpg": full_jpeg(1),
    "p2.jpg": full_jpeg(6),
    "p3.png": full_png(),
    "p4.tif": full_tiff(),
    "p5.webp": full_webp(),
    "p6.avif": boxed(encoded(scene(320, 240), "AVIF", exif=full_exif(), xmp=XMP)),
    "p7.heic": boxed(full_heic()),
    "p8.gif": encoded(scene(320, 240).quantize(200), "GIF", comment=SECRET) + archive(),
}
UNTOLD = {
    "q1.jpg": among(BESIDE),
    "q2.jpg": among(AMONG),
    "q3.bmp": dirty_bitmap(320, 240),
    "q4.tif": private_tiff(320, 240),
    "q5.tif": full_pages(),
}
"""With something where the independent reader doesn't look."""
MOVIES = ("m1.mp4", "m2.mov", "m3.webm", "m4.avi", "m5.mkv")
BEHIND = {
    ".avi": b"JUNK" + struct.pack("<I", 2 * len(SECRET)) + 2 * SECRET,
    ".mkv": b"\xec" + bytes([0x80 | len(SECRET)]) + SECRET,
    ".webm": SECRET,
}
OWN = {"comment": "COMMENT-2718", "value": "VALUE-2718", "note": "SHOPNOTE-2718", "user": "USERNAME-2718"}
"""Words that only the shop reads."""
PLACE = 'cavity: "1"\nshot: 11\npiece: T1-1-11-1\nview: top\n'


def stuffed(folder: Path) -> None:
    """Put all of them into the trial: pictures with a finding each, movies that show one."""
    for number, (name, content) in enumerate({**PICTURES, **UNTOLD}.items()):
        finding = SPECK.replace("7K3F", f"7M3{'0123456789ACDEFGH'[number]}")
        _add(folder, name, content, "320x240", f"findings:\n{finding}    shop_note: {OWN['note']}\n")
    for name in MOVIES:
        said = SAID if not name.endswith(".avi") else {"title": WORD}
        path = movie(folder / "work" / name, said=said, sound=True, second_track=name.endswith((".mp4", ".mov")))
        if name.endswith((".mp4", ".mov", ".mkv")):
            hide_in_pictures(path)
        more = "also:\n  - finding: 7M30\n    shapes: []\n    by: first-inspector\n    at: 2026-02-12T10:25\n"
        content = path.read_bytes()
        _add(folder, name, content + BEHIND[path.suffix] if path.suffix in BEHIND else boxed(content), "96x64", more)


def _add(folder: Path, name: str, content: bytes, stored: str, more: str) -> None:
    assert SECRET in content
    (folder / TRIAL / "images" / name).write_bytes(content)
    digest = hashlib.sha256(content).hexdigest()
    own = f"# {OWN['comment']}\nformat: 1\nx-own: {OWN['value']}\n"
    text = f"{own}picture: {{sha256: {digest}, stored: {stored}}}\n{PLACE}{more}"
    (folder / TRIAL / "tags" / f"{name}.yaml").write_text(text, encoding="utf-8")
