"""Appending: durable when it returns, whole or not at all, never over another, by any number of writers at once."""

import hashlib
import json
import subprocess
import sys
from collections import Counter
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from portal.log import append, read, verify
from portal.log.order import Reach
from portal.model.event import About, Logged
from portal.model.says import Audience, CommentMade, Unknown
from portal.problem import PortalError
from tests.log.story import ENGINEER, PART, START, Story
from tests.log.writer import STEPS

TOP = Path(__file__).parents[2]
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="tells a process's steps by their names on POSIX")


def say(text: str) -> CommentMade:
    """A comment."""
    return CommentMade(audience=Audience.SHOP, comment=text)


def the_file(root: Path) -> Path:
    """The log's only file."""
    (path,) = (root / "parts" / PART / "log").iterdir()
    return path


def writer(root: Path, *words: str) -> subprocess.Popen[str]:
    """A process that writes in the log."""
    command = [sys.executable, "-m", "tests.log.writer", str(root), PART, *words]
    return subprocess.Popen(command, cwd=TOP, stdout=subprocess.PIPE, text=True)


def test_the_bytes_are_those_of_rfc_8785(tmp_path: Path) -> None:
    """The string of RFC 8785, 3.2.2, and its bytes there in 3.2.4; keys sorted, no blank, no final newline."""
    Story(tmp_path).tell(say("\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/"))
    content = the_file(tmp_path).read_bytes()
    string = bytes.fromhex("22e282ac245c75303030665c6e4127425c225c5c5c5c5c222f22")
    assert b'"comment":' + string + b"}" in content
    assert content.startswith(b'{"about":{"trial":"M-118/T2"},"after":[],"at":"2026-03-04T14:22:33.123456Z","by":{')
    assert content.endswith(b'"via":"command"}')
    assert list(json.loads(content)) == sorted(json.loads(content))


def test_the_hash_in_the_name_is_what_sha256sum_says(tmp_path: Path) -> None:
    """And what the writer is told."""
    logged = Story(tmp_path).tell(say("größer als ½ 🔬"))
    path = the_file(tmp_path)
    said = subprocess.run(["sha256sum", path], capture_output=True, text=True, check=True).stdout.split()[0]
    assert path.name == f"20260304T142233.123456Z-{said}.json" and said == logged.hash


@POSIX
def test_the_content_is_on_the_disk_before_its_name_and_the_name_before_it_returns(tmp_path: Path) -> None:
    """Seen in what the system was asked for: write, fsync, link; then the folder's own fsync, at the end."""
    story = Story(tmp_path)
    story.tell(say("first"))
    steps: list[str] = []

    def look(_frame: FrameType, what: str, called: Any) -> None:
        if what == "c_call" and called.__module__ == "posix" and called.__name__ in STEPS:
            steps.append(called.__name__)

    sys.setprofile(look)
    try:
        story.tell(say("second"))
    finally:
        sys.setprofile(None)
    assert steps == ["open", "write", "fsync", "close", "link", "unlink", "open", "fsync", "close"]


@POSIX
def test_killed_before_any_step_an_event_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    """A process that dies before each of its steps in turn; the log stays whole, and a later writer goes on."""
    story = Story(tmp_path)
    first = story.tell(say("first"))
    done = writer(tmp_path, "--killed")
    killed = int(done.communicate(timeout=120)[0])
    assert done.returncode == 0 and killed >= 8
    verified = verify(tmp_path, PART)
    assert verified.is_whole
    assert {problem.message for problem in verified.problems} == {"left over from a write that was cut off"}
    texts = [each.event.says.comment for each in verified.log.events if isinstance(each.event.says, CommentMade)]
    named = {int(text.rpartition(" ")[2]) for text in texts if text.startswith("killed")}
    assert named == set(range(min(named), killed + 1)), "from the step that gives the name on it is there"
    assert first.hash in {each.hash for each in verified.log.events}
    story.elsewhere().tell(say("last"))
    assert verify(tmp_path, PART).is_whole


def test_the_same_event_twice_is_one(tmp_path: Path) -> None:
    """Two writers who say the same of the same at the same moment."""
    one, other = Story(tmp_path, lambda: START), Story(tmp_path, lambda: START)
    assert one.tell(say("same")).hash == other.tell(say("same")).hash
    assert the_file(tmp_path) and verify(tmp_path, PART).is_whole


def test_a_damaged_file_of_that_name_is_not_taken_for_the_event(tmp_path: Path) -> None:
    """It stays as it is, and the writer is told that nothing was written."""
    Story(tmp_path, lambda: START).tell(say("same"))
    path = the_file(tmp_path)
    path.write_bytes(b"damaged")
    with pytest.raises(PortalError, match="is there and isn't what it was"):
        Story(tmp_path, lambda: START).tell(say("same"))
    assert path.read_bytes() == b"damaged"


def test_an_unknown_event_is_never_written(tmp_path: Path) -> None:
    """It is only ever read; writing one is a mistake in the program."""
    with pytest.raises(TypeError, match="only ever read"):
        append(read(tmp_path, PART), Unknown(), about=About(), by=ENGINEER)


@pytest.mark.parametrize("each", [250, pytest.param(2500, marks=pytest.mark.long)])
def test_four_writers_at_once_lose_nothing(tmp_path: Path, each: int) -> None:
    """All events are there and verified; each writer's own are in the order in which it wrote them."""
    names = ("anna", "bert", "carl", "dora")
    writers = [writer(tmp_path, name, str(each)) for name in names]
    for one in writers:
        one.communicate(timeout=1200)
    assert [one.returncode for one in writers] == [0, 0, 0, 0]
    verified = verify(tmp_path, PART)
    assert verified.problems == ()
    assert Counter(one.event.by.name for one in verified.log.events) == dict.fromkeys(names, each)
    for name in names:
        own = [one for one in verified.log.events if one.event.by.name == name]
        assert [text_of(one) for one in own] == [f"{name} {number}" for number in range(each)]
    folder = tmp_path / "parts" / PART / "log"
    hashes = {hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}
    assert hashes == {one.hash for one in verified.log.events} and len(hashes) == 4 * each
    assert met(verified.log.events), "they wrote at the same time, and read one another"


def text_of(logged: Logged) -> str:
    """What a comment says."""
    assert isinstance(logged.event.says, CommentMade)
    return logged.event.says.comment


def met(events: list[Logged]) -> bool:
    """Whether some event came after events of two writers who hadn't read each other."""
    reach = Reach(events)
    by_hash = {each.hash: each for each in events}
    for each in events:
        writers = {by_hash[hash_].event.by.name for hash_ in each.event.after}
        if len(writers) > 1 and not any(
            reach.reaches(one, other) for one in each.event.after for other in each.event.after
        ):
            return True
    return False
