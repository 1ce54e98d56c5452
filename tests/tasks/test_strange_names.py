"""Names of files and folders as people and cameras give them: each is shown, linked right, or named as a problem."""

import hashlib
import os
import re
import shutil
import sys
import unicodedata
from datetime import date
from html import unescape
from io import BytesIO
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from PIL import Image

from portal.model.slug import is_slug
from portal.tasks.build import build
from portal.tasks.check import check
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_build import broken_links

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="only Linux lets every one of these names be made")

DAY = date(2026, 3, 1)

GOOD = {
    "blanks": "c1 top view.jpg",
    "a blank first": " c1.jpg",
    "a blank last": "c1.jpg ",
    "number sign": "C#C #1.jpg",
    "per cent": "100%.jpg",
    "looks encoded": "%41%2f%00.jpg",
    "question mark": "what?.jpg",
    "and, plus, equals": "a&b+c=d;e.jpg",
    "umlauts in one piece": "Größe.jpg",
    "umlauts in two pieces": unicodedata.normalize("NFD", "Körper.jpg"),
    "reserved": "CON",
    "reserved with an ending": "aux.jpg",
    "reserved twice": "NUL.2.jpg",
    "a stop last": "c1.",
    "dashes first": "--help.jpg",
    "a dash first": "-rf.jpg",
    "very long": "n" * 240 + ".jpg",
    "very long of wide letters": "漢" * 80 + ".jpg",
    "right to left": "שלום c1.jpg",
    "a mark that turns": "c1\u202egpj.exe",
    "a mark that isolates": "c1\u2066x.jpg",
    "a letter without width": "c1\u200bx.jpg",
    "quotes and angles": "a\"b'c<b>d.jpg",
    "a script": "<script>alert(1)<.jpg",
    "backslash": "a\\b.jpg",
    "colon": "C:x.jpg",
    "star and bar": "a*b|c.jpg",
    "a shell's words": "$(touch x) `y`.jpg",
    "a template's words": "{{ 7*7 }} {name} %(x)s.jpg",
    "a picture of a letter": "🔬.jpg",
    "only signs": "!!!.jpg",
    "a line separator": "c1\u2028x.jpg",
}
"""Every one of these is a picture with a page."""

TWINS = ("Twin.jpg", "tWIN.JPG")
COMPOSED_TWINS = ("Blöße.jpg", unicodedata.normalize("NFD", "Blöße.jpg"))
UNUSABLE = {b"c1\xff.jpg": "isn't UTF-8", b"c1\nx.jpg": "control character", b"c1\x1b[2J.jpg": "control character"}


def tag(number: int, content: bytes) -> str:
    """A tag of a picture with one finding, known by its number."""
    sha256 = hashlib.sha256(content).hexdigest()
    return f"""format: 1
picture: {{sha256: {sha256}, stored: 8x6}}
cavity: "1"
shot: 11
view: top
findings:
  - {{id: 7K{number:02d}, defect: black-speck, zone: B, seen: yes, by: first-inspector, at: "2026-02-12T10:20"}}
"""


def picture(number: int) -> bytes:
    """A tiny picture that no other is like."""
    buffer = BytesIO()
    Image.new("RGB", (8, 6), (number, 100, 100)).save(buffer, "PNG")
    return buffer.getvalue()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small catalogue with a tagged picture of each name, built."""
    made = small_catalogue(tmp_path_factory.mktemp("names") / "c")
    trial = made / TRIAL
    for number, name in enumerate((*GOOD.values(), *TWINS, *COMPOSED_TWINS)):
        content = picture(number)
        (trial / "images" / name).write_bytes(content)
        if len(name.encode()) < 250 and name not in COMPOSED_TWINS:
            (trial / "tags" / f"{name}.yaml").write_text(tag(number, content), encoding="utf-8")
    for raw in UNUSABLE:
        Path(os.fsdecode(os.fsencode(trial / "images") + b"/" + raw)).write_bytes(picture(0))
    build(made, out=None, as_of=DAY, processes=2)
    return made


def pages(folder: Path) -> dict[str, str]:
    """The pages of pictures by the heading they have, without the marks that set it apart."""
    found = {}
    for path in (folder / "site/shop/pictures").rglob("*.html"):
        text = path.read_text(encoding="utf-8")
        heading = re.search(r"<h1[^>]*>(.*?)</h1>", text, re.DOTALL)
        assert heading
        found[unescape(heading[1])] = text
    return found


@pytest.mark.parametrize("name", GOOD.values(), ids=GOOD)
def test_a_picture_of_any_name_has_its_page_and_its_finding_there(name: str, folder: Path) -> None:
    """The page shows the picture, and the finding that was written under just this name."""
    number = list(GOOD.values()).index(name)
    (page,) = [text for heading, text in pages(folder).items() if plain(heading) == plain(name)]
    assert re.search(r"assets/[0-9a-f]+\.(?:jpg|png)", page)
    assert f"7K{number:02d}" in page


def plain(name: str) -> str:
    """A name without marks of direction, as pages write it."""
    return re.sub("[\u202a-\u202e\u2066-\u2069]", "", name)


def test_every_file_of_the_site_has_a_name_that_every_system_takes(folder: Path) -> None:
    """Plain letters, none reserved, none twice but for the case of a letter."""
    paths = [path.relative_to(folder / "site/shop") for path in (folder / "site/shop").rglob("*")]
    parts = [part for path in paths for part in path.parts if not part.startswith(".")]
    assert [part for part in parts if not is_slug(part) or len(part) > 120] == []
    assert len({str(path).casefold() for path in paths}) == len(paths)


def test_every_link_leads_somewhere(folder: Path) -> None:
    """Encoded once: as a browser would follow it."""
    assert broken_links(folder / "site/shop") == []


def test_every_picture_is_linked_from_its_trial(folder: Path) -> None:
    """As many different pages of pictures as there are pictures."""
    review = folder / "site/shop/parts/P-0001/M-001-T1.html"
    links = re.findall(r'href="([^"]+)"', review.read_text(encoding="utf-8"))
    paths = {unquote(urlsplit(unescape(each)).path) for each in links}
    found = {path for path in paths if path.startswith("../../pictures/")}
    assert len(found) == len(GOOD) + len(TWINS) + len(COMPOSED_TWINS) + 2


@pytest.mark.parametrize("twins", [TWINS, COMPOSED_TWINS], ids=["case", "accents"])
def test_two_names_that_other_systems_take_for_one_are_problems_at_both(twins: tuple[str, str], folder: Path) -> None:
    """Each names the other."""
    said = [problem for problem in check(folder).problems if "the same name on Windows and macOS" in problem.message]
    images = {problem.file.rpartition("/")[2]: problem.message for problem in said if "/images/" in problem.file}
    assert twins[1] in images[twins[0]]
    assert twins[0] in images[twins[1]]


@pytest.mark.parametrize("raw", UNUSABLE, ids=["not UTF-8", "line end", "escape"])
def test_a_name_that_no_page_could_write_is_a_problem(raw: bytes, folder: Path) -> None:
    """Told on one line that can be printed."""
    lines = [str(problem) for problem in check(folder).problems if UNUSABLE[raw] in problem.message]
    assert lines
    for line in lines:
        line.encode()
        assert not any(ord(letter) < 32 and letter != "\n" for letter in line)


def test_nothing_else_is_a_problem(folder: Path) -> None:
    """A strange name alone isn't one."""
    for problem in check(folder).problems:
        assert problem.warning or any(
            known in problem.message for known in ("the same name on Windows", *UNUSABLE.values())
        ), problem


def test_folders_of_any_name_have_pages_of_their_own(tmp_path: Path) -> None:
    """Part, mould, trial, standard, scope and class, also where two differ only by the case of a letter."""
    folder = small_catalogue(tmp_path / "c")
    odd = "Größe #1 100% c"
    rename(folder, "parts/P-0001", f"parts/{odd}")
    rename(folder, "moulds/M-001/trials/T1", f"moulds/M-001/trials/{odd}")
    rename(folder, "moulds/M-001", f"moulds/{odd}")
    rename(folder, "standards/looks", f"standards/{odd}")
    rename(folder, "scopes/bench-1.yaml", f"scopes/{odd}.yaml")
    rename(folder, "defects/splay.md", f"defects/{odd}.md")
    for path in folder.rglob("*.yaml"):
        text = path.read_text(encoding="utf-8")
        for old in ("P-0001", "looks", "bench-1"):
            text = re.sub(rf"(part|standard|scope|standards|numbers): (\[|\{{|){old}\b", rf'\1: \2"{odd}"', text)
        path.write_text(text, encoding="utf-8")
    shutil.copytree(folder / f"parts/{odd}", folder / f"parts/{odd.upper()}")
    shutil.copy(folder / f"defects/{odd}.md", folder / f"defects/{odd.upper()}.md")
    out = build(folder, out=None, as_of=DAY, processes=1).out
    assert broken_links(out) == []
    assert len(list(out.glob("parts/*/index.html"))) == 2
    assert len(list(out.glob("defects/*.html"))) == 7
    assert [path.name for path in out.glob("pictures/*/*/*.html")].count("c1_top.jpg.html") == 1
    paths = [path.relative_to(out).as_posix().casefold() for path in out.rglob("*")]
    assert len(set(paths)) == len(paths)


def rename(folder: Path, old: str, new: str) -> None:
    """Give a file or a folder of the catalogue another name."""
    (folder / old).rename(folder / new)
