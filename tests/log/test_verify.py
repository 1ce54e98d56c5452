"""Verifying: what is found, what is not, and that it is named."""

import hashlib
import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from portal.log import Log, read, verify
from portal.log.read import read_one
from portal.log.verify import links
from portal.model.answer import Concession
from portal.model.event import file_name
from portal.model.says import Audience, CommentMade, DecisionRecorded, How, KeptFile
from tests.log.story import AMMERLUND, PART, Story, answer, write_raw


def long_log(root: Path, count: int) -> Story:
    """A log of comments, two of them unread by each other every ten."""
    story = Story(root)
    for number in range(count):
        if number % 10 == 9:
            other = story.elsewhere()
            other.tell(CommentMade(audience=Audience.SHOP, comment=f"aside {number}"))
            story.tell(CommentMade(audience=Audience.SHOP, comment=f"comment {number}"))
            story.log = other.elsewhere().log
        else:
            story.tell(CommentMade(audience=Audience.SHARED, comment=f"comment {number}: größer als ½"))
    return story


def messages(root: Path) -> list[str]:
    """What verifying says, with the file's own name."""
    return [f"{problem.file.rpartition('/')[2]}: {problem.message}" for problem in verify(root, PART).problems]


def files(root: Path) -> list[Path]:
    """The event files, by name."""
    return sorted((root / "parts" / PART / "log").iterdir())


def round_trip(root: Path) -> Story:
    """A small log with a review, an answer and a decision with evidence."""
    story = Story(root)
    asked = story.ask("7K3F")
    digest = story.send(asked)
    story.receive(digest, answer(1, "C", "7K3F", concession=Concession(quantity="0500")))
    evidence = root / "parts" / PART / "evidence" / "call.txt"
    evidence.parent.mkdir(parents=True)
    evidence.write_bytes(b"a note of the call")
    kept = KeptFile(file=f"parts/{PART}/evidence/call.txt", sha256=hashlib.sha256(b"a note of the call").hexdigest())
    given = answer(1, "A", "7K3F", ask=asked.hash)
    story.tell(
        DecisionRecorded(decided_by=AMMERLUND, how=How.MEETING, when="2026-03-05", decision=given, evidence=(kept,))
    )
    return story


def test_a_whole_log_verifies(tmp_path: Path) -> None:
    """With its reviews, answers and evidence."""
    round_trip(tmp_path)
    verified = verify(tmp_path, PART)
    assert verified.is_whole and verified.problems == ()
    assert len(verified.log.events) == 4


def changed_bytes(root: Path, wanted: int | None) -> Iterator[tuple[Path, int]]:
    """Each byte of each event's file, or so many of them taken by lot."""
    every = [(path, place) for path in files(root) for place in range(path.stat().st_size)]
    yield from every if wanted is None else random.Random(4).sample(every, wanted)


@pytest.mark.parametrize("wanted", [200, pytest.param(None, marks=pytest.mark.long)])
def test_one_change_at_any_byte_is_found_and_named(tmp_path: Path, wanted: int | None) -> None:
    """Another byte, a byte less, a byte more."""
    round_trip(tmp_path)
    lot = random.Random(7)
    for path, place in changed_bytes(tmp_path, wanted):
        whole = path.read_bytes()
        other = bytes([lot.choice([value for value in range(256) if value != whole[place]])])
        rest = whole[place:]
        for changed in (other + rest[1:], rest[1:], other + rest):
            path.unlink()  # a new file is written many times faster than one that is cut short first
            path.write_bytes(whole[:place] + changed)
            log = Log(tmp_path, PART)
            assert read_one(log, path.name, strictly=True) is None
            (problem,) = log.problems
            assert problem.file.endswith(path.name) and "changed since it was written" in problem.message
        path.write_bytes(whole)
    assert messages(tmp_path) == []


@pytest.mark.parametrize("count", [100, pytest.param(1000, marks=pytest.mark.long)])
def test_every_deletion_but_the_newest_unreferenced_is_found(tmp_path: Path, count: int) -> None:
    """Whoever named the event says that it isn't there; one file in ten is really taken away."""
    long_log(tmp_path, count)
    log = read(tmp_path, PART, strictly=True)
    for number, gone in enumerate(log.events):
        without = replace(log, events=[each for each in log.events if each is not gone])
        said = [problem.message for problem in links(without)]
        if number % 10 == 0 or number > count - 3:
            name = file_name(gone.event.at, gone.hash)
            aside = (tmp_path / "parts" / PART / "log" / name).rename(tmp_path / name)
            assert [problem.message for problem in verify(tmp_path, PART).problems] == said
            aside.rename(tmp_path / "parts" / PART / "log" / name)
        if gone.hash in log.heads:
            assert said == []
        else:
            assert set(said) == {f"names an event that isn't there: {gone.hash}"}
    assert len(log.heads) < 3 < len(log.events)


def test_the_newest_event_is_missed_where_a_kept_review_or_answer_tells_of_it(tmp_path: Path) -> None:
    """Deleting the last event that a kept file belongs to is found by that file."""
    story = Story(tmp_path)
    digest = story.send(story.ask("7K3F"))
    files(tmp_path)[-1].unlink()
    assert messages(tmp_path) == ["shown.json: no event of the log says that this review was sent"]
    story = Story(tmp_path)
    story.receive(digest, answer(1, "A", "7K3F"))
    files(tmp_path)[-1].unlink()
    assert "no event of the log says that this answer came" in messages(tmp_path)[0]


def test_a_hash_that_a_carrier_tells_of_is_looked_for(tmp_path: Path) -> None:
    """Others than events may name one."""
    story = long_log(tmp_path, 3)
    (head,) = story.log.heads
    assert verify(tmp_path, PART, named=[("carriers/mail.txt", head)]).is_whole
    files(tmp_path)[-1].unlink()
    (problem,) = verify(tmp_path, PART, named=[("carriers/mail.txt", head)]).problems
    assert problem.file == "carriers/mail.txt" and head in problem.message


@pytest.mark.parametrize("count", [100, pytest.param(1000, marks=pytest.mark.long)])
def test_a_swap_a_new_name_and_a_foreign_file_are_found(tmp_path: Path, count: int) -> None:
    """Each is named."""
    long_log(tmp_path, count)
    one, two = files(tmp_path)[20], files(tmp_path)[count - 10]
    first, second = one.read_bytes(), two.read_bytes()
    one.write_bytes(second)
    two.write_bytes(first)
    said = messages(tmp_path)
    assert sum("changed since it was written" in line for line in said) == 2
    assert any(line.startswith(one.name) for line in said) and any(line.startswith(two.name) for line in said)
    one.write_bytes(first)
    two.write_bytes(second)
    later = one.with_name(one.name.replace("20260304", "20260305", 1))
    one.rename(later)
    assert any(line.startswith(f"{later.name}: renamed: it was written at 2026-03-04T") for line in messages(tmp_path))
    later.rename(one)
    (one.parent / "copy of an event.json").write_bytes(first)
    assert messages(tmp_path) == ["copy of an event.json: foreign: not the name of an event"]


@pytest.mark.parametrize("count", [100, pytest.param(1000, marks=pytest.mark.long)])
def test_whichever_file_gets_a_new_name_or_another_ones_bytes_it_is_named(tmp_path: Path, count: int) -> None:
    """Each by itself, as verifying looks at each; a later time, another hash, its neighbour's bytes."""
    long_log(tmp_path, count)
    every = files(tmp_path)

    def said_of(name: str) -> str:
        log = Log(tmp_path, PART)
        assert read_one(log, name, strictly=True) is None
        (problem,) = log.problems
        assert problem.file == f"parts/{PART}/log/{name}" and not problem.warning
        return problem.message

    for path, neighbour in zip(every, [*every[1:], every[0]], strict=True):
        later = path.rename(path.with_name(f"2027{path.name[4:]}"))
        assert said_of(later.name).startswith("renamed: it was written at 2026-")
        later.rename(path)
        other = path.rename(path.with_name(f"{path.name.partition('-')[0]}-{neighbour.name.partition('-')[2]}"))
        assert "changed since it was written, or renamed" in said_of(other.name)
        other.rename(path)
        whole, theirs = path.read_bytes(), neighbour.read_bytes()
        path.unlink()
        path.write_bytes(theirs)
        assert "changed since it was written, or renamed" in said_of(path.name)
        path.write_bytes(whole)
    assert messages(tmp_path) == []


def test_bytes_that_say_the_same_in_another_form_are_found(tmp_path: Path) -> None:
    """Rightly hashed and named, but with blanks: not what a writer of this log writes."""
    path = write_raw(tmp_path)
    content = path.read_bytes().replace(b'","', b'", "', 1)
    path.unlink()
    name = f"{path.name.partition('-')[0]}-{hashlib.sha256(content).hexdigest()}.json"
    (path.parent / name).write_bytes(content)
    assert messages(tmp_path) == [f"{name}: not in the form of RFC 8785"]


def test_kept_files_that_decisions_rest_on_are_checked(tmp_path: Path) -> None:
    """Evidence that was exchanged, a raw answer that is gone."""
    round_trip(tmp_path)
    (tmp_path / "parts" / PART / "evidence" / "call.txt").write_bytes(b"another note")
    next((tmp_path / "parts" / PART / "reviews").glob("*/answers/*")).unlink()
    said = messages(tmp_path)
    assert any("call.txt: changed since it came; event" in line for line in said)
    assert any("not there, or can't be read; event" in line for line in said)


def test_what_was_shown_is_checked_against_its_check_code_and_its_pictures(tmp_path: Path) -> None:
    """`shown.json`, and each picture by its own name."""
    story = Story(tmp_path)
    story.send(story.ask("7K3F"))
    (review,) = (tmp_path / "parts" / PART / "reviews").iterdir()
    (review / "pictures").mkdir()
    good = review / "pictures" / f"{hashlib.sha256(b'pixels').hexdigest()}.jpg"
    good.write_bytes(b"pixels")
    assert messages(tmp_path) == []
    good.write_bytes(b"others")
    assert messages(tmp_path) == [f"{good.name}: not the picture that was shown: its name is the SHA-256 it had"]
    (review / "shown.json").write_bytes(b"{}")
    assert "shown.json: changed since it was sent: not the check code in its folder's name" in messages(tmp_path)


def test_an_event_can_not_point_out_of_the_catalogue(tmp_path: Path) -> None:
    """A path in an event is looked at only within the folder."""
    root = tmp_path / "catalogue"
    says = {"answered_by": {"name": "K. Ammerlund"}, "raw": {"file": "../secret.txt", "sha256": "0" * 64}}
    write_raw(root, kind="answers-received", says=says)
    (tmp_path / "secret.txt").write_text("x", encoding="utf-8")
    assert "a path that leads out of the catalogue" in messages(root)[0]


def test_a_left_over_of_a_write_that_was_cut_off_is_no_harm(tmp_path: Path) -> None:
    """It is named, and the log is whole."""
    long_log(tmp_path, 3)
    (tmp_path / "parts" / PART / "log" / ".x.json.0f.tmp").write_bytes(b"{")
    verified = verify(tmp_path, PART)
    assert verified.is_whole and len(verified.problems) == 1
