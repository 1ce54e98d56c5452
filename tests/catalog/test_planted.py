"""Every planted fault is reported once, at its line, and nothing else is."""

from collections import Counter
from pathlib import Path

import pytest

from portal.catalog import Reading, read
from portal.catalog.schemas import KINDS
from tests.catalog.faults import Fault, faults
from tests.catalog.good import good
from tests.catalog.more_faults import more_faults, shop_faults, zone_fault
from tests.catalog.reads import read_tree, sound, where
from tests.catalog.test_schemas import kind_of
from tests.sayings import sayings
from tests.treemaker import plant

FAULTS = [*faults(), *more_faults()]
ALONE = [*shop_faults(), zone_fault()]
"""Those that would hide others, or be hidden."""
UNCAUSED = {
    "can't be looked into: {}",
    "no regular file",
    "there is no such file; a catalogue's folder has one",
    "`{}` can't stand here",
    "`{}` is not written as it should be",
}
"""The first needs another user, two have their own tests, two are for what no field says today."""


def planted(root: Path, *some: Fault) -> Reading:
    """Read the good catalogue with these faults in it."""
    plant(root, good())
    for fault in some:
        plant(root, fault.files)
        for path, target in fault.links.items():
            (root / path).symlink_to(target)
    return read(root)


def test_the_good_catalogue_has_no_problem(tmp_path: Path) -> None:
    """What the faults are planted in is sound."""
    reading = read_tree(tmp_path, good())
    assert reading.problems == ()
    assert sound(reading).broken == {}


@pytest.mark.parametrize("fault", [*FAULTS, *ALONE], ids=lambda fault: fault.name)
def test_a_planted_fault_is_found_alone(fault: Fault, tmp_path: Path) -> None:
    """One fault gives its own problem at its own place, and no second one that follows from it."""
    reading = planted(tmp_path, fault)
    assert sorted(map(where, reading.problems)) == sorted(fault.seen), "\n".join(map(str, reading.problems))


def test_all_planted_faults_are_found_at_once(tmp_path: Path) -> None:
    """All faults together give exactly the problems that each gives alone."""
    assert len(FAULTS) >= 190
    reading = planted(tmp_path, *FAULTS)
    wanted = sorted(each for fault in FAULTS for each in fault.seen)
    assert sorted(map(where, reading.problems)) == wanted


def test_every_message_of_reading_is_caused_by_a_fault(tmp_path: Path) -> None:
    """So that none is forgotten when a rule changes; what can't be planted is named."""
    said = [each.message for each in planted(tmp_path / "all", *FAULTS).problems]
    for number, fault in enumerate(ALONE):
        said += [each.message for each in planted(tmp_path / str(number), fault).problems]
    of_reading = [each for each in sayings() if each.where.startswith(("catalog/", "model/"))]
    assert len(of_reading) > 140
    assert [message for message in said if not any(each.fits(message) for each in of_reading)] == []
    left = {each.text for each in of_reading if not any(each.fits(message) for message in said)}
    assert left == UNCAUSED


def test_every_kind_of_file_has_its_faults() -> None:
    """At least four each."""
    kinds = Counter(kind_of(file) for fault in (*FAULTS, *ALONE) for file, _, _ in fault.seen)
    assert {kind: min(4, kinds[kind]) for kind in KINDS} == dict.fromkeys(KINDS, 4)


def test_problems_come_in_the_order_of_files_and_lines(tmp_path: Path) -> None:
    """Whoever goes through them goes through each file from top to bottom."""
    problems = planted(tmp_path, *FAULTS).problems
    assert list(problems) == sorted(problems, key=lambda problem: problem.order)


def test_what_is_sound_is_kept_beside_all_faults(tmp_path: Path) -> None:
    """The good records are all there however many others are broken."""
    alone = sound(read_tree(tmp_path / "alone", good()))
    beside = sound(planted(tmp_path / "beside", *FAULTS))
    assert beside.parts["LC-0440"] == alone.parts["LC-0440"]
    assert beside.moulds["M-118"] == alone.moulds["M-118"]
    assert ("customer", "misspelt") in beside.broken
