"""Words are found however they are spelt, as whole words only."""

import pytest

from portal.model.finder import Finder, Stranger


def found(word: str, text: str, *, numbers: bool = True) -> bool:
    """Whether that one word is found in the text."""
    return any(Finder([Stranger(word, "a name", "customers/x.yaml")]).find(text, numbers=numbers))


@pytest.mark.parametrize(
    "text",
    ["OMMERWICK's", "x_ommerwick_y.jpg", "ＯＭＭＥＲＷＩＣＫ", "Om\u00admer\u200bwick", "Ömmerwick", "𝓞mmerwick"],
)
def test_a_word_is_found_in_any_dress(text: str) -> None:
    """Case, width, invisible letters, marks, underscores make no other word of it."""
    assert found("Ommerwick", text)


@pytest.mark.parametrize("text", ["Ommerwickel", "Sommerwick", "ommer wick", "0mmerwick"])
def test_a_part_of_a_longer_word_is_another_word(text: str) -> None:
    """Whole words only."""
    assert not found("Ommerwick", text)


@pytest.mark.parametrize("text", ["55-9901-02", "55 9901 02", "55\u20119901\u201102", "no. 55.9901.02,", "55990102"])
def test_a_number_is_found_with_other_separators_or_none(text: str) -> None:
    """Dashes of every kind, dots, blanks."""
    assert found("55-9901-02", text)


def test_digits_alone_are_not_looked_for_where_coordinates_stand() -> None:
    """A path's points would be full of part numbers."""
    assert found("4711", "as 4711")
    assert not found("4711", "M4711 12", numbers=False)


def test_a_script_without_blanks_is_searched_within_words() -> None:
    """In Chinese or Japanese nothing parts a name from what follows it."""
    assert found("恩玛光学公司", "此件与恩玛光学公司的相同")
