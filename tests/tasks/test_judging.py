"""What was judged before is judged again exactly where something changed, and comes to the same."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from portal import tasks
from portal.assess import finding
from portal.model.part import Part
from portal.model.result import Assessment
from portal.model.say import Say
from portal.tasks import judging
from portal.tasks.gather import Gathered
from portal.tasks.judging import Memory, assess_all
from portal.tasks.keys import judging_files
from portal.tasks.records import Folded, Keeper, NotKept, digest, sealed
from portal.tasks.store import Store


def counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The pictures on which something is judged from now on, in this process."""
    seen: list[str] = []
    real = finding.assess_cluster

    def watched(mould: Any, trial: Any, pictures: tuple[Any, ...], *rest: Any) -> tuple[Assessment, ...]:
        seen.extend(each.file for each in pictures)
        return real(mould, trial, pictures, *rest)

    monkeypatch.setattr(finding, "assess_cluster", watched)
    return seen


def test_what_is_kept_in_a_store_comes_to_the_same(sample: Gathered, tmp_path: Path) -> None:
    """Judged anew, read from the store, and remembered in the process: one result."""
    memory = Memory(Store(tmp_path / "store"))
    anew = assess_all(sample.catalogue, sample.facts, memory=memory)
    memory.store.close()
    again = Memory(Store(tmp_path / "store"))
    assert assess_all(sample.catalogue, sample.facts, memory=again) == anew == sample.results
    assert assess_all(sample.catalogue, sample.facts, memory=again) == anew
    assert digest(anew) == digest(sample.results)


def test_several_processes_come_to_the_same(sample: Gathered, monkeypatch: pytest.MonkeyPatch) -> None:
    """However the work is shared out."""
    monkeypatch.setattr(judging, "_ENOUGH", 1)
    assert assess_all(sample.catalogue, sample.facts, processes=2) == sample.results


def test_only_what_changed_is_judged_again(sample: Gathered, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another note on a finding: its picture and those that hang on it; another name of a part: its moulds."""
    memory = Memory()
    assess_all(sample.catalogue, sample.facts, memory=memory)
    seen = counted(monkeypatch)
    assess_all(sample.catalogue, sample.facts, memory=memory)
    assert seen == []
    mould, trial = next(pair for pair in sample.catalogue.trials() if any(each.tag for each in pair[1].pictures))
    old = next(each for each in trial.pictures if each.tag and each.tag.findings)
    assert old.tag is not None
    noted = old.tag.findings[0].but(note="another")
    fresh = old.but(tag=old.tag.but(findings=(noted, *old.tag.findings[1:])))
    pictures = tuple(fresh if each is old else each for each in trial.pictures)
    changed = mould.but(trials={**mould.trials, trial.id: trial.but(pictures=pictures)})
    catalogue = replace(sample.catalogue, moulds={**sample.catalogue.moulds, mould.id: changed})
    assess_all(catalogue, sample.facts, memory=memory)
    assert old.file in seen and len(set(seen)) < 5
    seen.clear()
    part: Part = next(iter(catalogue.parts.values()))
    assess_all(replace(catalogue, parts={**catalogue.parts, part.id: part.but(name="x")}), sample.facts, memory=memory)
    made = {each.id for each in catalogue.moulds.values() if part.id in {one.part for one in each.cavities.values()}}
    assert {each.split("/")[1] for each in seen} == made


def test_the_key_of_what_was_judged_covers_all_that_judges() -> None:
    """Every module of ours that is loaded to read, to judge, and to keep what comes of it; nothing of a page."""
    program = (
        "import sys; from portal import catalog; from portal.assess import finding; from portal.tasks import records\n"
        "print(*sorted(each.__file__ for name, each in sys.modules.items() if name.startswith('portal.')), sep='\\n')"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, encoding="utf-8", check=True)
    covered = {str(path) for _, path in judging_files()}
    loaded = set(run.stdout.splitlines()) - {tasks.__file__}
    assert len(loaded) > 90
    assert loaded - covered == set()
    assert not [each for each in covered if "site" in Path(each).parts[-3:]]


def test_strange_bytes_make_no_object() -> None:
    """Neither a function, nor a class that is no record of ours, nor half of something."""
    keeper = Keeper(())
    for strange in (b"cos\nsystem\n(S'true'\ntR.", b"cportal.problem\nPortalError\n.", b"cportal.model.show\nfixed\n.",
                    b"", keeper.dump(("a",))[16:-2]):  # fmt: skip
        with pytest.raises(NotKept):
            keeper.load(sealed(strange))
        with pytest.raises(NotKept):
            Folded(strange, (), ()).unfolded()


def test_bytes_that_were_changed_are_not_what_was_kept(sample: Gathered) -> None:
    """Found when they are loaded, wherever it is: what lies folded in them is read much later."""
    keeper = Keeper(())
    kept = keeper.dump(tuple(each for each in sample.results[0].assessments if each.readings)[:2])
    assert keeper.load(kept)
    for at in range(0, len(kept), 97):
        with pytest.raises(NotKept):
            keeper.load(kept[:at] + bytes((kept[at] ^ 4,)) + kept[at + 1 :])


def test_what_stands_behind_a_verdict_is_unfolded_for_whoever_asks(sample: Gathered) -> None:
    """To the same, whatever was asked in between; who asks twice in a row gets the very same records."""
    memory = Memory()
    known = [each for result in sample.results for each in result.assessments]
    again = assess_all(sample.catalogue, sample.facts, memory=memory)
    found = [each for result in again for each in result.assessments]
    assert len(known) > 64 and any(each.held for each in known) and any(each.counted_on for each in known)
    for one, other in (*zip(known, found, strict=True), *reversed([*zip(known, found, strict=True)])):
        assert one.readings == other.readings and one.held == other.held and one.counted_on == other.counted_on
        assert other.worked is other.worked and one == other and hash(one.behind) == hash(other.behind)
    assert {type(each.behind) for each in found} == {Folded}


def test_what_was_measured_is_told_without_unfolding(sample: Gathered, monkeypatch: pytest.MonkeyPatch) -> None:
    """The characteristics of the readings, of findings of which something was measured and of others."""
    keeper = Keeper(())
    known = [each for result in sample.results for each in result.assessments]
    kept = [keeper.dump(each) for each in known]
    wanted = [frozenset(reading.characteristic for reading in each.readings) for each in known]
    monkeypatch.delattr(Folded, "unfolded")
    told = [keeper.load(each).characteristics for each in kept]
    assert told == wanted
    assert len(set(told)) > 3 and frozenset() in told


def test_a_sentence_is_held_once_only_where_equal_is_the_same() -> None:
    """1 is 1.0, and a sentence says neither for the other."""
    keeper = Keeper(())
    many: tuple[tuple[Any, ...], ...] = ((1, 1.0, True), ("1", "1", "1"))
    for values in many:
        says = keeper.load(keeper.dump(tuple(Say.of("a.b", n=value) for value in values)))
        assert [type(each.get("n")) for each in says] == [type(each) for each in values]
        assert (says[0] is says[1]) == (values[0] == "1")


def test_a_harmed_store_is_begun_anew_and_one_that_cannot_be_written_keeps_nothing(tmp_path: Path) -> None:
    """Neither stops a build."""
    path = tmp_path / "store"
    path.write_bytes(b"no database at all, but long enough to look like one" * 40)
    store = Store(path)
    store.put("a", b"1")
    store.close()
    assert Store(path).get("a") == b"1"
    (tmp_path / "file").write_bytes(b"")
    nowhere = Store(tmp_path / "file" / "store")
    nowhere.put("a", b"1")
    nowhere.close()
    assert nowhere.get("a") is None


def test_what_was_not_used_of_late_is_forgotten(tmp_path: Path) -> None:
    """A store holds at most twice what the last build used."""
    store = Store(tmp_path / "store")
    for number in range(10):
        store.put(str(number), b"x")
    store.close()
    again = Store(tmp_path / "store")
    assert again.get("3") == b"x"
    again.close()
    last = Store(tmp_path / "store")
    assert last.get("3") == b"x" and last.get("4") is None
