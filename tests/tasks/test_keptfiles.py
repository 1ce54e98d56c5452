"""A tag that surely hasn't changed isn't read again; whatever changes about it is seen."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from portal.catalog import Reading, read
from portal.catalog.folder import Folder
from portal.tasks import keptfiles
from portal.tasks.keptfiles import kept_files
from portal.tasks.store import store_for
from tests.tasks.small import TRIAL, small_catalogue

TAGS = (f"{TRIAL}/tags/c1_gate.jpg.yaml", f"{TRIAL}/tags/c1_top.jpg.yaml")
LOOKED = f"{TRIAL}/looked/1-top-12.yaml"

Opened = Callable[[], list[str]]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A catalogue of which nothing is remembered; what was just written counts as settled."""
    monkeypatch.setattr(keptfiles, "TOO_FRESH_NS", 0)
    folder = small_catalogue(tmp_path / "c")
    (folder / LOOKED).write_text(
        'format: 1\ncavity: "1"\nview: top\nshot: 12\ncondition: set-1\nby: first-inspector\nat: 2026-02-12T10:40\n',
        encoding="utf-8",
    )
    return folder


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Opened:
    """Gives which files of a trial's pictures were opened since it was last asked."""
    found: list[str] = []
    whole = Folder.read

    def noted(self: Folder, path: str) -> bytes | None:
        found.append(path)
        return whole(self, path)

    def since() -> list[str]:
        listed = sorted(each for each in found if each in (*TAGS, LOOKED))
        found.clear()
        return listed

    monkeypatch.setattr(Folder, "read", noted)
    return since


def _read(folder: Path) -> Reading:
    with kept_files(folder) as kept:
        return read(folder, memory=kept)


def _alike(one: Reading, other: Reading) -> bool:
    lines = [{file: dict(each) for file, each in reading.places.lines.items()} for reading in (one, other)]
    return (
        one.catalogue == other.catalogue
        and one.problems == other.problems
        and one.digests == other.digests
        and lines[0] == lines[1]
    )


def test_what_did_not_change_is_not_opened(folder: Path, opened: Opened) -> None:
    """And is the same records, at the same lines, with the same digests, in which the same was given."""
    anew = _read(folder)
    assert anew.catalogue and opened() == sorted((LOOKED, *TAGS))
    again = _read(folder)
    assert opened() == []
    assert _alike(anew, again) and again.catalogue
    tags = [
        [each.tag for _, trial in reading.trials() for each in trial.pictures if each.tag]
        for reading in (anew.catalogue, again.catalogue)
    ]
    assert [each.given() for each in tags[0]] == [each.given() for each in tags[1]]
    assert [each.trials["T1"].looked for each in again.catalogue.moulds.values()] == [
        each.trials["T1"].looked for each in anew.catalogue.moulds.values()
    ]


@pytest.mark.parametrize("file", [*TAGS, LOOKED])
def test_a_file_that_changed_is_read(folder: Path, opened: Opened, file: str) -> None:
    """Also where it has the size and the time that it had, as after a copy that keeps both."""
    _read(folder)
    opened()
    path, before = folder / file, (folder / file).stat()
    path.write_bytes(path.read_bytes().replace(b"T10:", b"T11:", 1))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert (path.stat().st_size, path.stat().st_mtime_ns) == (before.st_size, before.st_mtime_ns)
    again = _read(folder)
    assert opened() == [file]
    assert _alike(again, read(folder))


def test_one_that_was_put_in_its_place_is_read(folder: Path, opened: Opened) -> None:
    """A file that was written earlier, beside it."""
    _read(folder)
    opened()
    path, beside = folder / TAGS[0], folder.parent / "beside"
    shutil.copy2(path, beside)
    beside.write_bytes(path.read_bytes().replace(b"shot: 11", b"shot: 12"))
    shutil.copystat(path, beside)
    beside.replace(path)
    assert _alike(_read(folder), read(folder))
    assert TAGS[0] in opened()


def test_what_was_written_a_moment_before_is_read_again(
    folder: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It may change once more within one tick of the disk's clock."""
    monkeypatch.setattr(keptfiles, "TOO_FRESH_NS", 3_600_000_000_000)
    _read(folder)
    opened()
    _read(folder)
    assert opened() == sorted((LOOKED, *TAGS))


def test_a_problem_is_told_each_time(folder: Path) -> None:
    """Nothing is remembered of a file in which something is wrong, and what is right again is read."""
    sound = (folder / TAGS[1]).read_text(encoding="utf-8")
    (folder / TAGS[1]).write_text(sound.replace("seen: yes", "seen: perhaps"), encoding="utf-8")
    first, second = _read(folder), _read(folder)
    assert TAGS[1] in {each.file for each in first.problems} and _alike(first, second)
    (folder / TAGS[1]).write_text(sound, encoding="utf-8")
    assert TAGS[1] not in {each.file for each in _read(folder).problems}


def test_another_program_reads_anew(folder: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """What its rooms that read and judge make of a file may be something else."""
    _read(folder)
    opened()
    monkeypatch.setattr(keptfiles, "judging_key", lambda: "another")
    _read(folder)
    assert opened() == sorted((LOOKED, *TAGS))


def test_of_a_file_without_a_stamp_nothing_is_remembered(
    folder: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And a link that leads nowhere takes no other file's stamp along."""
    (folder / TRIAL / "tags/a.jpg.yaml").symlink_to(folder / "nowhere")
    _read(folder)
    opened()
    _read(folder)
    assert opened() == []
    whole = keptfiles._stamps
    monkeypatch.setattr(keptfiles, "_stamps", lambda folder: {})
    for _ in range(2):
        _read(folder)
        assert opened() == sorted((LOOKED, *TAGS))
    monkeypatch.setattr(keptfiles, "_stamps", whole)
    _read(folder)
    assert opened() == []


def test_what_is_gone_is_forgotten(folder: Path, opened: Opened) -> None:
    """A tag that was taken away is in no catalogue; when it comes back it is found."""
    _read(folder)
    text = (folder / TAGS[0]).read_bytes()
    (folder / TAGS[0]).unlink()
    assert _alike(_read(folder), read(folder))
    (folder / TAGS[0]).write_bytes(text)
    opened()
    assert _alike(_read(folder), read(folder))


@pytest.mark.parametrize("harm", [b"", b"x" * 40])
def test_harmed_blocks_are_read_anew(folder: Path, opened: Opened, harm: bytes) -> None:
    """Nothing that was harmed is taken for a record."""
    _read(folder)
    opened()
    store = store_for(folder, "read")
    for number in range(keptfiles._BLOCKS):
        key = keptfiles._key(number)
        if store.get(key) is not None:
            store.put(key, harm)
    store.close()
    assert _alike(_read(folder), read(folder))
    assert opened().count(TAGS[0]) == 2


def test_a_tag_is_no_record_of_another_kind(folder: Path) -> None:
    """Who asks for another record of the same file reads it."""
    from portal.model.mould import Looked
    from portal.model.tag import Tag

    _read(folder)
    with kept_files(folder) as kept:
        assert kept.of(Looked, TAGS[0]) is None
        assert kept.of(Tag, TAGS[0]) is not None


@pytest.mark.parametrize("lines", ["\n  ", ""])
def test_an_id_that_is_written_twice_is_told_however_it_is_laid_out(folder: Path, lines: str) -> None:
    """Also both on one line; where the first one stands is told from what is remembered of its file."""
    tag = folder / TAGS[1]
    head, _, finding = tag.read_text(encoding="utf-8").partition("findings:\n")
    plain = "{id: 9ZZ1, defect: black-speck, zone: B, seen: yes, by: first-inspector, at: 2026-02-12T10:20}"
    assert "id: 7K3F" in finding
    tag.write_text(f"{head}findings: [{plain},{lines} {plain}]\n", encoding="utf-8")
    told = [str(each) for each in _read(folder).problems if "already written" in each.message]
    assert len(told) == 1 and f"`9ZZ1` is already written in {TAGS[1]}:" in told[0]
    assert [str(each) for each in _read(folder).problems if "already written" in each.message] == told
