"""Every key that measuring uses has its sentence."""

import re
from pathlib import Path

import pytest

import portal.measure
from portal.model.terms import Characteristic, SeenAs, ShapeKind

ROOT = Path(portal.measure.__file__).parent
PO = ROOT.parent.parent / "site_templates" / "locale" / "en" / "measure.po"
TERMS = {
    *("scale", "return", "parallax", "perspective", "distortion", "pointing", "pixel", "edge", "surface"),
    *("base", "greatest", "roughness", "chords", "instrument", "repeats"),
    *("marks", "light", "direction", "certificate", "square"),
}


def messages() -> dict[str, str]:
    """Keys with their sentence (the singular one) of the message catalogue."""
    found = re.findall(r'^msgid "(.+)"\n(?:msgid_plural ".+"\n)?msgstr(?:\[0\])? "(.*)"$', PO.read_text("utf-8"), re.M)
    assert len(found) == len(dict(found)), "a key stands twice"
    return dict(found)


def used() -> set[str]:
    """Keys below `measure.` that the code spells out."""
    text = "\n".join(path.read_text("utf-8") for path in [*ROOT.glob("*.py"), ROOT.parent / "assess" / "scales.py"])
    named = set(re.findall(r'"(measure\.[a-z][a-z.-]*[a-z])"', text))
    unclear = {f"measure.{key}" for key in re.findall(r'NotDrawn\("([a-z-]+)"', text)}
    return named | unclear | {f"measure.no-scale.{key}" for key in re.findall(r'no_scale\(\s*f?"([a-z{}-]+)"', text)}


def test_every_key_has_a_sentence() -> None:
    """Those of the code, of the closed lists, and of the budget's terms."""
    needed = used() | {f"measure.seen-as.{each}" for each in SeenAs} | {f"term.{each}" for each in TERMS}
    needed |= {f"characteristic.{each}" for each in Characteristic} | {f"shape.{each}" for each in ShapeKind}
    assert needed - set(messages()) == set()
    assert all(messages().values())


def test_no_sentence_is_left_over() -> None:
    """A key that nobody uses any more goes; the rule of signs is told to people only."""
    mine = {key for key in messages() if key.startswith("measure.")}
    assert mine - used() - {f"measure.seen-as.{each}" for each in SeenAs} == {"measure.sign"}


def test_every_term_of_the_code_is_listed() -> None:
    """Names of terms in the code are those of the catalogue."""
    text = "\n".join(path.read_text("utf-8") for path in ROOT.glob("*.py"))
    assert set(re.findall(r'Term\(\s*"([a-z]+)"', text)) == TERMS


@pytest.mark.parametrize("name", ["not-in-this-view", "no-view", "zone-not-shown"])
def test_a_refusal_names_characteristic_and_zone(name: str) -> None:
    """So that the reader knows what to photograph instead."""
    sentence = messages()[f"measure.{name}"]
    assert "{characteristic}" in sentence and "{zone}" in sentence
