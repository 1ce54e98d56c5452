"""The message catalogues of every language, held against the English ones."""

import re
from collections.abc import Mapping
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

from portal import resources
from portal.model.logstate import Owing

LOCALE = resources.templates() / "locale"
OTHERS = sorted(each.parent.name + "/" + each.name for each in LOCALE.glob("*/*.po") if each.parent.name != "en")
SAME = {
    "{angle}, u = {u}": "a symbol of the trade",
    "Name": "the same word in German",
    "Review": "how a reply names the review; `portal/log/reply.py` knows this word",
    "Revision": "the same word in German",
    "Zone": "the same word in German",
    "Standard": "the same word in German",
}
"""Messages that may be the English ones, by their text, with the reason."""
_VALUES = re.compile(r"\{\w+\}")


Messages = Mapping[str, tuple[str, ...]]


def messages(path: Path) -> Messages:
    """Every message of a catalogue in its order, with all its plural forms; a message of no text is empty."""
    with path.open("rb") as file:
        found = [each for each in read_po(file, locale=path.parent.name, abort_invalid=True) if each.id]
    return {
        each.id if isinstance(each.id, str) else each.id[0]: (each.string or "",)
        if isinstance(each.string, str)
        else tuple(each.string or ())
        for each in found
    }


def differences(english: Messages, other: Messages) -> list[str]:
    """What a catalogue lacks, has too much, or fills in with other values."""
    found = [f"{key}: missing" for key in english.keys() - other.keys()]
    found += [f"{key}: not in English" for key in other.keys() - english.keys()]
    for key in english.keys() & other.keys():
        ours, theirs = english[key], other[key]
        if len(ours) != len(theirs):
            found.append(f"{key}: {len(theirs)} forms for {len(ours)}")
        for one, two in zip(ours, theirs, strict=False):
            if not two.strip():
                found.append(f"{key}: empty")
            elif set(_VALUES.findall(one)) != set(_VALUES.findall(two)):
                found.append(f"{key}: other values in {two}")
            elif one == two and re.search(r"\w", _VALUES.sub("", one)) and one not in SAME:
                found.append(f"{key}: still English: {two}")
    return sorted(found)


@pytest.mark.parametrize("room", OTHERS)
def test_a_language_says_all_that_english_says_with_the_same_values(room: str) -> None:
    """Same keys, as many forms, the same values filled in, nothing empty or left in English."""
    english, other = messages(LOCALE / "en" / Path(room).name), messages(LOCALE / room)
    assert differences(english, other) == []


def test_each_kind_of_difference_is_found() -> None:
    """A catalogue with one fault of each kind."""
    english = {"a": ("Part {n}",), "b": ("one", "many"), "c": ("Name",), "d": ("open",), "e": ("{n}",), "g": ("x",)}
    other = {"a": ("Teil",), "b": ("eins",), "c": ("Name",), "d": ("open",), "e": ("{n}",), "f": ("y",), "g": (" ",)}
    assert [each.partition(":")[0] for each in differences(english, other)] == ["a", "b", "d", "f", "g"]


@pytest.mark.parametrize("room", OTHERS)
def test_no_message_shouts(room: str) -> None:
    """Page text is calm: no exclamation mark in any language."""
    assert [key for key, forms in messages(LOCALE / room).items() if any("!" in each for each in forms)] == []


_MARKUP = re.compile(
    r"\{% block kind %\}.*?\{% endblock %\}|\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}|<!--.*?-->|<[^>]*>", re.DOTALL
)


@pytest.mark.parametrize("template", sorted(each.name for each in resources.templates().glob("*.j2")))
def test_no_template_says_a_word_of_its_own(template: str) -> None:
    """Every word of a page is a message, what is heard included; what is left of a template is `x`, `y`, `A`, signs."""
    text = (resources.templates() / template).read_text(encoding="utf-8")
    assert re.findall(r"[^\W\d_]{2,}", _MARKUP.sub(" ", text)) == []
    assert re.findall(r'(?:aria-label|alt|title|placeholder)="[^"{]*[a-z]', text) == []


@pytest.mark.parametrize("script", sorted(each.name for each in resources.templates().glob("*.js")))
def test_no_script_says_a_sentence_of_its_own(script: str) -> None:
    """What a script says it is given by its page: no text of it begins as a sentence."""
    text = (resources.templates() / script).read_text(encoding="utf-8")
    code = re.sub(r"/\*.*?\*/|//[^\n]*", "", text, flags=re.DOTALL)
    said = [each for pair in re.findall(r'"([^"\n]*)"|\'([^\'\n]*)\'', code) for each in pair]
    assert [each for each in said if re.match(r"[A-Z][a-z]+ [a-z]+", each)] == []


def test_every_thing_that_may_be_owed_has_its_words() -> None:
    """The key is made of its name."""
    wanted = {f"log.owed.{each.name.lower().replace('_', '-')}" for each in Owing}
    assert wanted <= messages(LOCALE / "en" / "log.po").keys()
