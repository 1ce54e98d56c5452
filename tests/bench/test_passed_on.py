"""What rules of other rooms refuse is said in the language of the page: each of their sentences is known in each."""

import re
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

from portal.bench.index import key_of
from portal.bench.page import LANGUAGES
from portal.bench.passedon import passed_on
from portal.bench.state import Bench
from portal.site.words import Speaker, po_files
from tests import refusals
from tests.bench.conftest import GATE, UNTAGGED, Client, vestige
from tests.bench.test_attack import BODIES
from tests.sayings import GAP

GERMAN = Speaker("de", "mm", lambda defect: defect)


def words(language: str) -> dict[str, str]:
    """What is passed on, by its key."""
    (path,) = (each for each in po_files(language) if each.name == "passed.po")
    with path.open("rb") as file:
        return {str(each.id): str(each.string) for each in read_po(file, locale=language) if each.id}


def plain(text: str) -> str:
    """With a gap wherever a value is filled in."""
    return re.sub(r"\{\w+\}", GAP, text)


def test_each_sentence_in_the_code_is_known_in_every_language_and_none_is_left_over() -> None:
    """Read from the sources of the catalogue's readers, of asking, noting, calibrating, checking, of pictures."""
    said = {each.text: each.where for each in refusals.passed_on()}
    english = words("en")
    known = {plain(text) for text in english.values()}
    assert {text: where for text, where in said.items() if text not in known} == {}, "say it in every passed.po"
    assert sorted(known - set(said)) == [], "no longer said by the program"
    assert len(english) == len(known)
    for language in LANGUAGES:
        own = words(language)
        assert set(own) == set(english)
        same = {key for key, text in own.items() if text == english[key] and re.search(r"\w", plain(text))}
        assert language == "en" or same == set()


def test_each_sentence_is_found_with_its_values() -> None:
    """Filled in as the program does it, however near another sentence is; marks of direction aren't among it."""
    german = words("de")
    for key, text in words("en").items():
        names = re.findall(r"\{(\w+)\}", text)
        values = {name: f"v{number}" for number, name in enumerate(names)}
        assert passed_on(text.format_map(values), GERMAN) == german[key].format_map(values), key
        assert passed_on(text.format_map(values), Speaker("en", "mm", str)) == text.format_map(values)


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("`9` is no cavity of mould `M-1` (1, 2)", "`9` ist keine Kavität des Werkzeugs `M-1` (1, 2)"),
        ("a line needs at least 2 points, found 1", "eine Linie braucht mindestens 2 Punkte, gefunden: 1"),
        ("there is no scope `x`", "es gibt kein Mikroskop `x`"),
        ("`--due`: `x` is not a date; write year-month-day, as `2026-03-04`",
         "`--due`: `x` ist kein Datum; Jahr-Monat-Tag schreiben, etwa `2026-03-04`"),
        ("A. Muster is no project engineer, and only one may ask",
         "A. Muster gehört nicht zu den Projektingenieuren, und nur diese dürfen fragen"),
        ("b.jpg can't be read: this is a PDF document, which isn't read",
         "b.jpg ist nicht lesbar: das ist ein PDF-Dokument; so etwas wird nicht gelesen"),
        ("Input/output error", "Input/output error"),
    ],
)  # fmt: skip
def test_words_within_a_sentence_are_said_too(english: str, german: str) -> None:
    """And what nobody knows stays as it is."""
    assert passed_on(english, GERMAN) == german


SCALE = {"scope": "bench-1", "setting": "zoom-2-adapter-0.5", "picture": key_of(UNTAGGED)}
ASKED = {"finding": "", "spot": "", "by": "first-engineer"}


@pytest.mark.parametrize(
    ("path", "changes", "said", "hint"),
    [
        ("/api/ask", ASKED | {"words": "x", "by": "first-inspector"},
         "gehört nicht zu den Projektingenieuren, und nur diese dürfen fragen", "jemand von diesen soll es tun"),
        ("/api/ask", ASKED | {"words": "Is it?", "due": "2001-01-01"}, "bis zu dem geantwortet werden soll", "heute"),
        ("/api/ask", ASKED | {"words": " "}, "es ist nichts gefragt", ""),
        ("/api/note", ASKED | {"words": " "}, "es ist nichts gesagt", ""),
        ("/api/note", ASKED | {"words": "x", "spot": "x"}, "`x` ist keine Stelle", "x,y in Pixel schreiben"),
        ("/api/check", SCALE | {"scope": "bench-2"}, "es gibt kein Mikroskop `bench-2`", "ist `bench-1` gemeint?"),
        ("/api/check", SCALE | {"points": "x", "length": "1 mm"}, "`x` ist kein Punkt", ""),
        ("/api/check", SCALE | {"points": "", "pitch": "-1 um"}, "ein Teilstrichabstand ist größer als null", ""),
        ("/api/measure", {"finding": vestige("1,2 3")}, "`3` ist kein Punkt", ""),
        ("/api/measure", {"finding": vestige("1,2 3,4") | {"seen": "maybe"}}, "`maybe` ist keines von", ""),
    ],
)  # fmt: skip
def test_a_german_page_is_told_in_german(
    client: Client, path: str, changes: dict[str, object], said: str, hint: str
) -> None:
    """What asking, noting, checking and the catalogue's readers say, with what to do."""
    answer = client.post(f"{path}?language=de", BODIES[path] | changes)
    assert answer.status == 422 and said in answer.data["error"], answer.data
    assert hint in answer.data["hint"], answer.data


def test_what_is_wrong_with_a_reading_is_told_at_its_field_in_german(client: Client) -> None:
    """By the field's path, as in English."""
    gauge = [{"characteristic": "height", "readings": ["1"], "instrument": "x", "u": "1 um"}]
    asked = BODIES["/api/measure"] | {"finding": vestige("1,2 3,4") | {"gauge": gauge}}
    (field,) = client.post("/api/measure?language=de", asked).data["fields"]
    assert field[0].startswith("gauge.0.readings") and "hat keine Einheit" in field[1]


def test_a_picture_that_cant_be_shown_says_why_in_german(client: Client, tmp_path: Path) -> None:
    """The reason and the hint of its reader."""
    path = client.folder / GATE
    content = path.read_bytes()
    path.write_bytes(b"%PDF-1.4 no picture")
    try:
        answer = client.ask(f"/api/picture/{key_of(GATE)}?language=de")
    finally:
        path.write_bytes(content)
    assert "das ist ein PDF-Dokument; so etwas wird nicht gelesen" in answer.data["error"]
    assert answer.data["hint"] == "als TIFF mit 8 oder 16 Bit, PNG oder JPEG speichern"


def test_a_cavity_that_there_isnt_is_refused_in_german(bench: Bench, client: Client) -> None:
    """As `portal check` says it, in the page's language."""
    sight = client.ask(f"/api/picture/{key_of(GATE)}").data
    body = BODIES["/api/save"] | {
        "picture": key_of(GATE), "place": sight["place"] | {"cavity": "9", "piece": ""},
        "place_seen": sight["placeSeen"], "finding": vestige("1,2 3,4"), "by": "first-inspector",
        "id": "K7Q2", "seen": "",
    }  # fmt: skip
    answer = client.post("/api/save?language=de", body)
    assert "cavity: `9` ist keine Kavität des Werkzeugs `M-001` (1, 2)" in answer.data["error"], answer.data
