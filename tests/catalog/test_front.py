"""Front matter and prose."""

from portal.catalog.front import parse_page


def test_keys_and_prose_come_apart() -> None:
    """A line in the prose below stays what it is."""
    page = parse_page("---\na: 1\n---\nFirst.\n\n---\n\nSecond.\n")
    assert page.front.data == {"a": "1"}
    assert page.prose == "First.\n\n---\n\nSecond."


def test_lines_are_those_of_the_file() -> None:
    """The first key stands on line 2."""
    assert parse_page("---\na: 1\nb: 2\n---\n").front.lines[("b",)] == 3


def test_line_ends_of_windows_are_read() -> None:
    """The same keys, and prose with plain line ends."""
    page = parse_page("---\r\na: 1\r\n---\r\nFirst.\r\nSecond.\r\n")
    assert (page.front.data, page.prose) == ({"a": "1"}, "First.\nSecond.")


def test_empty_keys_are_a_fault() -> None:
    """Nothing between the two lines."""
    assert [fault.line for fault in parse_page("---\n---\nProse\n").front.faults] == [2]


def test_a_missing_line_is_a_fault() -> None:
    """The opening and the closing one."""
    for text in ("a: 1\n---\n", "---\na: 1\n", "", "---", "----\na: 1\n----\n"):
        assert len(parse_page(text).front.faults) == 1
