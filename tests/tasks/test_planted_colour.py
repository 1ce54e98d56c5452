"""What is blacked out is in no pixel of anything that is made: a colour of its own is planted and looked for.

Looked for in every file of the sites, of the review's store and of what was sent, in each file within one, in each
frame of a movie: the pixels themselves are searched, whatever the files are called and whoever made them.
"""

import base64
import hashlib
import re
import zipfile
from collections.abc import Iterator
from email import message_from_bytes
from email.policy import default
from io import BytesIO
from pathlib import Path

import av
import numpy as np
import pytest
from av.video.frame import VideoFrame
from numpy.typing import NDArray
from PIL import Image
from pypdf import PdfReader

from tests.pictures.make import encoded
from tests.tasks.judged import PART
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import SPECK, TRIAL
from tests.tasks.two import OURS
from tests.tasks.typed import typed

PLANTED = (250, 10, 240)
TURNED, PLAIN, TILED, FILM = "p1.jpg", "p2.tif", "p3.jpg", "p4.avi"
PLACE = 'cavity: "1"\nshot: 11\npiece: T1-1-11-1\nview: top\n'
ALSO = "also:\n  - finding: 7M30\n    shapes: []\n    by: first-inspector\n    at: 2026-02-12T10:25\n"


def scene(width: int, height: int) -> NDArray[np.uint8]:
    """Grey, with the colour in the middle of the left half."""
    pixels = np.full((height, width, 3), 120, np.uint8)
    pixels[height // 4 : height // 2, width // 8 : width // 4] = PLANTED
    return pixels


def mask(width: int, height: int, *, turned: bool = False) -> str:
    """The region with some room around it, in upright pixels."""
    left, top, right, bottom = width // 8 - 9, height // 4 - 9, width // 4 + 9, height // 2 + 9
    corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
    if turned:  # a quarter to the right
        corners = [(height - y, x) for x, y in corners]
    return " ".join(f"{x},{y}" for x, y in corners)


def planted(folder: Path, *, masked: bool) -> None:
    """Pictures and a movie that have it: stored turned, another kind, large enough to go out in tiles, moving."""
    block = Image.Exif()
    block[0x0112] = 6
    contents = {
        TURNED: (encoded(Image.fromarray(scene(320, 240)), "JPEG", quality=92, exif=block), (320, 240)),
        PLAIN: (encoded(Image.fromarray(scene(320, 240)), "TIFF"), (320, 240)),
        TILED: (encoded(Image.fromarray(scene(6000, 4200)), "JPEG", quality=60), (6000, 4200)),
        FILM: (film(), (96, 64)),
    }
    for number, (name, (content, (width, height))) in enumerate(contents.items()):
        (folder / TRIAL / "images" / name).write_bytes(content)
        digest = hashlib.sha256(content).hexdigest()
        text = f"format: 1\npicture: {{sha256: {digest}, stored: {width}x{height}}}\n{PLACE}"
        text += f'masks: ["{mask(width, height, turned=name == TURNED)}"]\n' if masked else ""
        text += ALSO if name == FILM else f"findings:\n{SPECK.replace('7K3F', f'7M3{number}')}"
        (folder / TRIAL / "tags" / f"{name}.yaml").write_text(text, encoding="utf-8")


def film() -> bytes:
    """Ten frames, as a microscope writes them."""
    buffer = BytesIO()
    with av.open(buffer, "w", format="avi") as target:
        video = target.add_stream("mjpeg", rate=10)
        video.width, video.height, video.pix_fmt = 96, 64, "yuvj420p"
        for _ in range(10):
            target.mux(video.encode(VideoFrame.from_ndarray(scene(96, 64), "rgb24")))
        target.mux(video.encode(None))
    return buffer.getvalue()


def pictures_in(name: str, data: bytes) -> Iterator[tuple[str, NDArray[np.uint8]]]:
    """Every picture that can be got out of a file, by where it lies."""
    if data.startswith((b"\xff\xd8\xff", b"\x89PNG")):
        with Image.open(BytesIO(data)) as image:
            yield name, np.asarray(image.convert("RGB"))
    elif data[4:8] == b"ftyp" or data.startswith(b"\x1aE\xdf\xa3"):
        with av.open(BytesIO(data), "r") as container:
            for number, frame in enumerate(container.decode(video=0)):
                yield f"{name}#{number}", np.asarray(frame.to_ndarray(format="rgb24"), np.uint8)
    else:
        for inner, content in _within(name, data):
            yield from pictures_in(f"{name}/{inner}", content)


def _within(name: str, data: bytes) -> Iterator[tuple[str, bytes]]:
    if data.startswith(b"PK"):
        with zipfile.ZipFile(BytesIO(data)) as archive:
            yield from ((each, archive.read(each)) for each in archive.namelist() if not each.endswith("/"))
    elif data.startswith(b"%PDF"):
        for number, page in enumerate(PdfReader(BytesIO(data)).pages):
            yield from ((f"{number}-{each.name}", each.data) for each in page.images)
    elif name.endswith(".eml"):
        for part in message_from_bytes(data, policy=default).walk():
            content = part.get_payload(decode=True)
            if isinstance(content, bytes):
                yield part.get_filename() or part.get_content_type(), content
    else:
        for number, coded in enumerate(re.findall(rb"data:image/\w+;base64,([A-Za-z0-9+/=]+)", data)):
            yield f"data-{number}", base64.b64decode(coded)


def seen_in(folder: Path) -> tuple[set[str], int]:
    """Where the colour is, also mixed with its surroundings, and how many pictures were looked at."""
    (store,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    places = [folder / "site/shop", folder / "site" / OURS, store]
    found, looked = set(), 0
    for path in (each for place in places for each in place.rglob("*") if each.is_file()):
        for where, pixels in pictures_in(path.relative_to(folder).as_posix(), path.read_bytes()):
            looked += 1
            wide = pixels.astype(np.int16)
            if (np.minimum(wide[..., 0], wide[..., 2]) - wide[..., 1]).max() > 40:
                found.add(where)
    return found, looked


def made(folder: Path, *, masked: bool) -> Path:
    """The catalogue with its sites, and its review as it was sent in every form."""
    ready_catalogue(folder, before_asking=lambda each: planted(each, masked=masked))
    for words in (("build", folder), ("build", folder, "--for", OURS)):
        built = typed(*words, "--jobs", "2")
        assert built.code == 0, built.err
    packed = pack(folder, "--small")
    assert packed.code == 0, packed.err
    return folder


@pytest.fixture(scope="module")
def open_places(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """Where the colour is seen while nothing is blacked out: so the search does see it."""
    return seen_in(made(tmp_path_factory.mktemp("open") / "c", masked=False))[0]


@pytest.mark.parametrize(
    "place", ["site/shop/assets/", f"site/{OURS}/assets/", "/pictures/", ".zip/", ".pdf/", ".html/", ".mp4#"]
)
def test_the_search_sees_it_where_nothing_is_blacked_out(place: str, open_places: set[str]) -> None:
    """In files of every kind that go out."""
    assert any(place in each for each in open_places), sorted(open_places)[:20]


def test_a_planted_colour_is_in_no_pixel_once_it_is_blacked_out(tmp_path: Path) -> None:
    """Sites, tiles, small sizes, the store, the zip, the PDF, the one file, the small one, the mail, movies."""
    found, looked = seen_in(made(tmp_path / "c", masked=True))
    assert looked > 100
    assert found == set()
