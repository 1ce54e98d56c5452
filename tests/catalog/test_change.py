"""A person's file changed in place: what isn't changed stays as it stood."""

from pathlib import Path

import pytest

from portal import resources
from portal.catalog.change import changed, merge, written
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
