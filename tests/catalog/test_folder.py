"""What lies where; junk, links and names that lead astray."""

import os
from pathlib import Path

import pytest

from portal.catalog.folder import Folder
from tests.treemaker import plant


def names(folder: Folder, path: str) -> list[str]:
    """The names in a folder as the reader sees them."""
    return [entry.name for entry in folder.entries(path)]


def test_junk_is_left_out_quietly(tmp_path: Path) -> None:
    """What systems and programs leave behind is no problem and no file of ours."""
    junk = [
        "._a.png",
        ".DS_Store",
        ".gitkeep",
        "Thumbs.db",
        "thumbs.db",
        "desktop.ini",
        "~$a.docx",
        "a.tmp",
        "a.png.part",
    ]
    folder = Folder(plant(tmp_path, {f"images/{name}": "x" for name in [*junk, "a.png", "__MACOSX/b.png"]}))
    assert names(folder, "images") == ["a.png"]
    assert folder.problems == []


def test_files_come_in_natural_order(tmp_path: Path) -> None:
    """As a person counts shots."""
    folder = Folder(plant(tmp_path, {f"{name}.png": "x" for name in ("c10", "c9", "C1", "b2")}))
    assert names(folder, "") == ["b2.png", "C1.png", "c9.png", "c10.png"]


def test_a_folder_that_is_not_there_is_empty(tmp_path: Path) -> None:
    """A catalogue needs no folder of a kind that it has none of."""
    folder = Folder(tmp_path)
    assert folder.entries("parts") == () and folder.problems == []


def test_a_file_where_a_folder_belongs_is_a_problem(tmp_path: Path) -> None:
    """Not a traceback."""
    folder = Folder(plant(tmp_path, {"parts": "x"}))
    assert folder.entries("parts") == ()
    assert [problem.file for problem in folder.problems] == ["parts"]


def test_names_that_differ_by_capitals_are_a_problem_at_both(tmp_path: Path) -> None:
    """One of them would vanish on Windows and macOS."""
    folder = Folder(plant(tmp_path, {"P-1a": "x", "P-1A": "x", "P-2": "x"}))
    assert len(folder.entries("")) == 3
    assert sorted(problem.file for problem in folder.problems) == ["P-1A", "P-1a"]


def test_names_that_differ_by_the_form_of_an_accent_are_a_problem_at_both(tmp_path: Path) -> None:
    """One written on macOS, one elsewhere."""
    folder = Folder(plant(tmp_path, {"o\u0308": "x", "\u00f6": "x"}))
    folder.entries("")
    assert len(folder.problems) == 2


def test_a_folder_is_looked_into_once(tmp_path: Path) -> None:
    """However often it is asked for, a problem is noted once."""
    folder = Folder(plant(tmp_path, {"a": "x", "A": "x"}))
    assert folder.entries("") == folder.entries("")
    assert len(folder.problems) == 2


def test_links_inside_are_followed_and_links_out_are_refused(tmp_path: Path) -> None:
    """To a file, to a folder, to nothing, to itself, to the folder above."""
    root = plant(tmp_path / "in", {"a/file": "x", "b": "y"})
    plant(tmp_path / "in-too", {"file": "secret"})
    links = {
        "to-a": "a",
        "to-b": "b",
        "out": "../in-too/file",
        "out-folder": "../in-too",
        "nothing": "gone",
        "self": "self",
        "up": "..",
        "top": ".",
    }
    for name, target in links.items():
        (root / name).symlink_to(target)
    folder = Folder(root)
    assert names(folder, "") == ["a", "b", "to-a", "to-b", "top"]
    assert {problem.file for problem in folder.problems} == {"out", "out-folder", "nothing", "self", "up"}
    assert folder.is_inside("to-b") and not folder.is_inside("out")


def test_the_catalogue_itself_may_be_a_link(tmp_path: Path) -> None:
    """What counts is the folder that it leads to."""
    plant(tmp_path / "real", {"a/b": "x"})
    (tmp_path / "link").symlink_to("real")
    folder = Folder(tmp_path / "link")
    assert names(folder, "a") == ["b"] and folder.problems == []


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_never_opened(tmp_path: Path) -> None:
    """Reading one would wait for ever."""
    os.mkfifo(tmp_path / "catalog.yaml")
    folder = Folder(tmp_path)
    assert folder.entries("") == ()
    assert [(problem.file, problem.message) for problem in folder.problems] == [("catalog.yaml", "no regular file")]


@pytest.mark.skipif(os.name != "posix", reason="other systems have no bytes that are no text in names")
def test_a_name_that_is_no_text_is_a_problem(tmp_path: Path) -> None:
    """It is shown in a form that can be printed."""
    (tmp_path / os.fsdecode(b"a\xff.png")).write_bytes(b"x")
    folder = Folder(tmp_path)
    assert folder.entries("") == ()
    folder.problems[0].message.encode()
    assert "UTF-8" in folder.problems[0].message


@pytest.mark.skipif(os.name != "posix", reason="other systems have no line ends in names")
def test_a_name_of_two_lines_is_a_problem(tmp_path: Path) -> None:
    """Told on one."""
    folder = Folder(plant(tmp_path, {"a\nb.png": "x"}))
    assert folder.entries("") == ()
    assert [problem.file for problem in folder.problems] == ["a b.png"]


def test_a_copy_of_a_conflict_is_listed_and_not_read(tmp_path: Path) -> None:
    """Somebody has to look at it."""
    folder = Folder(plant(tmp_path, {"a.yaml": "x", "a.yaml.conflict-20260304T101112.yaml": "y"}))
    assert names(folder, "") == ["a.yaml"]
    assert [problem.file for problem in folder.problems] == ["a.yaml.conflict-20260304T101112.yaml"]


@pytest.mark.skipif(getattr(os, "geteuid", lambda: 0)() == 0, reason="the administrator may read everything")
def test_what_may_not_be_read_is_a_problem(tmp_path: Path) -> None:
    """A file and a folder without permission."""
    root = plant(tmp_path, {"file": "x", "folder/a": "x"})
    (root / "file").chmod(0)
    (root / "folder").chmod(0)
    folder = Folder(root)
    assert folder.read("file") is None and folder.entries("folder") == ()
    (root / "folder").chmod(0o700)
    assert {problem.file for problem in folder.problems} == {"file", "folder"}


def test_a_file_that_went_away_meanwhile_is_a_problem(tmp_path: Path) -> None:
    """It was listed and is gone when it is read."""
    folder = Folder(tmp_path)
    assert folder.read("gone") is None
    assert [problem.file for problem in folder.problems] == ["gone"]
