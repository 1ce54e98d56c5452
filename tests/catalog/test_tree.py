"""YAML to text with lines; no value is anything but the text in the file."""

from hypothesis import given, settings
from hypothesis import strategies as st

from portal.catalog.text import Fault
from portal.catalog.tree import MOST_NODES, parse

ODD = ["0123", "08", "12:30", "052:10", "1e3", "no", "NO", "yes", "on", "true", "1.10", "~", "null", "0x1F", "1_000"]
"""What other readers turn into numbers, times, booleans and nothing."""


def fault(text: str) -> Fault:
    """The only fault of a text."""
    document = parse(text)
    assert len(document.faults) == 1, document.faults
    return document.faults[0]


def test_odd_values_stay_text() -> None:
    """As values and as items, the text in the file is what is read."""
    text = "".join(f"k{at}: {word}\n" for at, word in enumerate(ODD)) + f"items: [{', '.join(ODD)}]\n"
    data = parse(text).data
    assert [data[f"k{at}"] for at in range(len(ODD))] == ODD
    assert data["items"] == ODD


def test_odd_keys_stay_text() -> None:
    """`08` and `8` are two cavities, `no` is a name."""
    assert list(parse("{08: a, 8: b, no: c, 1.10: d, 12:30: e}").data) == ["08", "8", "no", "1.10", "12:30"]


def test_a_date_with_an_offset_is_not_moved() -> None:
    """No day is shifted to another zone."""
    assert parse("at: 2012-10-11T23:39:45-04:00").data == {"at": "2012-10-11T23:39:45-04:00"}


def test_every_field_has_its_line() -> None:
    """A key's line is where it stands, an item's where it begins."""
    lines = parse("# first\na: 1\nb:\n  c: [x, y]\n  d:\n    - e: 2\n      f: 3\n    - g\n").lines
    assert lines[()] == 2
    assert {path: lines[path] for path in lines if path} == {
        ("a",): 2,
        ("b",): 3,
        ("b", "c"): 4,
        ("b", "c", "0"): 4,
        ("b", "c", "1"): 4,
        ("b", "d"): 5,
        ("b", "d", "0"): 6,
        ("b", "d", "0", "e"): 6,
        ("b", "d", "0", "f"): 7,
        ("b", "d", "1"): 8,
    }


def test_lines_begin_where_the_text_begins() -> None:
    """Front matter begins on the second line of its file."""
    assert parse("a: 1\nb: 2\n", first_line=2).lines[("b",)] == 3


def test_a_key_that_stands_twice_is_named_with_both_lines() -> None:
    """The first value is kept, and nobody has to guess which of them held."""
    document = parse("a:\n  b: 1\n  c: 2\n  b: {x: 3}\n")
    assert document.data == {"a": {"b": "1", "c": "2"}}
    assert [(each.line, each.path) for each in document.faults] == [(4, ("a", "b"))]
    assert "lines 2 and 4" in document.faults[0].message


def test_a_key_twice_on_one_line_and_twice_in_a_list() -> None:
    """The path says which item it is."""
    assert parse("- {}\n").faults
    assert fault("items: [{a: 1}, {a: 1, a: 2}]").path == ("items", "1", "a")
    assert fault("a: {b: 1, b: 2}").path == ("a", "b")


def test_three_times_the_same_key_are_two_faults() -> None:
    """Each further one is a fault of its own."""
    assert [each.line for each in parse("a: 1\na: 2\na: 3\n").faults] == [2, 3]


def test_anchors_and_aliases_are_refused() -> None:
    """Each by its name, also on keys, lists and mappings."""
    assert "&base" in fault("a: &base 1").message
    assert "&base" in fault("a: &base [1]").message
    assert "&base" in fault("&base a: 1").message
    assert [each.line for each in parse("a: &x 1\nb: *x\n").faults] == [1, 2]


def test_a_bomb_of_aliases_stops_at_the_first() -> None:
    """Nothing is ever multiplied."""
    bomb = "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n"
    assert [each.line for each in parse(bomb).faults] == [1, 2, 2]


def test_an_alias_to_itself_ends() -> None:
    """A graph that contains itself is refused as any alias."""
    assert not parse("a: &a [*a]").whole


def test_tags_are_refused() -> None:
    """Harmless ones too: a value is the text as it stands."""
    assert "!!python/object/apply:os.system" in fault("a: !!python/object/apply:os.system [x]").message
    assert "!!str" in fault("a: !!str 0123").message
    assert "!own" in fault("a: !own 1").message


def test_more_than_one_document_is_refused() -> None:
    """At the line of the second."""
    assert fault("a: 1\n---\nb: 2\n").line == 2


def test_what_is_no_mapping_is_refused() -> None:
    """A list, a word, nothing, only comments."""
    for text in ("- a\n", "word\n", "", "# only this\n", "---\n", '""\n'):
        assert not parse(text).whole
        assert fault(text).line == 1


def test_a_key_that_is_no_text_is_refused() -> None:
    """A list can't be a key."""
    assert "key" in fault("? [a, b]\n: c\n").message


def test_a_tab_is_named() -> None:
    """It looks like blanks, so the message says what it is."""
    found = fault("a:\n\tb: 1\n")
    assert (found.line, "tab" in found.message) == (2, True)


def test_broken_yaml_says_where() -> None:
    """The line at which the reader gave up."""
    assert fault("a: [1, 2\nb: 3\n").line == 2
    assert fault('a: "open\n').message.startswith("not YAML: ")


def test_too_deep_is_refused_in_a_sentence() -> None:
    """Deep lists, deep mappings, in one line or in many."""
    assert "deep" in fault("a: " + "[" * 100_000).message
    assert "deep" in fault("a: " + "{b: " * 100_000).message
    assert "deep" in fault("".join(" " * at + "a:\n" for at in range(60))).message


def test_too_many_values_are_refused_in_a_sentence() -> None:
    """Values and lists are counted."""
    assert "more than" in fault("a: [" + "x," * (MOST_NODES + 1) + "]").message
    assert "more than" in fault("a: [" + "[]," * (MOST_NODES + 1) + "]").message


@settings(deadline=None)
@given(st.text(max_size=80))
def test_no_text_raises(text: str) -> None:
    """Any text is data or faults."""
    document = parse(text)
    assert document.faults or isinstance(document.data, dict)


@settings(deadline=None)
@given(st.text(alphabet="ab: -[]{},\n\"'#&*!|>?%@`0", max_size=60))
def test_no_yaml_like_text_raises(text: str) -> None:
    """Texts of the marks that mean something, most of them broken."""
    document = parse(text)
    assert document.whole or document.faults
