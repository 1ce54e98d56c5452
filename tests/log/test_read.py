"""Appending and reading: names, bytes, order, and what is refused."""

import hashlib
import json
import re
import subprocess
from pathlib import Path

import pytest

from portal.log import append, parts_with_log, read
from portal.log.files import create
from portal.log.order import Reach, heads
from portal.model.digest import canonical
from portal.model.event import About, file_name
from portal.model.says import Audience, CommentMade
from portal.problem import PortalError
from tests.log.story import ENGINEER, PART, TRIAL, Story, write_bytes, write_raw


def say(text: str) -> CommentMade:
    """A comment."""
    return CommentMade(audience=Audience.SHOP, comment=text)


def test_a_file_is_named_by_its_time_and_its_hash_and_is_canonical(tmp_path: Path) -> None:
    """RFC 8785 without a final newline; `after` is there even where it is empty."""
    logged = Story(tmp_path).tell(say("größer als 0,1 mm?"))
    (path,) = (tmp_path / "parts" / PART / "log").iterdir()
    content = path.read_bytes()
    assert re.fullmatch(r"20260304T142233\.123456Z-[0-9a-f]{64}\.json", path.name)
    assert path.stem.endswith(hashlib.sha256(content).hexdigest()) and logged.hash in path.name
    data = json.loads(content)
    assert canonical(data) == content and data["after"] == [] and not content.endswith(b"\n")
    assert set(data) == {"format", "at", "kind", "part", "about", "by", "via", "after", "says"}


def test_sha256sum_checks_a_log_without_us(tmp_path: Path) -> None:
    """The names alone give the list that the system's own program checks."""
    story = Story(tmp_path)
    for number in range(5):
        story.tell(say(f"{number}"))
    folder = tmp_path / "parts" / PART / "log"
    lines = "".join(f"{path.stem.partition('-')[2]}  {path.name}\n" for path in sorted(folder.iterdir()))
    checked = subprocess.run(
        ["sha256sum", "--check", "--strict", "-"], input=lines, cwd=folder, capture_output=True, text=True, check=False
    )
    assert checked.returncode == 0 and checked.stdout.count(": OK") == 5
    first = sorted(folder.iterdir())[0]
    first.write_bytes(first.read_bytes().replace(b'"0"', b'"9"'))
    checked = subprocess.run(
        ["sha256sum", "--check", "--strict", "-"], input=lines, cwd=folder, capture_output=True, text=True, check=False
    )
    assert checked.returncode == 1 and f"{first.name}: FAILED" in checked.stdout


def test_after_names_what_was_read_and_nothing_that_those_name(tmp_path: Path) -> None:
    """Two writers who didn't see each other; the third names both, sorted."""
    story = Story(tmp_path)
    first = story.tell(say("first"))
    other = story.elsewhere()
    left, right = story.tell(say("left")), other.tell(say("right"))
    assert left.event.after == right.event.after == (first.hash,)
    third = Story(tmp_path, story.clock).tell(say("third"))
    assert third.event.after == tuple(sorted((left.hash, right.hash)))
    log = read(tmp_path, PART)
    assert log.heads == heads(log.events) == (third.hash,)
    reach = Reach(log.events)
    assert reach.reaches(third.hash, first.hash) and not reach.reaches(left.hash, right.hash)
    assert not reach.reaches(first.hash, third.hash) and not reach.reaches(third.hash, third.hash)


def test_links_come_before_clocks_in_the_order(tmp_path: Path) -> None:
    """An event written by a clock that is years behind still comes after what its writer had read."""
    one = write_raw(tmp_path, at="2026-03-04T10:00:00.000000Z")
    early = write_raw(tmp_path, at="2001-01-01T00:00:00.000000Z", after=[one.stem.partition("-")[2]])
    free = write_raw(tmp_path, at="2026-03-04T09:00:00.000000Z")
    names = [file_name(each.event.at, each.hash) for each in read(tmp_path, PART).events]
    assert names == [free.name, one.name, early.name]


def test_an_empty_or_missing_log_is_no_problem(tmp_path: Path) -> None:
    """A part that nobody asked about yet."""
    log = read(tmp_path, PART)
    assert (log.events, log.problems, log.heads) == ([], [], ())


def test_text_that_is_no_unicode_is_refused_in_a_sentence(tmp_path: Path) -> None:
    """A lone surrogate can't be written in UTF-8; nothing is left behind."""
    story = Story(tmp_path)
    with pytest.raises(PortalError, match="can't be written down"):
        append(
            story.log, CommentMade.model_construct(audience=Audience.SHOP, comment="\ud800"), about=About(), by=ENGINEER
        )
    assert not (tmp_path / "parts").exists()


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path) -> None:
    """The second one of a name is told so; no temporary file stays."""
    path = tmp_path / "x.json"
    assert create(path, b"one") is True
    assert create(path, b"two") is False
    assert path.read_bytes() == b"one"
    assert [each.name for each in tmp_path.iterdir()] == ["x.json"]


def test_a_full_disk_or_a_folder_without_leave_leaves_nothing_half(tmp_path: Path) -> None:
    """The error comes out; the log is as it was."""
    story = Story(tmp_path)
    story.tell(say("first"))
    folder = tmp_path / "parts" / PART / "log"
    before = sorted(folder.iterdir())
    log = read(tmp_path, PART)
    folder.rename(folder.with_name("moved"))
    folder.write_bytes(b"in the way")
    with pytest.raises(OSError):
        append(log, say("second"), about=About(trial=TRIAL), by=ENGINEER)
    assert [path.name for path in folder.with_name("moved").iterdir()] == [path.name for path in before]
    assert len(log.events) == 1


@pytest.mark.parametrize(
    ("name", "said", "warning"),
    [
        ("notes.txt", "foreign: not the name of an event", False),
        ("20260304T142233.123456Z-abc.json", "foreign: not the name of an event", False),
        (".20260304T142233.123456Z-abc.json.0f.tmp", "left over from a write that was cut off", True),
        (".DS_Store", "foreign", False),
        ("event.json.conflict-1", "foreign", False),
    ],
)
def test_what_is_no_event_is_named(tmp_path: Path, name: str, said: str, warning: bool) -> None:
    """Foreign and left-over files."""
    Story(tmp_path).tell(say("first"))
    (tmp_path / "parts" / PART / "log" / name).write_bytes(b"x")
    log = read(tmp_path, PART)
    assert len(log.events) == 1
    (problem,) = log.problems
    assert problem.file == f"parts/{PART}/log/{name}" and said in problem.message and problem.warning is warning


def test_a_folder_or_a_link_in_the_log_is_named(tmp_path: Path) -> None:
    """A link could show other bytes tomorrow."""
    Story(tmp_path).tell(say("first"))
    folder = tmp_path / "parts" / PART / "log"
    (real,) = folder.iterdir()
    (folder / "old").mkdir()
    moved = tmp_path / real.name
    real.rename(moved)
    real.symlink_to(moved)
    log = read(tmp_path, PART)
    assert log.events == []
    assert [problem.message for problem in log.problems] == ["no event: a log's folder holds files only"] * 2


def test_a_file_where_the_log_belongs_is_told(tmp_path: Path) -> None:
    """Its part has a log that nobody can look into, and isn't one without; a catalogue without parts has none."""
    home = tmp_path / "parts" / PART
    home.mkdir(parents=True)
    (home / "log").write_text("x")
    assert parts_with_log(tmp_path) == (PART,)
    log = read(tmp_path, PART)
    assert [(each.file, each.message) for each in log.problems] == [
        (f"parts/{PART}/log", "can't be looked into: not a directory")
    ]
    (tmp_path / "empty").mkdir()
    (tmp_path / "empty" / "parts").write_text("x")
    assert parts_with_log(tmp_path / "empty") == ()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "not JSON"),
        (b"{", "not JSON"),
        (b"\xff\xfe", "not JSON"),
        (b"[1]", "an event is a JSON object"),
        (b'{"format":NaN}', "not JSON"),
        (b"[" * 5000, "not JSON"),
        (b'{"format":7}', "written in format 7; this version reads up to format 1"),
    ],
)
def test_bytes_that_are_no_event_are_refused_in_a_sentence(tmp_path: Path, content: bytes, said: str) -> None:
    """Rightly named, and yet nothing that can be read."""
    write_bytes(tmp_path, content)
    log = read(tmp_path, PART)
    assert log.events == [] and said in log.problems[0].message


def test_an_event_of_another_part_is_named(tmp_path: Path) -> None:
    """A file that was copied into the wrong folder."""
    write_raw(tmp_path, part="LC-0441")
    assert "belongs to another part: `LC-0441`" in read(tmp_path, PART).problems[0].message


def test_a_known_kind_that_can_not_be_understood_is_kept_with_a_warning(tmp_path: Path) -> None:
    """Shown as such, and told."""
    write_raw(tmp_path, says={"audience": "shop", "comment": "hello", "until": "Friday"})
    log = read(tmp_path, PART)
    assert len(log.events) == 1 and log.problems[0].warning
    assert "kept, but not understood: `until`" in log.problems[0].message
