"""Every planted fault is reported once, at its line, and nothing else is."""

from pathlib import Path

import pytest

from portal.catalog import Reading, read
from tests.catalog.faults import Fault, faults
from tests.catalog.good import good
from tests.catalog.reads import read_tree, sound, where
from tests.treemaker import plant

FAULTS = list(faults())


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


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_planted_fault_is_found_alone(fault: Fault, tmp_path: Path) -> None:
    """One fault gives its own problem at its own place, and no second one that follows from it."""
    reading = planted(tmp_path, fault)
    assert sorted(map(where, reading.problems)) == sorted(fault.seen), "\n".join(map(str, reading.problems))


def test_all_planted_faults_are_found_at_once(tmp_path: Path) -> None:
    """All faults together give exactly the problems that each gives alone."""
    assert len(FAULTS) >= 24
    reading = planted(tmp_path, *FAULTS)
    wanted = sorted(each for fault in FAULTS for each in fault.seen)
    assert sorted(map(where, reading.problems)) == wanted


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
