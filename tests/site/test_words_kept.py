"""Message catalogues are compiled once for the very same texts; a changed word is said, a harmed one isn't."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from portal import resources
from portal.site import words
from portal.site.words import Speaker


@pytest.fixture
def texts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The English texts in a folder of their own, with a cache of their own; what this process knows is forgotten."""
    shutil.copytree(resources.templates() / "locale", tmp_path / "templates" / "locale")
    monkeypatch.setattr(resources, "templates", lambda: tmp_path / "templates")
    monkeypatch.setattr(resources, "cache_folder", lambda: tmp_path / "cache")
    words._translations.cache_clear()
    yield tmp_path / "templates/locale/en/pages.po"
    words._translations.cache_clear()


@pytest.fixture
def compiled(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was compiled, since it wasn't kept."""
    found: list[str] = []
    whole = words._compiled

    def noted(language: str, texts: list[bytes]) -> bytes:
        found.append(language)
        return whole(language, texts)

    monkeypatch.setattr(words, "_compiled", noted)
    return found


def _said(key: str, language: str = "en") -> str:
    words._translations.cache_clear()
    return Speaker(language, "mm", str).text(key)


def test_the_same_texts_are_compiled_once(texts: Path, compiled: list[str]) -> None:
    """Of each language."""
    assert texts.is_file()
    said = [(_said("search.heading"), _said("search.heading", "de")) for _ in range(2)]
    assert said[0] == said[1] and said[0][0] != said[0][1]
    assert compiled == ["en", "de"]


def test_a_changed_word_is_said(texts: Path) -> None:
    """Also one of the same length."""
    before = _said("search.heading")
    after = before.swapcase()
    text = texts.read_text(encoding="utf-8")
    assert f'msgid "search.heading"\nmsgstr "{before}"' in text
    texts.write_text(
        text.replace(f'msgid "search.heading"\nmsgstr "{before}"', f'msgid "search.heading"\nmsgstr "{after}"'),
        encoding="utf-8",
    )
    assert _said("search.heading") == after


def test_what_was_harmed_is_compiled_anew(texts: Path, compiled: list[str], tmp_path: Path) -> None:
    """A letter that came to be another, and a file that was cut."""
    said = _said("search.heading")
    (file,) = (tmp_path / "cache/words").iterdir()
    whole = file.read_bytes()
    for harmed in (whole.replace(said.encode(), said.swapcase().encode()), whole[:-9], b""):
        assert harmed != whole
        file.write_bytes(harmed)
        assert _said("search.heading") == said
        assert file.read_bytes() == whole
    assert len(compiled) == 4 and texts.is_file()


def test_nothing_fails_where_nothing_can_be_kept(texts: Path, tmp_path: Path) -> None:
    """Such as where a file lies in place of the folder."""
    (tmp_path / "cache").write_text("", encoding="utf-8")
    assert _said("search.heading") and texts.is_file()
