"""A person's file changed in place: what isn't changed stays as it stood."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml.comments import CommentedMap

from portal import resources
from portal.catalog.change import changed, changed_entry, drop, merge, put_among, written
from portal.catalog.tree import parse
from portal.problem import PortalError

MINE = """# my own words
format: 1   # one
x-own: {a: 0123, b: "no"}
shot: 007
cavity: no
empty:
at: 2026-01-01T10:00:00.10Z
findings:
# the first
- id: 7K3F  # keep
  x-more: 1e3
  zone: 'B'
"""


@pytest.mark.parametrize("file", sorted(resources.sample().rglob("*.yaml")), ids=lambda file: file.name)
def test_nothing_changed_is_byte_for_byte_the_same(file: Path) -> None:
    """Every file of the sample comes out as it went in."""
    text = file.read_text(encoding="utf-8")
    assert changed(text, lambda data: None) == text


def test_comments_own_keys_and_odd_scalars_stay_where_something_is_added() -> None:
    """The lines that were there are there, in their order; the new ones follow the same indent."""
    new = {"id": "0123", "seen": "yes", "note": "a: b # c", "cavity": "3"}
    text = changed(MINE, lambda data: data["findings"].append(written(new)))
    assert text.startswith(MINE)
    assert text.removeprefix(MINE).splitlines() == [
        '- id: "0123"',
        "  seen: yes",
        '  note: "a: b # c"',
        '  cavity: "3"',
    ]


def test_a_merge_touches_only_what_differs() -> None:
    """Equal values keep their quotes, keys that went go, own keys stay."""

    def change(data: dict[str, object]) -> None:
        findings = data["findings"]
        assert isinstance(findings, list)
        merge(findings[0], {"id": "7K3F", "zone": "C"})

    assert changed(MINE, change) == MINE.replace("zone: 'B'", "zone: 'C'")


def test_line_ends_and_the_byte_order_mark_stay() -> None:
    """As an editor on Windows writes them."""
    text = "\ufeff" + "a: 1\r\nb: 2\r\n"
    assert changed(text, lambda data: data.update(a="x")) == "\ufeff" + "a: x\r\nb: 2\r\n"


@pytest.mark.parametrize(
    "value", ["no", "0123", "1e3", "a # b", "- x", "'", '"', "line\nline", "ä ö", "~", "", " x ", "%"]
)
def test_any_text_is_read_as_it_was_given(value: str) -> None:
    """By our own reader, whatever it looks like."""
    text = changed("a: 1\n", lambda data: data.update(b=written(value)))
    assert parse(text).data["b"] == value


@pytest.mark.parametrize("text", ["a: [", "- a\n", "a: &x 1\nb: *x\n"])
def test_what_cant_be_changed_faithfully_is_refused(text: str) -> None:
    """A sentence, and nothing is given back."""
    with pytest.raises(PortalError):
        changed(text, lambda data: data.update(b="2"))


LIST = """# ours
format: 1
picture: {sha256: ab, stored: 4x3}   # as it came
masks:
- "1,1 2,2 3,1"      # not indented
findings:
    # the first one
    - id: A111
      points: "1,2 3,4"   # by hand
      x-shop: [0123, no]
    # about the second
    - id: B222
      shapes:
          - {shape: line, points: '1,2'}
    - id: C333
      note: |
          two
          lines

# behind all
also:
    - finding: A111
"""


@pytest.mark.parametrize("windows", [False, True])
@pytest.mark.parametrize("id_", ["A111", "B222", "C333", "D444"])
def test_only_the_lines_of_one_entry_are_written_anew(id_: str, windows: bool) -> None:
    """The others stay byte for byte; what the file says is what a change of the whole would say."""
    text = ("\ufeff" + LIST).replace("\n", "\r\n") if windows else LIST
    fresh = {"id": id_, "points": "5,6 7,8", "shapes": [{"shape": "line", "points": "9,9"}]}
    made = changed_entry(text, "findings", ("id", id_), fresh)
    by_whole = changed(text, lambda data: put_among(data, "findings", ("id", id_), fresh))
    assert parse(made.removeprefix("\ufeff")).data == parse(by_whole.removeprefix("\ufeff")).data
    assert made.startswith("\ufeff") is windows and ("\r\n" in made) is windows
    own = {"A111": ["points:"], "B222": ["'1,2'"], "C333": ["note:", "two", "lines"]}.get(id_, [])
    plain = made.replace("\r\n", "\n").removeprefix("\ufeff").splitlines()
    gone = [line for line in LIST.splitlines() if line not in plain]
    assert [line for line in gone if not any(each in line for each in own)] == []
    assert '- "1,1 2,2 3,1"      # not indented' in plain and "# behind all" in plain


@pytest.mark.parametrize("windows", [False, True])
@pytest.mark.parametrize("id_", ["A111", "B222", "C333", "D444"])
def test_taking_an_entry_away_takes_its_own_lines_alone(id_: str, windows: bool) -> None:
    """What stands above the next one, or behind all, was written about something else."""
    text = ("\ufeff" + LIST).replace("\n", "\r\n") if windows else LIST
    made = changed_entry(text, "findings", ("id", id_), None)
    begin, end = (
        LIST.find(f"    - id: {id_}"),
        {"A111": "    # about", "B222": "    - id: C", "C333": "\n# behind"}.get(id_),
    )
    left = LIST[:begin] + LIST[LIST.index(end) :] if end else LIST
    assert made == (("\ufeff" + left).replace("\n", "\r\n") if windows else left)


BETWEEN = """format: 1
view: top   # of the part
# for the customer
masks:
- "1,1 2,2 3,1"
# found on the second look
findings:
- id: A111
  shapes:
  - points: "1,2"
  - points: "3,4"  # the tip
  # ours
  x-shop: 12
# behind all
"""


def test_comments_behind_what_is_taken_away_stay() -> None:
    """A key, the last of a list with its key, one of two shapes, all of them; each with what stands before the next."""

    def lost(change: Callable[[CommentedMap], None]) -> list[str]:
        made = changed(BETWEEN, change).splitlines()
        assert parse("\n".join(made) + "\n").faults == ()
        return [line for line in BETWEEN.splitlines() if line not in made]

    assert lost(lambda data: drop(data, "view")) == ["view: top   # of the part"]
    assert lost(lambda data: drop(data, "masks")) == ["masks:", '- "1,1 2,2 3,1"']
    whole = BETWEEN[BETWEEN.index("findings:") : BETWEEN.index("# behind")].splitlines()
    assert lost(lambda data: put_among(data, "findings", ("id", "A111"), None)) == whole
    one, none = {"id": "A111", "shapes": [{"points": "1,2"}]}, {"id": "A111"}
    assert lost(lambda data: put_among(data, "findings", ("id", "A111"), one)) == ['  - points: "3,4"  # the tip']
    shapes = whole[2:5]
    assert lost(lambda data: put_among(data, "findings", ("id", "A111"), none)) == shapes
    assert lost(lambda data: put_among(data, "findings", ("id", "A111"), one | {"shapes": "none"})) == shapes


@pytest.mark.parametrize(
    "text",
    [
        "format: 1\n", "format: 1\nfindings: [{id: A111}]\n", "format: 1\nfindings:\n  -\n    id: A111\n",
        "findings: []\n", "findings:\n- id: A111", "{format: 1, findings: [{id: A111}]}\n",
        "findings:\n- {id: A111, note: x}\n- id: B222\n",
    ],
)  # fmt: skip
def test_a_list_written_otherwise_is_changed_as_a_whole(text: str) -> None:
    """In one line, with the dash alone, empty, not there, without a line's end."""
    fresh = {"id": "A111", "points": "5,6"}
    made = changed_entry(text, "findings", ("id", "A111"), fresh)
    found = parse(made).data["findings"]
    assert found[0] == fresh and parse(made).faults == ()
    assert len(found) == max(1, text.count("id:"))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from(["A", "B", "C", "D"]), min_size=1, max_size=12))
def test_a_row_of_changes_comes_to_what_was_given(ids: list[str]) -> None:
    """Each id once, with what was given last, in the order in which they first came."""
    text = "format: 1\n# kept\nnote: x\n"
    wanted: dict[str, dict[str, object]] = {}
    for turn, id_ in enumerate(ids):
        wanted[id_] = {"id": id_, "points": f"{turn},1", "shapes": [{"shape": "line"}] * (turn % 3)}
        text = changed_entry(text, "findings", ("id", id_), wanted[id_])
    assert parse(text).data == {"format": "1", "note": "x", "findings": list(wanted.values())}
    assert "# kept" in text
