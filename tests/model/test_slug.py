"""Names for pages and files."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.model.slug import is_slug, natural, same_name, slug, slugs


def test_a_plain_name_is_its_own_slug() -> None:
    """Letters, digits, `.`, `_`, `-`, as part numbers have them."""
    for name in ("LC-0440", "88-1203-04", "0123", "a_b.c", "Zoom-2-adapter-0.5"):
        assert slug(name) == name


@pytest.mark.parametrize("name", ["CON", "con", "aux.txt", "NUL.2", "Com1", "lpt9.x.y", "part.", "-a", ".a", "", "a b"])
def test_a_name_that_a_system_refuses_gets_another(name: str) -> None:
    """Reserved on Windows, a final dot, a dash or dot in front, a blank, nothing at all."""
    assert not is_slug(name)
    assert is_slug(slug(name))


def test_other_letters_become_plain_ones_with_six_digits_of_a_digest() -> None:
    """The digits are those that `printf Größe | sha256sum` begins with."""
    assert slug("Größe") == "Groe-aedc3f"
    assert re.fullmatch("x-[0-9a-f]{6}", slug("部品"))


def test_both_forms_of_an_accent_give_one_slug() -> None:
    """macOS writes them apart, the others together."""
    assert slug("Gro\u0308sse") == slug("Gr\u00f6sse")


def test_names_that_a_disk_cannot_tell_apart_are_the_same() -> None:
    """By capitals, by the form of an accent, by a sharp s."""
    assert same_name("P-100A") == same_name("p-100a")
    assert same_name("Gro\u0308") == same_name("GR\u00d6")
    assert same_name("P-100a") != same_name("P-100b")


def test_names_sort_as_a_person_counts() -> None:
    """Numbers by their value, then by the name itself."""
    names = ["c10", "c2", "c1b", "C1a", "1", "01", "2026-3", "2026-12", "c"]
    assert sorted(names, key=natural) == ["01", "1", "2026-3", "2026-12", "c", "C1a", "c1b", "c2", "c10"]


def test_names_come_in_the_order_of_their_words_and_numbers() -> None:
    """As tuples of these would: a key is one text, so that a word's end and a number's length have to come first."""
    names = ["", "0", "00", "1", "a", "a0", "a00b", "a1", "a1-", "a1.", "a1a", "a9z", "a10", "a-1", "a b", "b", "é2"]
    by_words = sorted(names, key=lambda name: (_words(name), name))
    assert sorted(names, key=natural) == by_words


def _words(name: str) -> list[str | tuple[int, str]]:
    words = re.split(r"([0-9]+)", same_name(name))
    return [(len(each.lstrip("0")), each.lstrip("0")) if at % 2 else each for at, each in enumerate(words)]


@settings(deadline=None)
@given(st.text())
def test_every_name_has_a_slug_that_is_its_own(name: str) -> None:
    """Short, plain, allowed everywhere, and made once."""
    made = slug(name)
    assert is_slug(made) and slug(made) == made
    assert made == name or len(made) <= 67


@settings(deadline=None)
@given(st.lists(st.text()))
def test_any_names_can_be_sorted(names: list[str]) -> None:
    """Numbers and words are never compared with each other."""
    backwards = names[::-1]
    assert sorted(names, key=natural) == sorted(backwards, key=natural)


def test_a_very_long_name_is_no_slug_but_has_a_short_one() -> None:
    """With an ending behind it, it would be longer than file systems take."""
    name = "n" * 244
    assert not is_slug(name)
    assert len(slug(name)) < 80
    assert is_slug("n" * 120)


def test_names_that_other_systems_take_for_one_have_slugs_that_they_tell_apart() -> None:
    """By the case of letters or by how an umlaut is written; every other name keeps its slug."""
    names = ["P-100a", "P-100A", "P-200", "B\u00f6", "Bo\u0308"]
    found = slugs(names)
    assert len({same_name(each) for each in found.values()}) == len(names)
    assert found["P-200"] == "P-200"
    assert found["P-100a"].startswith("P-100a-")
    assert all(is_slug(each) for each in found.values())
