"""A movie in a catalogue: on pages, asked about, in what is sent, and what becomes of one that is broken."""

import hashlib
import json
import shutil
import zipfile
from io import BytesIO
from pathlib import Path

import av
import numpy as np
import pytest
from pypdf import PdfReader

from tests.leaves import told_beside
from tests.pictures.make import SECRET
from tests.pictures.movies import SAID, movie
from tests.tasks.judged import ENGINEER, PART
from tests.tasks.packing import carriers, pack, ready_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.two import OURS
from tests.tasks.typed import typed

TILT, USB, CUT = "c1_tilt.mov", "c1_usb.avi", "c1_cut.mp4"


def add_movie(folder: Path, name: str, *, more: str = "", orientation: int = 1, stored: str = "96x64") -> Path:
    """A movie with everything in it that a telephone writes, and its tag."""
    said = SAID if not name.endswith(".avi") else {"title": SECRET.decode()}
    path = movie(folder / TRIAL / "images" / name, said=said, sound=True, orientation=orientation)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    (folder / TRIAL / "tags" / f"{name}.yaml").write_text(
        f"format: 1\npicture: {{sha256: {digest}, stored: {stored}}}\ncavity: '1'\nshot: 11\nview: top\n{more}",
        encoding="utf-8",
    )
    return path


ALSO = """caption: The light is tilted over the speck
also:
  - finding: 7K3F
    shapes: []
    by: first-inspector
    at: 2026-02-12T10:25
"""


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue ready to be sent, with a movie that shows a finding and one that nobody says anything of."""
    folder = ready_catalogue(tmp_path_factory.mktemp("movies") / "c")
    add_movie(folder, USB)
    return folder


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with a movie that shows a finding, held upright."""

    def add(folder: Path) -> None:
        add_movie(folder, USB)
        add_movie(folder, TILT, more=ALSO, orientation=6)

    return ready_catalogue(tmp_path_factory.mktemp("two") / "c", before_asking=add)


@pytest.fixture
def shown_in_two(two: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return shutil.copytree(two, tmp_path / "c")


@pytest.fixture
def folder(ready: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return shutil.copytree(ready, tmp_path / "c")


def page(folder: Path, name: str, site: str = "shop") -> str:
    """A page of the site; a number and its unit stay on one line there."""
    return (folder / "site" / site / name).read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")


PICTURE = f"pictures/M-001/T1/{USB}.html"
REVIEW, PART_PAGE = f"parts/{PART}/M-001-T1.html", f"parts/{PART}/index.html"


@pytest.mark.parametrize("name", [PICTURE, REVIEW, PART_PAGE])
def test_a_movie_plays_on_its_page_on_the_review_and_on_the_part(name: str, ready: Path) -> None:
    """With the frame that stands for it, a strip of its frames, how long it is, and that nothing is measured in it."""
    assert typed("build", ready, "--jobs", "1").code == 0
    html = page(ready, name)
    assert html.count("<video ") == 1 and html.count('type="video/mp4"') == 1
    assert html.count("<li><img ") == 6 and "2.0 s, 20 frames" in html
    assert "coded anew, as not every browser plays" in html and "its sound is left out" in html
    for address in html.split('src="')[1:]:
        file = address.split('"')[0]
        assert ((ready / "site/shop" / name).parent / file).is_file(), file
    assert "othing is measured in a movie" in html or "Nothing is measured in it" in html


def test_nothing_changed_makes_nothing_again_and_a_clean_build_is_the_same(folder: Path, tmp_path: Path) -> None:
    """Byte for byte, the movies included; the manifest knows them."""
    assert typed("build", folder, "--jobs", "1").code == 0
    caption = folder / TRIAL / "tags/c1_top.jpg.yaml"
    caption.write_text(caption.read_text(encoding="utf-8") + "\n# a word\n", encoding="utf-8")
    assert typed("build", folder, "--jobs", "1").code == 0
    assert typed("build", folder, "--jobs", "1", "--out", tmp_path / "clean").code == 0
    assert tree(folder / "site/shop") == tree(tmp_path / "clean")


def tree(folder: Path) -> dict[str, str]:
    """Hash of every file but the manifest."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.startswith(".portal")
    }


def test_what_a_movie_was_made_into_goes_with_it(folder: Path) -> None:
    """Nothing of it stays on the site once it is gone."""
    assert typed("build", folder, "--jobs", "1").code == 0
    assert len(list((folder / "site/shop/assets").glob("*.mp4"))) == 1
    (folder / TRIAL / "images" / USB).unlink()
    (folder / TRIAL / "tags" / f"{USB}.yaml").unlink()
    assert typed("build", folder, "--jobs", "1").code == 0
    assert not list((folder / "site/shop/assets").glob("*.mp4"))


def test_a_broken_movie_is_named_and_stops_nothing(folder: Path) -> None:
    """The build ends with 1, says which file and why, and every other page is there."""
    data = movie(folder / TRIAL / "images" / CUT, frames=40).read_bytes()
    (folder / TRIAL / "images" / CUT).write_bytes(data[: len(data) // 2])
    built = typed("build", folder, "--jobs", "1")
    assert built.code == 1
    assert f"{TRIAL}/images/{CUT}: can't be shown: damaged file: ends early\n    copy it once more" in built.err
    assert "<video " in page(folder, PICTURE)
    assert "can&#39;t be shown" in page(folder, f"pictures/M-001/T1/{CUT}.html")


def test_a_movie_is_no_picture_that_a_view_needs(folder: Path) -> None:
    """Nothing can be measured in it."""
    gap = "cavity 1, view top: 1 of 1 not looked at (a picture is required)"
    assert gap not in typed("check", folder).out
    (folder / TRIAL / "images/c1_top.jpg").unlink()
    (folder / TRIAL / "tags/c1_top.jpg.yaml").unlink()
    assert gap in typed("check", folder).out


def test_a_movie_can_be_asked_about_and_is_sent(shown_in_two: Path) -> None:
    """In the PDF and the one file as frames, in the zip and on the site as the movie."""
    folder = shown_in_two
    asked = typed(
        *("ask", folder, "--part", PART, "--picture", USB, "--by", ENGINEER),
        *("--question", "Does the streak matter that shows while the part is turned?"),
    )
    assert asked.code == 0, asked.err
    packed = pack(folder)
    assert packed.code == 0, packed.err
    (store,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    shown = json.loads((store / "shown.json").read_text(encoding="utf-8"))
    tilt, usb = shown["movies"]
    assert (tilt["name"], tilt["findings"], tilt["caption"]) == (TILT, ["7K3F"], "The light is tilted over the speck")
    assert (usb["name"], usb["findings"], usb["file"]) == (USB, [], "movies/c1_usb.mp4")
    assert shown["asks"][-1]["picture"] == usb["poster"] and shown["asks"][-1]["picture_name"] == USB
    for each in (tilt, usb):
        kept = store / "pictures" / f"{each['sha256']}.mp4"
        assert hashlib.sha256(kept.read_bytes()).hexdigest() == each["sha256"]
        assert len(each["stills"]) == 6
    out = carriers(folder)
    _in_zip(out, shown)
    _in_pdf(out)
    html = next(content for name, content in out.items() if name.endswith(".html")).decode()
    assert "<video" not in html and html.count('class="frame"') == 14 and "movies/c1_tilt.mp4" in html
    assert typed("log", folder, "--part", PART, "--verify").code == 0
    assert typed("build", folder, "--jobs", "1").code == 0
    (sent,) = (folder / f"site/shop/parts/{PART}/reviews").glob("*/index.html")
    assert sent.read_text(encoding="utf-8").count("<video ") == 2
    again = pack(folder)
    assert again.code == 0 and len(list((folder / "parts" / PART / "reviews").glob("T1-*"))) == 1


def _in_zip(out: dict[str, bytes], shown: dict[str, object]) -> None:
    with zipfile.ZipFile(BytesIO(next(content for name, content in out.items() if name.endswith(".zip")))) as archive:
        names = archive.namelist()
        assert {"movies/c1_tilt.mp4", "movies/c1_usb.mp4"} <= set(names)
        (readme,) = [name for name in names if "/" not in name and name.lower().startswith("read")]
        assert "movies/" in archive.read(readme).decode()
        with av.open(BytesIO(archive.read("movies/c1_tilt.mp4")), "r") as container:
            assert [each.type for each in container.streams] == ["video"]
            assert len(list(container.decode(video=0))) == 20


def _in_pdf(out: dict[str, bytes]) -> None:
    reader = PdfReader(BytesIO(next(content for name, content in out.items() if name.endswith(".pdf"))))
    text = "\n".join(each.extract_text() for each in reader.pages)
    assert "Movies" in text and "The light is tilted over the speck" in text and "movies/c1_tilt.mp4" in text
    sizes = [np.asarray(image.image).shape[:2] for each in reader.pages for image in each.images]
    assert sizes.count((96, 64)) >= 7  # the turned one, upright: the frame that stands for it and its strip


def test_a_kept_movie_that_was_changed_is_named(shown_in_two: Path) -> None:
    """As a kept picture is: what was sent can't be drawn whole."""
    folder = shown_in_two
    assert pack(folder).code == 0
    (store,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    (kept,) = (store / "pictures").glob("*.mp4")
    kept.write_bytes(kept.read_bytes() + b"!")
    built = typed("build", folder, "--jobs", "1")
    assert built.code == 1 and kept.name in built.err
    assert typed("log", folder, "--part", PART, "--verify").code == 1


def test_a_review_without_a_movie_says_nothing_of_any(folder: Path) -> None:
    """So that reviews that were sent before there were movies keep their digest."""
    (folder / TRIAL / "images" / USB).unlink()
    (folder / TRIAL / "tags" / f"{USB}.yaml").unlink()
    assert pack(folder).code == 0
    (store,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    assert "movies" not in json.loads((store / "shown.json").read_text(encoding="utf-8"))


def test_nothing_of_a_movie_leaves_but_its_pictures(folder: Path) -> None:
    """Every file of a customer's site that isn't text, read by another program."""
    add_movie(folder, TILT, more=ALSO)
    assert typed("build", folder, "--for", OURS, "--jobs", "1").code == 0
    files = [each for each in (folder / f"site/{OURS}/assets").iterdir() if each.suffix in {".jpg", ".mp4", ".webm"}]
    assert sum(each.suffix == ".mp4" for each in files) == 2
    assert not told_beside(files)
    assert not [each.name for each in files if SECRET in each.read_bytes()]
