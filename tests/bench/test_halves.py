"""A file that an editor saves in place is half-written for a moment: what it said before holds until it is whole."""

import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from portal.bench import single
from portal.bench.arrival import CALM_S, PATIENT_S
from portal.bench.index import key_of
from portal.bench.save import save
from portal.bench.state import Bench
from portal.bench.watching import Watch
from portal.catalog import read
from portal.catalog.alone import Busy, read_alone
from portal.model.picture import Picture
from tests.bench.conftest import GATE, wanted
from tests.bench.test_watching import until
from tests.tasks.small import TRIAL

TAG = f"{TRIAL}/tags/c1_gate.jpg.yaml"
RECORDS = ["moulds/M-001/mould.yaml", f"{TRIAL}/trial.yaml", "parts/P-0001/part.yaml", "scopes/bench-1.yaml"]


def names(bench: Bench) -> tuple[list[str], list[str], list[str]]:
    """The trials, the parts and the scopes that the bench knows."""
    trials = [trial.id for _, trial in bench.catalogue.trials()]
    return trials, list(bench.catalogue.parts), list(bench.catalogue.scopes)


def gate(bench: Bench) -> Picture:
    """The picture as the bench has it."""
    return bench.index.spot(key_of(GATE)).picture


@pytest.mark.parametrize("file", RECORDS)
@pytest.mark.parametrize("half", ["", "format: 1\nname: [", None])
def test_a_record_is_what_it_was_until_it_was_left_alone(bench: Bench, file: str, half: str | None) -> None:
    """Emptied, cut, or away for a moment; whole again, what it says by then holds at once."""
    path, before, version = bench.folder / file, names(bench), bench.version
    text = path.read_text(encoding="utf-8")
    path.unlink() if half is None else path.write_text(half, encoding="utf-8")
    assert not bench.reread() and not bench.reread()
    assert (names(bench), bench.version) == (before, version) and bench.is_waiting()
    path.write_text(f"{text}# saved\n", encoding="utf-8")
    assert bench.reread() and not bench.is_waiting()
    assert (names(bench), bench.version) == (before, version + 1)


@pytest.mark.parametrize("file", RECORDS)
def test_a_record_that_stays_broken_is_believed(bench: Bench, file: str) -> None:
    """Once it was as it is for a while."""
    before = names(bench)
    (bench.folder / file).write_text("format: [", encoding="utf-8")
    assert not bench.reread()
    time.sleep(CALM_S)
    assert bench.reread() and names(bench) != before and not bench.is_waiting()
    assert not bench.reread()


def test_of_two_that_are_written_one_after_the_other_none_is_waited_for_for_ever(bench: Bench) -> None:
    """One is left alone while the other still changes."""
    for number in range(4):
        (bench.folder / RECORDS[number % 2]).write_text(f"format: [ # {number}", encoding="utf-8")
        assert not bench.reread()
    time.sleep(CALM_S)
    assert bench.reread() and not bench.is_waiting()


@pytest.mark.parametrize("half", ["", "format: 1\npicture: [\n"])
def test_a_tag_is_what_it_was_until_it_was_left_alone(bench: Bench, half: str) -> None:
    """By a look into the folder, by opening the picture, by reading the catalogue for another record."""
    path, before = bench.folder / TAG, gate(bench)
    text = path.read_text(encoding="utf-8")
    bench.refresh("M-001", "T1")
    path.write_text(half, encoding="utf-8")
    bench.refresh("M-001", "T1")
    bench.fresh(key_of(GATE))
    (bench.folder / RECORDS[3]).touch()
    bench.reread()
    assert gate(bench) == before and bench.is_waiting()
    path.write_text(text.replace("zone: B", "zone: A"), encoding="utf-8")
    bench.refresh("M-001", "T1")
    tag = gate(bench).tag
    assert tag is not None and {each.zone for each in tag.findings} == {"A"} and not bench.is_waiting()


def test_a_tag_that_stays_broken_is_told(bench: Bench) -> None:
    """With where it is."""
    (bench.folder / TAG).write_text("format: [", encoding="utf-8")
    bench.refresh("M-001", "T1")
    assert gate(bench).tag_broken is None
    time.sleep(CALM_S)
    bench.refresh("M-001", "T1")
    assert (gate(bench).tag_broken or "").startswith(TAG) and not bench.is_waiting()


def test_what_is_drawn_meanwhile_is_written_into_the_whole_file(bench: Bench) -> None:
    """It is asked for again as it is; nothing comes to lie beside the file."""
    path, asked = bench.folder / TAG, wanted(bench)
    whole = path.read_bytes()
    for half in (b"", whole[: whole.index(b"picture") + 9], b"format: 1 # \xc3"):
        path.write_bytes(half)
        with pytest.raises(Busy):
            save(bench, asked)
        assert path.read_bytes() == half
    path.write_bytes(whole)
    assert save(bench, asked).conflict is None
    assert read(bench.folder).problems == () and not list(path.parent.glob("*.conflict-*"))


def test_a_file_that_nobody_looks_at_any_more_keeps_nobody_busy(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is asked about again when somebody needs it."""
    (bench.folder / TAG).write_text("", encoding="utf-8")
    bench.refresh("M-001", "T1")
    assert bench.is_waiting()
    later = time.monotonic() + PATIENT_S + 1
    monkeypatch.setattr(single, "time", SimpleNamespace(monotonic=lambda: later))
    assert not bench.is_waiting()


def test_nobody_who_works_sees_a_mould_that_is_saved_in_place_go(bench: Bench) -> None:
    """Its file is empty for longer than the system takes to tell of it."""
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    path = bench.folder / RECORDS[0]
    text, states = path.read_text(encoding="utf-8"), []
    with bench.hearing(lambda: states.append("M-001" in bench.catalogue.moulds)), Watch(bench).running():
        path.write_text("", encoding="utf-8")
        assert until(bench.is_waiting)
        path.write_text(text.replace("M-001", "M-001", 1) + "# saved\n", encoding="utf-8")
        assert until(lambda: len(states) > 0)
        assert until(lambda: not bench.is_waiting())
    assert all(states)


def test_after_a_scopes_file_was_written_no_tag_is_read_again(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only those that were changed: of a thousand pictures that took half a second."""
    asked: list[str] = []
    plain = read_alone

    def counted(folder: Path, record: type[Any], file: str) -> Any:
        asked.append(file)
        return plain(folder, record, file)

    monkeypatch.setattr(single, "read_alone", counted)
    (bench.folder / RECORDS[3]).touch()
    assert bench.reread() and asked == []
    path = bench.folder / TAG
    path.write_text(path.read_text(encoding="utf-8").replace("zone: B", "zone: A"), encoding="utf-8")
    (bench.folder / RECORDS[3]).write_bytes((bench.folder / RECORDS[3]).read_bytes() + b"# x\n")
    assert bench.reread() and asked == [TAG]
    tag = gate(bench).tag
    assert tag is not None and {each.zone for each in tag.findings} == {"A"}
