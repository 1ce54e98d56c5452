"""What a site's folder says of the last build: read a line at a time, by older and newer builds alike."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from portal.tasks.manifest import NAME, Data, Manifest, any_picture_changed, load, save

SOURCES = [f"{number:064x}" for number in range(30)]


def _manifest() -> Manifest:
    inputs = {"catalog.yaml": (120, 1_700_000_000_123_456_789), "moulds/a\tb \u00fc.yaml": (3, 5)}
    return Manifest("shop", {"version": "1"}, 7, inputs, outputs=["a.html", "b\n.html"], said="two\nlines")


def _facts() -> Iterator[tuple[str, Data]]:
    return ((f"images/{each}.jpg", {"sha256": each, "masks": []}) for each in SOURCES)


def _derived(size: int = 0) -> Iterator[tuple[str, Data]]:
    return ((f"6/{each}/whole/{divide}", {"bytes": size + divide}) for each in SOURCES for divide in (1, 2, 8))


def test_a_manifest_is_read_as_it_was_written(tmp_path: Path) -> None:
    """Stamps, outputs, sentences, and of each picture what is known, in any order of asking."""
    save(tmp_path, _manifest(), facts=_facts(), derived=_derived())
    known = load(tmp_path)
    assert known is not None
    want = _manifest()
    assert (known.inputs, known.outputs, known.said, known.options) == (
        want.inputs,
        want.outputs,
        want.said,
        want.options,
    )
    assert dict(known.facts) == dict(_facts()) and dict(known.derived) == dict(_derived())
    assert [known.derived[key] for key, _ in reversed([*_derived()])] == [each for _, each in reversed([*_derived()])]
    assert len(known.derived) == 3 * len(SOURCES) and known.derived.get("6/none/whole/1") is None
    assert known.derived.get(f"6/{SOURCES[0]}/whole/4") is None and "images/none.jpg" not in known.facts


def test_of_a_thing_that_is_told_twice_the_last_holds(tmp_path: Path) -> None:
    """As where parts hold and others are drawn that show the same picture."""
    twice = [*_derived(), *_derived(size=100)]
    save(tmp_path, _manifest(), facts=(), derived=twice)
    known = load(tmp_path)
    assert known is not None and dict(known.derived) == dict(_derived(size=100))


def test_a_manifest_of_one_line_as_older_builds_left_it_is_read(tmp_path: Path) -> None:
    """So that their site is still known as ours."""
    stamps = {file: list(stamp) for file, stamp in _manifest().inputs.items()}
    old = vars(_manifest()) | {"inputs": stamps, "facts": dict(_facts()), "derived": dict(_derived())}
    (tmp_path / NAME).write_text(json.dumps(old), encoding="utf-8")
    known = load(tmp_path)
    assert known is not None and known.inputs == _manifest().inputs and known.outputs == _manifest().outputs
    assert dict(known.facts) == dict(_facts()) and dict(known.derived) == dict(_derived())


def test_what_another_build_wrote_meanwhile_is_not_taken_for_what_was_there(tmp_path: Path) -> None:
    """Where a line was another one stands by now: then nothing is known, and it is made again."""
    save(tmp_path, _manifest(), facts=_facts(), derived=_derived())
    known = load(tmp_path)
    assert known is not None
    moved = Manifest("shop", {"version": "1 and longer"}, 7)
    save(tmp_path, moved, facts=(), derived=_derived(size=100))
    for file, _ in _facts():
        assert known.facts.get(file) is None
    assert {each["bytes"] for key, _ in _derived() if (each := known.derived.get(key))} <= {101, 102, 108}
    (tmp_path / NAME).unlink()
    assert known.facts.get(f"images/{SOURCES[0]}.jpg") is None


@pytest.mark.parametrize("harm", ["", "{}\n", "[]\n", "nothing\n", None])
def test_a_manifest_that_is_harmed_is_none(harm: str | None, tmp_path: Path) -> None:
    """Empty, of other things, cut within a line."""
    save(tmp_path, _manifest(), facts=_facts(), derived=_derived())
    whole = (tmp_path / NAME).read_text(encoding="utf-8")
    cut = whole[: whole.index("catalog.yaml") + 3]
    (tmp_path / NAME).write_text(cut if harm is None else harm, encoding="utf-8")
    assert load(tmp_path) is None


def test_only_new_and_changed_pictures_and_tags_may_need_derived_files() -> None:
    """Not a class's text, and not what went."""
    tag, text = "moulds/M-1/trials/T1/tags/a.jpg.yaml", "defects/speck.md"
    known = Manifest("shop", {}, 1, inputs={tag: (1, 2), text: (1, 2)})
    assert not any_picture_changed(known, {tag: (1, 2), text: (5, 6)})
    assert not any_picture_changed(known, {text: (1, 2)})
    assert any_picture_changed(known, {tag: (1, 3), text: (1, 2)})
    assert any_picture_changed(known, {tag: (1, 2), "moulds/M-1/trials/T1/images/b.jpg": (1, 2)})
