"""Why a picture can't be shown, in the words of the page's language, with what to do."""

import ast
from pathlib import Path

import pytest

from portal.model.picture import PictureUnreadable
from portal.site.words import Speaker

ENGLISH, GERMAN = (Speaker(language, "mm", str) for language in ("en", "de"))
SOURCES = Path(__file__).resolve().parents[2] / "portal/pictures"
OF_A_FORM = (
    *("which isn't read", "a form that isn't read", "a way that isn't read", "movie without", "this is no movie"),
    *("are read", "neither be coded anew nor copied", "is to be blacked out", "a kept picture"),
)
"""What reasons of a form that isn't read have in them; the last is never on a page."""


@pytest.mark.parametrize(
    ("reason", "german"),
    [
        ("damaged file: ends early", "beschädigt oder unvollständig; bitte noch einmal kopieren"),
        ("damaged file: its header says 0x0 pixels", "beschädigt oder unvollständig"),
        ("can't be opened: Permission denied", "konnte nicht gelesen werden; bitte noch einmal versuchen"),
        ("the file changed while it was being read", "konnte nicht gelesen werden"),
        (
            "its header says 60000x60000 pixels, 3600 megapixels, more than the 250 that are read",
            "größer, als hier gelesen wird; bitte kleiner",
        ),
        ("the file is larger than 4 GB", "größer, als hier gelesen wird"),
        ("its header couldn't be read within 60 s and the memory at hand", "zu viel Zeit oder Speicher"),
        ("not enough memory to read it", "zu viel Zeit oder Speicher"),
        ("this is a PDF document, which isn't read", "dieser Art wird hier nicht gelesen; bitte als TIFF"),
    ],
)
def test_a_german_page_tells_it_in_german(reason: str, german: str) -> None:
    """The program's own reason stands behind it, to be looked up; an English page says it and what to do."""
    said = PictureUnreadable(reason).said
    assert german in GERMAN.say(said) and GERMAN.say(said).endswith(f"({reason})")
    assert ENGLISH.say(said).startswith(f"{reason}; ")


def reasons() -> list[str]:
    """Every sentence that is given as a reason, what is put into it as a number; of one with a name, what it names."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in sorted(SOURCES.glob("*.py"))]
    every = [each for tree in trees for each in ast.walk(tree)]
    named = {
        target.id: each.value
        for each in every
        if isinstance(each, ast.Assign)
        for target in each.targets
        if isinstance(target, ast.Name)
    }
    found = []
    for call in every:
        names = ("PortalError", "PictureUnreadable")
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in names and call.args:
            text = call.args[0]
            if ast.unparse(text) == "str(error)":  # a reason that was told by one of these
                continue
            found.append(sentence(named.get(text.id, text) if isinstance(text, ast.Name) else text))
    return found


def sentence(given: ast.expr) -> str:
    """A sentence of the program's source; fails where it is none, so that no reason goes by unseen."""
    if isinstance(given, ast.JoinedStr):
        return "".join(str(each.value) if isinstance(each, ast.Constant) else "9" for each in given.values)
    assert isinstance(given, ast.Constant) and isinstance(given.value, str), ast.unparse(given)
    return given.value


def test_no_reason_is_taken_for_a_form_that_isnt_read_by_mistake() -> None:
    """Whatever fits no other pattern would be; here each has to say so itself."""
    assert len(reasons()) > 30
    others = [each for each in reasons() if PictureUnreadable(each).said.key == "picture.unreadable.form"]
    assert [each for each in others if not any(words in each for words in OF_A_FORM)] == []
