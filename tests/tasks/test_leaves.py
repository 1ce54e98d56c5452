"""Nothing leaves but pixels and what the program wrote: every file of a customer's site and of all that is sent.

The catalogue is made of pictures and movies with something in every place that a camera, a telephone or an editor uses.
Then each file that leaves, each file within one, and each picture within one is read by exiftool as an independent
reader, and held against a list of what may be there.
"""

import base64
import hashlib
import re
import struct
import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo
from pypdf import PdfReader

from tests.leaves import told_beside
from tests.pictures.make import SECRET, dirty_jpeg, encoded, exif, scene, segment
from tests.pictures.movies import SAID, hide_in_pictures, movie
from tests.tasks.judged import PART
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import SPECK, TRIAL
from tests.tasks.two import OURS
from tests.tasks.typed import typed

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
    return encoded(scene(320, 240), "PNG", pnginfo=texts, exif=full_exif()) + SECRET


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


PICTURES = {
    "p1.jpg": full_jpeg(1),
    "p2.jpg": full_jpeg(6),
    "p3.png": full_png(),
    "p4.tif": full_tiff(),
    "p5.webp": encoded(scene(320, 240), "WEBP", exif=full_exif(), xmp=XMP),
    "p6.avif": encoded(scene(320, 240), "AVIF", exif=full_exif(), xmp=XMP),
    "p7.heic": full_heic(),
    "p8.gif": encoded(scene(320, 240).quantize(200), "GIF", comment=SECRET),
}
MOVIES = ("m1.mp4", "m2.mov", "m3.webm", "m4.avi", "m5.mkv")
PLACE = 'cavity: "1"\nshot: 11\npiece: T1-1-11-1\nview: top\n'


def stuffed(folder: Path) -> None:
    """Put all of them into the trial: pictures with a finding each, movies that show one."""
    for number, (name, content) in enumerate(PICTURES.items()):
        finding = SPECK.replace("7K3F", f"7M3{number}")
        _add(folder, name, content, "320x240", f"findings:\n{finding}")
    for name in MOVIES:
        said = SAID if not name.endswith(".avi") else {"title": WORD}
        path = movie(folder / "work" / name, said=said, sound=True, second_track=name.endswith((".mp4", ".mov")))
        if name.endswith((".mp4", ".mov", ".mkv")):
            hide_in_pictures(path)
        more = "also:\n  - finding: 7M30\n    shapes: []\n    by: first-inspector\n    at: 2026-02-12T10:25\n"
        _add(folder, name, path.read_bytes() + SECRET, "96x64", more)


def _add(folder: Path, name: str, content: bytes, stored: str, more: str) -> None:
    assert SECRET in content
    (folder / TRIAL / "images" / name).write_bytes(content)
    digest = hashlib.sha256(content).hexdigest()
    text = f"format: 1\npicture: {{sha256: {digest}, stored: {stored}}}\n{PLACE}{more}"
    (folder / TRIAL / "tags" / f"{name}.yaml").write_text(text, encoding="utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The catalogue, its customer's site, and its review as it was sent."""
    made = ready_catalogue(tmp_path_factory.mktemp("stuffed") / "c", before_asking=stuffed)
    packed = pack(made)
    assert packed.code == 0, packed.err
    built = typed("build", made, "--for", OURS, "--jobs", "2")
    assert built.code == 0, built.err
    return made


@pytest.fixture(scope="module")
def left(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Every file that leaves, every file within one, every picture within one."""
    apart = tmp_path_factory.mktemp("apart")
    site = [each for each in (folder / "site" / OURS).rglob("*") if each.is_file() and not each.name.startswith(".")]
    (store,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    sent = [each for each in store.rglob("*") if each.is_file()]
    inner = [*_unzipped(sent, apart), *_of_pdf(sent, apart)]
    return [*site, *sent, *inner, *_of_html([*site, *sent, *inner], apart)]


def _unzipped(sent: list[Path], apart: Path) -> Iterator[Path]:
    (packed,) = (each for each in sent if each.suffix == ".zip")
    with zipfile.ZipFile(packed) as archive:
        assert not archive.comment and not [each for each in archive.infolist() if each.comment or each.extra]
        archive.extractall(apart / "zip")
    yield from (each for each in (apart / "zip").rglob("*") if each.is_file())


def _of_pdf(sent: list[Path], apart: Path) -> Iterator[Path]:
    """The pictures in it as they lie there, and every decoded stream."""
    (document,) = (each for each in sent if each.suffix == ".pdf")
    (apart / "pdf").mkdir()
    reader = PdfReader(document)
    for number, page in enumerate(reader.pages):
        content = page.get_contents()
        streams = [content.get_data()] if content else []
        for kind, data in (*((".txt", each) for each in streams), *((".jpg", each.data) for each in page.images)):
            digest = hashlib.sha256(data).hexdigest()[:12]
            yield _put(apart / "pdf" / f"{number}-{digest}{kind}", data)


def _of_html(files: list[Path], apart: Path) -> Iterator[Path]:
    """Pictures that stand in a page."""
    (apart / "html").mkdir()
    for page in (each for each in files if each.suffix == ".html"):
        for coded in re.findall(r"data:image/jpeg;base64,([A-Za-z0-9+/=]+)", page.read_text(encoding="utf-8")):
            data = base64.b64decode(coded)
            yield _put(apart / "html" / f"{hashlib.sha256(data).hexdigest()[:12]}.jpg", data)


def _put(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def test_what_goes_in_is_full_of_it(folder: Path) -> None:
    """So that the reader would see it: each file has tags that may not leave, of many groups together."""
    files = [folder / TRIAL / "images" / name for name in (*PICTURES, *MOVIES)]
    found = told_beside(files)
    assert set(found) == {*PICTURES, *MOVIES}
    tags = {tag for each in found.values() for tag in each}
    groups = {tag.partition(":")[0] for tag in tags}
    assert {"EXIF", "XMP", "IPTC", "PNG", "GIF", "QuickTime", "RIFF", "Matroska"} <= groups, groups
    kinds = {"MakerNoteUnknownText", "SerialNumber", "OwnerName", "GPSLatitude", "ThumbnailImage", "Comment"}
    kinds |= {"GPSCoordinates", "TrackCreateDate", "PhotoshopThumbnail"}
    assert kinds <= {tag.partition(":")[2] for tag in tags}, sorted(tags)


def test_there_is_something_of_each_kind_to_look_at(left: list[Path]) -> None:
    """Pictures and movies of the site, of the store, of the zip, of the PDF, of the one file."""
    kinds = {each.suffix for each in left}
    assert kinds >= {".html", ".css", ".js", ".jpg", ".mp4", ".webm", ".pdf", ".zip", ".eml", ".txt", ".json"}
    names = [each.as_posix() for each in left]
    for place, ending in (("/zip/pictures/", ".jpg"), ("/zip/movies/", ".mp4"), ("/pdf/", ".jpg"), ("/html/", ".jpg")):
        assert sum(place in name and name.endswith(ending) for name in names) >= 3, place
    assert sum("/site/" in name and name.endswith(".mp4") for name in names) >= 4


def test_the_word_is_in_no_byte_that_leaves(left: list[Path]) -> None:
    """Nor in any that is only found once a file is opened."""
    assert [each.name for each in left if SECRET in each.read_bytes()] == []


def test_an_independent_reader_finds_pixels_and_our_own_words(left: list[Path]) -> None:
    """An allow-list of its tags, with the values of those that might tell something."""
    assert told_beside(left) == {}


def test_no_name_of_this_machine_leaves(left: list[Path], folder: Path) -> None:
    """Where the catalogue lies is nobody's business."""
    place = str(folder.parent).encode()
    assert [each.name for each in left if place in each.read_bytes()] == []


def test_a_jpeg_that_needs_no_change_keeps_its_pixels(folder: Path) -> None:
    """Stripped and not coded again: in the site the pixels are exactly those of the original."""
    with Image.open(folder / TRIAL / "images/p1.jpg") as image:
        own = np.asarray(image.convert("RGB"))
    same = 0
    for each in (folder / "site" / OURS / "assets").glob("*.jpg"):
        with Image.open(each) as image:
            same += image.size == (320, 240) and np.array_equal(np.asarray(image.convert("RGB")), own)
    assert same == 1
