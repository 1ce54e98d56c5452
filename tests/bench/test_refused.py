"""What the bench refuses is said in the language of the page that asked; each refusal is known in every language."""

import ast
import re
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

import portal.bench
from portal.bench.index import key_of
from portal.bench.page import LANGUAGES
from portal.bench.refused import Refused
from portal.site.words import Speaker, po_files
from tests.bench.conftest import Client, vestige
from tests.bench.test_attack import BODIES

FOLDER = Path(portal.bench.__file__).parent
AT_THE_START = {"run.py", "state.py"}
"""What they refuse is said on the terminal before there is a page."""
TRIAL_KEY = key_of("M-001/T1")
PASSED_ON = {"{text}", "{what}"}
"""Words of other rooms' rules, which the bench passes on as they are."""


def keys(path: Path) -> set[str]:
    """Every key of a refusal that a module says."""
    return set(re.findall(r'"(refused\.[a-z0-9_]+)"', path.read_text(encoding="utf-8")))


def words(language: str) -> dict[str, str]:
    """The refusals of a language."""
    (path,) = (each for each in po_files(language) if each.name == "refused.po")
    with path.open("rb") as file:
        return {str(each.id): str(each.string) for each in read_po(file, locale=language) if each.id}


def test_the_bench_refuses_by_keys_only() -> None:
    """A sentence written at the spot would be English whoever reads it."""
    for path in sorted(FOLDER.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name) or path.name in AT_THE_START:
                continue
            if node.func.id in ("PortalError", "NotThere", "Refused"):
                first = node.args[0]
                spoken = ast.unparse(first).startswith(("speaker.text(", "key", "error"))
                by_key = isinstance(first, ast.Constant) and str(first.value).startswith("refused.")
                assert by_key or spoken, f"{path.name}:{node.lineno}: {ast.unparse(first)}"


def test_every_refusal_is_known_in_every_language_and_none_is_left_over() -> None:
    """German ones aren't English ones, but for what is passed on."""
    said = set().union(*(keys(path) for path in FOLDER.glob("*.py")))
    english = words("en")
    assert said == set(english)
    for language in LANGUAGES:
        own = words(language)
        assert set(own) == said
        if language != "en":
            same = {key for key in said if own[key] == english[key] and english[key] not in PASSED_ON}
            assert same == set()


def test_a_refusal_says_the_same_in_both_languages() -> None:
    """The values stand in both, without marks of direction."""
    error = Refused("refused.replaced", hint="refused.open_again", picture="c1.jpg")
    assert str(error) == "c1.jpg was replaced by another picture since it was opened here"
    said, hint = error.said(Speaker("de", "mm", lambda defect: defect))
    assert said == "c1.jpg wurde durch ein anderes Bild ersetzt, seit es hier geöffnet wurde"
    assert hint == "nochmals öffnen und auf dem zeichnen, was es jetzt zeigt"


@pytest.mark.parametrize(
    ("path", "changes", "status", "said"),
    [
        ("/api/looked", {"trial": TRIAL_KEY, "by": "nobody"}, 422, "steht nicht unter `people`"),
        ("/api/looked", {"trial": TRIAL_KEY, "by": "first-inspector", "cavity": "9"}, 422, "keine laufende Kavität"),
        ("/api/check", {"points": "", "pitch": "10"}, 422, "`10` ist keine Länge: eine Zahl mit Einheit"),
        ("/api/check", {"points": "1,1", "length": "1 mm"}, 422, "zwischen zwei Punkten"),
        ("/api/measure", {"picture": "0" * 20}, 404, "dieses Bild gibt es nicht"),
        ("/api/measure", {"finding": vestige("1.00,2.00 9000.00,2.00")}, 422, "ein Punkt liegt außerhalb des Bildes"),
        ("/api/measure", {"number": "x"}, 400, "die Anfrage ist nicht lesbar"),
    ],
)
def test_a_german_page_is_refused_in_german(
    client: Client, path: str, changes: dict[str, object], status: int, said: str
) -> None:
    """As it asks for."""
    answer = client.post(f"{path}?language=de", BODIES[path] | changes)
    assert answer.status == status and said in answer.data["error"], answer.data
