"""Whatever lies in `images/`: each file is shown, or named with the reason, and none stops the rest."""

import re
import shutil
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.model.picture import PictureFacts
from portal.pictures.derive import Want
from portal.pictures.jobs import Job, jobs_for
from portal.tasks.build import build
from portal.tasks.check import check
from portal.tasks.new import new
from tests.pictures.make import chunk, encoded, exif, png, scene, tiff
from tests.tasks.small import TRIAL, small_catalogue

DAY = date(2026, 3, 1)
LARGE = zlib.compress(bytes(8_000_000))
PHOTO = encoded(scene(), "JPEG")
DAMAGED_DEFLATE = tiff(np.zeros((64, 64), np.uint8), deflate=True).replace(b"\x78\x9c", b"\x78\x9d")

SHOWN: Mapping[str, bytes] = {
    "turned.jpg": encoded(scene(), "JPEG", exif=exif(6)),
    "named wrong.jpg": encoded(scene(), "PNG"),
    "no ending": PHOTO,
    "inks.jpg": encoded(scene().convert("CMYK"), "JPEG"),
    "moving.gif": encoded(scene(), "GIF", save_all=True, append_images=[scene(seed=2)]),
    "deep.tif": tiff(np.arange(64, dtype=np.uint16).reshape(8, 8) * 900, order="big"),
    "large text.png": png(
        np.full((8, 12), 999, np.uint16), extra=chunk(b"zTXt", b"a\0\0" + zlib.compress(bytes(8**8)))
    ),
    "two.jpg": PHOTO + PHOTO,
}
REFUSED: Mapping[str, tuple[bytes, str]] = {
    "cut.jpg": (PHOTO[:-40], "ends early"),
    "cut.png": (encoded(scene(), "PNG")[:-40], "ends early"),
    "empty.heic": (b"", "an empty file"),
    "letter.jpg": (b"Dear all, as agreed on the phone", "no picture of a known kind"),
    "film.jpg": (b"\0\0\0\x18ftypqt  " + bytes(40), "damaged file"),
    "report.png": (b"%PDF-1.7 and more", "a PDF document"),
    "bomb.png": (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", b"\0\1\0\0\0\1\0\0\x08\2\0\0\0")
        + chunk(b"IDAT", b"")
        + chunk(b"IEND", b""),
        "more than the 250",
    ),
    "noise.png": (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", b"\0\0\0\x08\0\0\0\x08\x08\2\0\0\0")
        + chunk(b"IDAT", b"noise")
        + chunk(b"IEND", b""),
        "damaged file",
    ),
    "noise.tif": (DAMAGED_DEFLATE, "damaged file"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small catalogue with all of them in its trial, and its site."""
    made = small_catalogue(tmp_path_factory.mktemp("strange") / "c")
    images = made / TRIAL / "images"
    for name, content in SHOWN.items():
        (images / name).write_bytes(content)
    for name, (content, _) in REFUSED.items():
        (images / name).write_bytes(content)
    return made


@pytest.fixture(scope="module")
def said(folder: Path) -> str:
    """What the build says."""
    built = build(folder, out=None, as_of=DAY, processes=2)
    assert built.exit_code == 1
    return built.said


@pytest.mark.parametrize("name", REFUSED)
def test_each_file_that_cant_be_shown_is_named_with_its_reason(name: str, said: str) -> None:
    """Once, on a line of its own."""
    lines = [line for line in said.splitlines() if f"images/{name}:" in line]
    assert len(lines) == 1
    assert REFUSED[name][1] in lines[0]


def test_no_other_file_is_named(said: str) -> None:
    """What can be shown is no problem."""
    assert said.count("images/") == len(REFUSED)
    assert "Traceback" not in said


@pytest.mark.parametrize("name", [*SHOWN, "c1_top.jpg"])
def test_each_file_that_can_be_shown_has_its_picture_on_its_page(name: str, folder: Path, said: str) -> None:
    """Found by its heading among the pages of pictures."""
    assert said
    (page,) = pages_headed(folder, name)
    shown = re.findall(r"assets/[0-9a-f]+\.jpg", page)
    assert shown and all((folder / "site/shop" / each).is_file() for each in shown)


@pytest.mark.parametrize("name", REFUSED)
def test_the_page_of_a_file_that_cant_be_shown_tells_why(name: str, folder: Path, said: str) -> None:
    """The reason stands where the picture would be."""
    assert said
    (page,) = pages_headed(folder, name)
    assert REFUSED[name][1].replace("'", "&#39;") in page


def test_check_tells_the_same_of_what_a_header_shows(folder: Path) -> None:
    """Without decoding a pixel: all but the two of which only the pixels are damaged."""
    named = {problem.file.rpartition("/")[2] for problem in check(folder).problems}
    assert named == REFUSED.keys() - {"noise.png", "noise.tif"}


def pages_headed(folder: Path, name: str) -> list[str]:
    """The pages of pictures with that heading."""
    pages = (path.read_text(encoding="utf-8") for path in (folder / "site/shop/pictures").rglob("*.html"))
    return [page for page in pages if f">{name}</h1>" in page]


CASES = Path(__file__).resolve().parents[3] / "shared/cases/pictures"
UNREAD = {
    "empty.heic": "an empty file",
    "truncated_image.png": "ends early",
    "truncated_jpeg.jpg": "ends early",
}
real_files = pytest.mark.skipif(not CASES.is_dir(), reason=f"the real files aren't here: {CASES}")


@real_files
def test_every_real_file_is_shown_or_named(tmp_path: Path) -> None:
    """In a catalogue as `portal new` makes it, all of them in one trial."""
    new(tmp_path / "c")
    for path in CASES.iterdir():
        shutil.copyfile(path, tmp_path / "c" / TRIAL / "images" / path.name)
    said = build(tmp_path / "c", out=None, as_of=DAY, processes=2).said
    named = {line.split(": ")[0].rpartition("/")[2]: line for line in said.splitlines() if "images/" in line}
    assert named.keys() == UNREAD.keys()
    assert all(reason in named[name] for name, reason in UNREAD.items())
    assert all(len(pages_headed(tmp_path / "c", path.name)) == 1 for path in CASES.iterdir())


def test_a_picture_that_brings_its_process_down_is_named_and_all_others_are_published(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One that may take no time stands for a file that keeps the reading library busy for ever."""
    made = small_catalogue(tmp_path / "c")
    (made / TRIAL / "images/endless.png").write_bytes(encoded(Image.new("L", (6000, 4000)), "PNG"))

    def hurried(path: Path, facts: PictureFacts, wants: Sequence[Want], out: Path) -> tuple[Job, ...]:
        jobs = jobs_for(path, facts, wants, out)
        return tuple(replace(each, patience=-23.999) if path.name == "endless.png" else each for each in jobs)

    monkeypatch.setattr("portal.tasks.pages.jobs_for", hurried)
    built = build(made, out=None, as_of=DAY, processes=2)
    assert built.exit_code == 1
    assert "images/endless.png: can't be shown: it couldn't be read within 0 s" in built.said
    assert built.said.count("images/") == 1
    (page,) = pages_headed(made, "c1_top.jpg")
    shown = re.findall(r"assets/[0-9a-f]+\.jpg", page)
    assert shown and all((made / "site/shop" / each).is_file() for each in shown)
    (told,) = pages_headed(made, "endless.png")
    assert "be read within 0 s and the memory at hand" in told.replace("\xa0", " ")
