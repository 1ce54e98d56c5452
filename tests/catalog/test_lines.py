"""The line of a field by its path."""

import pytest

from portal.catalog.lines import Lines
from portal.catalog.tree import parse
from portal.problem import Places

LINES = parse("a: 1\nb:\n  - c: 2\n    d: 3\n  - e\n").lines


def test_a_path_that_is_not_there_has_no_line() -> None:
    """Below a value, past the end of a list, a word for an item's number."""
    for path in (("z",), ("a", "0"), ("b", "2"), ("b", "c"), ("b", "-1"), ("b", "²"), ("b", "1", "e")):
        assert path not in LINES
        with pytest.raises(KeyError):
            LINES[path]


def test_all_paths_are_listed_once() -> None:
    """As a mapping lists its keys."""
    paths = [(), ("a",), ("b",), ("b", "0"), ("b", "0", "c"), ("b", "0", "d"), ("b", "1")]
    assert list(LINES) == paths
    assert len(LINES) == 7
    assert dict(LINES)[("b", "0", "d")] == 4


def test_places_fall_back_to_the_nearest_field_above() -> None:
    """A missing key is told where its record begins."""
    places = Places({"f": LINES})
    assert places.line("f", ("b", "0", "missing", "deeper")) == 3
    assert places.line("f", ("missing",)) == 1
    assert Lines()[()] == 1


def test_folded_lines_say_the_same() -> None:
    """Each path its line, and a path that isn't there none."""
    folded = LINES.folded()
    assert dict(folded) == dict(LINES) and len(folded) == len(LINES)
    assert ("z",) not in folded and Places({"f": folded}).line("f", ("b", "0", "missing", "deeper")) == 3
