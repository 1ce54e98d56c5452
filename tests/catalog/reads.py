"""What the tests of this room share: a folder read as a whole, problems as (file, line, field)."""

from pathlib import Path

from portal.catalog import Reading, read
from portal.model.catalogue import Catalogue
from portal.problem import Problem
from tests.catalog.good import Tree, good
from tests.treemaker import plant

Where = tuple[str, int, str]


def read_tree(root: Path, tree: Tree) -> Reading:
    """Write a tree and read it."""
    return read(plant(root, tree))


def sound(reading: Reading) -> Catalogue:
    """The catalogue of a reading that has one."""
    assert reading.catalogue is not None
    return reading.catalogue


def where(problem: Problem) -> Where:
    """What identifies a problem."""
    return (problem.file, problem.line, problem.field)


def only(reading: Reading) -> Problem:
    """The one problem that there is."""
    assert len(reading.problems) == 1, [str(each) for each in reading.problems]
    return reading.problems[0]


def with_change(file: str, old: str, new: str) -> Tree:
    """The good tree with one text changed; the old text has to be there just once."""
    tree = good()
    content = tree[file]
    assert isinstance(content, str)
    assert content.count(old) == 1, f"{old!r} stands {content.count(old)} times in {file}"
    tree[file] = content.replace(old, new)
    return tree
