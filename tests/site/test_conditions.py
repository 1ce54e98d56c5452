"""Conditions of looking in the reader's language."""

import pytest

from portal.model.standard import Condition
from portal.site.criteria import condition_text, light_words, state_words
from portal.site.words import Speaker

GERMAN = Speaker("de", "mm", str)


def a_condition(light: str) -> Condition:
    """Under a stereo microscope at 20x."""
    fields = {"instrument": "stereo microscope", "magnification": "20", "light": {"kind": light}, "state": "blown"}
    return Condition.model_validate(fields)


@pytest.mark.parametrize(
    ("light", "told"),
    [
        ("ring", "Ringlicht"),
        ("low-angle", "Streiflicht"),
        ("coaxial", "Koaxiallicht"),
        ("back", "Durchlicht"),
        ("dark field", "Dunkelfeld"),
        ("crossed polars", "gekreuzte Polarisatoren"),
        ("Tageslicht am Fenster", "Tageslicht am Fenster"),
    ],
)
def test_the_light_is_told_in_the_readers_language(light: str, told: str) -> None:
    """The words that the manual lists; what somebody wrote otherwise stays as it was written."""
    assert GERMAN.value(light_words(light)) == told
    assert GERMAN.say(condition_text(a_condition(light), "s-20")) == f"s-20 (20×, Licht: {told})"


@pytest.mark.parametrize(
    ("state", "told"),
    [("as moulded", "wie entformt"), ("blown", "abgeblasen"), ("wiped", "abgewischt"), ("trocken", "trocken")],
)
def test_the_state_of_the_piece_is_told_too(state: str, told: str) -> None:
    """As moulded, blown, wiped, or as it was written."""
    assert GERMAN.value(state_words(state)) == told
