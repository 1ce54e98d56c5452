"""Nothing leaves but pixels and what the program wrote: every file of a customer's site and of all that is sent.

The catalogue is made of pictures and movies with something in every place that a camera, a telephone or an editor uses.
Then each file that leaves, each file within one, and each picture within one is read by exiftool as an independent
reader, and held against a list of what may be there. Words of the files that the shop writes by hand are searched too.
"""

import base64
import gzip
import hashlib
import re
import zipfile
import zlib
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from tests.leaves import told_beside, words_in
from tests.tasks.judged import PART
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.stuffing import MOVIES, OWN, PICTURES, UNTOLD, WORD, stuffed
from tests.tasks.two import OURS
from tests.tasks.typed import typed


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The catalogue, its customer's site, and its review as it was sent."""
    place = tmp_path_factory.mktemp("stuffed") / "c"
    with pytest.MonkeyPatch.context() as patch:
        for name in ("LOGNAME", "USER", "LNAME", "USERNAME", "HOSTNAME"):
            patch.setenv(name, OWN["user"])
        made = ready_catalogue(place, before_asking=stuffed)
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


def test_the_word_is_in_no_byte_that_leaves(left: list[Path], folder: Path) -> None:
    """Nor in any that is only found once a file is opened, nor are the shop's own words, nor where all this lies."""
    words = [WORD, *OWN.values(), str(folder.parent)]
    sources = [each for each in (folder / TRIAL).rglob("*") if each.is_file()]
    assert set().union(*words_in(sources, words).values()) == {WORD, OWN["comment"], OWN["value"], OWN["note"]}
    assert words_in(sources, words).keys() >= {*PICTURES, *UNTOLD, *MOVIES}
    assert words_in(left, words) == {}


def test_a_word_is_found_in_whatever_it_is_packed(tmp_path: Path) -> None:
    """As text of two bytes, packed, packed in an archive, coded for a mail or a page, and in several of these."""
    plain = f"..{WORD.lower()}..".encode("utf-16-le")
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("a", zlib.compress(plain))
    contents = {
        "two bytes": plain,
        "packed": b"%PDF stream" + zlib.compress(plain),
        "gzip": gzip.compress(plain),
        "mail": base64.encodebytes(bytes(200) + plain),
        "page": b"url(data:image/jpeg;base64," + base64.b64encode(zlib.compress(bytes(99) + plain)) + b")",
        "archive": packed.getvalue(),
        "printable": b"Content-Transfer-Encoding: quoted-printable\n\nSECR=\nET-5417",
        f"named {WORD}": b"",
    }
    for name, content in contents.items():
        (tmp_path / name).write_bytes(content)
    assert words_in(tmp_path.iterdir(), [WORD, "nothing"]) == {name: {WORD} for name in contents}


def test_an_independent_reader_finds_pixels_and_our_own_words(left: list[Path]) -> None:
    """An allow-list of its tags, with the values of those that might tell something."""
    assert told_beside(left) == {}


def test_a_jpeg_that_needs_no_change_keeps_its_pixels(folder: Path) -> None:
    """Stripped and not coded again: in the site the pixels are exactly those of the original."""
    with Image.open(folder / TRIAL / "images/p1.jpg") as image:
        own = np.asarray(image.convert("RGB"))
    same = 0
    for each in (folder / "site" / OURS / "assets").glob("*.jpg"):
        with Image.open(each) as image:
            same += image.size == (320, 240) and np.array_equal(np.asarray(image.convert("RGB")), own)
    assert same == 1
