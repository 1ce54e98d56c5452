"""Building a site: nothing changed is found out, an incremental build equals a clean one, a site stays whole."""

import os
import shutil
import subprocess
import sys
import time
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from portal.problem import PortalError
from portal.tasks.build import Built, build
from portal.tasks.gather import Gathered, gather
from portal.tasks.manifest import NAME
from tests.tasks.small import TRIAL, add_picture, small_catalogue

DAY = date(2026, 3, 1)
TOP = Path(__file__).resolve().parents[2]


def built(folder: Path, out: Path | None = None) -> Built:
    """Build in this process, as of a fixed day."""
    return build(folder, out=out, as_of=DAY, processes=1)


def site(out: Path) -> dict[str, bytes]:
    """Every file of a site but what builds note for themselves."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file() and not path.name.startswith(".portal-")
    }


def aged(folder: Path) -> None:
    """Make every file as old as an hour, so that a build may trust it."""
    then = time.time() - 3600
    for path in folder.rglob("*"):
        if path.is_file():
            os.utime(path, (then, then))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small catalogue, an hour old."""
    made = small_catalogue(tmp_path / "catalogue")
    aged(made)
    return made


def test_a_built_site_has_its_pages_and_names_nothing_that_is_not_there(folder: Path) -> None:
    """Front page, part page, review page, a page for each picture; every local address leads somewhere."""
    out = built(folder).out
    pages = [path for path in site(out) if path.endswith(".html")]
    assert "index.html" in pages
    assert "parts/P-0001/index.html" in pages
    assert "parts/P-0001/M-001-T1.html" in pages
    assert sum(path.startswith("pictures/") for path in pages) == 2
    assert broken_links(out) == []


def test_building_again_finds_that_nothing_changed_and_writes_nothing(folder: Path) -> None:
    """The second build stops at the first look."""
    first = built(folder)
    before = {path: path.stat().st_mtime_ns for path in first.out.rglob("*")}
    again = built(folder)
    assert again.nothing_changed
    assert {path: path.stat().st_mtime_ns for path in first.out.rglob("*")} == before


def test_that_nothing_changed_is_said_before_anything_heavy_is_loaded(folder: Path) -> None:
    """By the whole program: neither its own records nor what its command line needs load pydantic, Jinja or Pillow."""
    built(folder)
    words = ["portal", "build", str(folder), "--as-of", DAY.isoformat()]
    script = (
        f"import sys\nfrom portal.cli import main\nsys.argv = {words!r}\n"
        "heavy = {'pydantic', 'jinja2', 'PIL', 'numpy', 'yaml'}\n"
        "try:\n    main()\nfinally:\n    print(sorted(heavy & sys.modules.keys()))"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=TOP, capture_output=True, text=True, check=True)
    assert "nothing changed" in done.stdout and done.stdout.splitlines()[-1] == "[]"


def test_files_touched_just_before_a_build_are_looked_at_again(folder: Path) -> None:
    """A same-sized edit within one tick of the disk's clock would else be missed."""
    tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8"), encoding="utf-8")
    built(folder)
    stamp = tag.stat()
    tag.write_text(tag.read_text(encoding="utf-8").replace("zone: B", "zone: A"), encoding="utf-8")
    os.utime(tag, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    assert not built(folder).nothing_changed


def test_where_a_tag_changed_what_derives_pictures_is_started_before_the_catalogue_is_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not in a first build, whose judging has processes of its own, and not for a text."""
    seen: list[str] = []

    def noted(*args: Any, **more: Any) -> Gathered:
        seen.append("read")
        return gather(*args, **more)

    monkeypatch.setattr("portal.pictures.jobs.derive_soon", lambda: seen.append("start"))
    monkeypatch.setattr("portal.tasks.gather.gather", noted)
    built(folder)
    standard = folder / "standards/looks/1.yaml"
    standard.write_text(standard.read_text(encoding="utf-8").replace("minor", "major"), encoding="utf-8")
    built(folder)
    tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8").replace("120,120", "130,130"), encoding="utf-8")
    built(folder)
    assert seen == ["read", "read", "start", "read"]


@pytest.mark.parametrize("change", ["tag", "standard", "new picture", "removed picture", "day"])
def test_an_incremental_build_equals_a_clean_one(folder: Path, tmp_path: Path, change: str) -> None:
    """Whatever changed, the site is byte for byte what a first build would have made."""
    out = built(folder).out
    match change:
        case "tag":
            tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
            tag.write_text(tag.read_text(encoding="utf-8").replace("120,120", "130,130"), encoding="utf-8")
        case "standard":
            standard = folder / "standards/looks/1.yaml"
            standard.write_text(standard.read_text(encoding="utf-8").replace("minor", "major"), encoding="utf-8")
        case "new picture":
            add_picture(folder, "c1_more.jpg", view="top", findings="", seed=3)
        case "removed picture":
            (folder / TRIAL / "images/c1_gate.jpg").unlink()
            (folder / TRIAL / "tags/c1_gate.jpg.yaml").unlink()
    day = date(2026, 3, 2) if change == "day" else DAY
    build(folder, out=None, as_of=day, processes=1)
    clean = build(folder, out=tmp_path / "clean", as_of=day, processes=1).out
    assert site(out) == site(clean)


def test_a_file_of_somebody_else_in_the_sites_folder_stays(folder: Path) -> None:
    """Only what earlier builds wrote is removed."""
    out = built(folder).out
    (out / "parts" / "mine.txt").write_text("mine", encoding="utf-8")
    (folder / TRIAL / "images/c1_gate.jpg").unlink()
    (folder / TRIAL / "tags/c1_gate.jpg.yaml").unlink()
    built(folder)
    assert (out / "parts" / "mine.txt").read_text(encoding="utf-8") == "mine"
    assert not any("gate" in path for path in site(out) if path.startswith("pictures/"))


def test_a_folder_that_is_no_site_is_refused_untouched(folder: Path, tmp_path: Path) -> None:
    """A wrong --out loses nothing."""
    other = tmp_path / "other"
    other.mkdir()
    (other / "thesis.txt").write_text("years", encoding="utf-8")
    with pytest.raises(PortalError, match="not empty"):
        built(folder, other)
    assert [path.name for path in other.iterdir()] == ["thesis.txt"]


def test_a_broken_tag_is_named_and_the_rest_is_published(folder: Path) -> None:
    """Exit 1, its file and line said, every other page there, and no verdict made up."""
    tag = folder / TRIAL / "tags/c1_gate.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8").replace("cavity:", "cavitty:"), encoding="utf-8")
    result = built(folder)
    assert result.exit_code == 1
    assert f"{TRIAL}/tags/c1_gate.jpg.yaml:4" in result.said
    assert "parts/P-0001/M-001-T1.html" in site(result.out)
    assert built(folder).exit_code == 1


def test_nothing_is_published_where_the_catalogue_itself_cannot_be_read(folder: Path) -> None:
    """The published site stays as it was."""
    out = built(folder).out
    before = site(out)
    (folder / "catalog.yaml").write_text("format: [1\n", encoding="utf-8")
    with pytest.raises(PortalError, match=r"catalog\.yaml"):
        built(folder)
    assert site(out) == before


def test_a_damaged_picture_is_named_and_stops_nothing(folder: Path) -> None:
    """A half-copied picture makes a problem, no black picture."""
    image = folder / TRIAL / "images/c1_top.jpg"
    image.write_bytes(image.read_bytes()[: image.stat().st_size // 2])
    result = built(folder)
    assert result.exit_code == 1
    assert f"{TRIAL}/images/c1_top.jpg" in result.said
    assert broken_links(result.out) == []


def test_what_a_killed_build_left_behind_is_gone_after_the_next(folder: Path, tmp_path: Path) -> None:
    """Half-written files and pictures that no page names don't stay."""
    out = built(folder).out
    clean = site(out)
    (out / ".portal-half-123").write_bytes(b"half")
    (out / "assets" / f"{'0' * 20}.jpg").write_bytes(b"nobody's")
    (out / ".portal-writing").write_text("parts/P-0001/gone.html\n", encoding="utf-8")
    (out / "parts/P-0001/gone.html").write_text("gone", encoding="utf-8")
    (out / NAME).unlink()
    built(folder)
    assert site(out) == clean


def test_a_site_folder_that_vanished_is_made_again(folder: Path) -> None:
    """The site is disposable."""
    out = built(folder).out
    clean = site(out)
    shutil.rmtree(out)
    built(folder)
    assert site(out) == clean


def broken_links(out: Path) -> list[str]:
    """Local addresses in pages that lead to no file."""
    import re
    from urllib.parse import unquote

    wrong = []
    for page in out.rglob("*.html"):
        for address in re.findall(r'(?:href|src)="([^"#]+)', page.read_text(encoding="utf-8")):
            if not address.startswith(("data:", "http", "mailto:")) and not (page.parent / unquote(address)).exists():
                wrong.append(f"{page.relative_to(out)}: {address}")
    return wrong
