"""Puts sentences into words: the message catalogues, and quantities in the reader's unit."""

import gettext
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from datetime import date
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from io import BytesIO
from pathlib import Path
from threading import get_ident
from typing import TYPE_CHECKING

from babel.dates import format_date
from babel.lists import format_list
from babel.numbers import get_decimal_symbol

from portal import resources
from portal.model import show
from portal.model.finder import chunks
from portal.model.say import Chance, DefectTerm, Figure, Quantity, Say, Several, Value
from portal.model.scalars import Area, Length

if TYPE_CHECKING:
    from babel.messages.catalog import Message

_SUM = 32
"""Bytes of a file's sum, which stands before it."""
_POINT = re.compile(r"\.(?=[0-9])")


class UnknownMessage(KeyError):
    """A key that no message catalogue of the language holds; a mistake in the program, not of the user."""


def po_files(language: str) -> tuple[Path, ...]:
    """The message catalogues of a language, one for each room."""
    return tuple(sorted((resources.templates() / "locale" / language).glob("*.po")))


@cache
def speaks(language: str) -> bool:
    """Whether a language has the message catalogue of every room, so that no page of it is half in another."""
    return {each.name for each in po_files(language)} >= {each.name for each in po_files("en")}


@cache
def _translations(language: str) -> gettext.GNUTranslations:
    """All message catalogues of a language as one, kept as it was compiled from the very same texts."""
    texts = [path.read_bytes() for path in po_files(language)]
    made = sha256(f"{language} {version('babel')} {[len(each) for each in texts]}".encode())
    for text in texts:
        made.update(text)
    kept = resources.cache_folder() / "words" / f"{made.hexdigest()[:40]}.mo"
    compiled = _kept(kept)
    if compiled is None:
        compiled = _compiled(language, texts)
        _keep(kept, compiled)
    return gettext.GNUTranslations(BytesIO(compiled))


def _compiled(language: str, texts: Iterable[bytes]) -> bytes:
    from babel.messages.catalog import Catalog  # what compiles is needed once for each version of the texts
    from babel.messages.mofile import write_mo

    merged = Catalog(locale=language)
    for text in texts:
        for message in _read_po(BytesIO(text), language):
            if message.id:
                merged.add(message.id, message.string)
    compiled = BytesIO()
    write_mo(compiled, merged)
    return compiled.getvalue()


def _read_po(text: BytesIO, language: str) -> Iterator["Message"]:
    from babel.messages.pofile import read_po

    yield from read_po(text, locale=language, abort_invalid=True)


def _kept(file: Path) -> bytes | None:
    """What was kept, if it is whole: a word that was harmed would be said."""
    try:
        said = file.read_bytes()
    except OSError:
        return None
    return said[_SUM:] if sha256(said[_SUM:]).digest() == said[:_SUM] else None


def _keep(file: Path, compiled: bytes) -> None:
    """Whole or not at all; where nothing can be kept it is compiled again each time."""
    half = file.with_name(f"{file.name}.{os.getpid()}.{get_ident()}")
    with suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        half.write_bytes(sha256(compiled).digest() + compiled)
        half.replace(file)


@cache
def vocabulary(language: str) -> frozenset[str]:
    """Every word of the program's own sentences, as words are compared."""
    return frozenset(
        word
        for path in po_files(language)
        for message in _read_po(BytesIO(path.read_bytes()), language)
        for text in (message.string if isinstance(message.string, (tuple, list)) else (message.string,))
        for word in chunks(text or "")
    )


def locale_of(language: str) -> str:
    """Whose dates and lists a language is written with: English ones are never American."""
    return "en_GB" if language == "en" else language


class Speaker:
    """Says things in one language and one unit of length (`mm` or `in`)."""

    def __init__(self, language: str, unit: str, terms: Callable[[str], str]) -> None:
        self.language = language
        self.unit = unit
        self._terms = terms
        self._words = _translations(language)

    def say(self, say: Say) -> str:
        """The sentence in words."""
        return self.text(say.key, **dict(say.values))

    def text(self, key: str, /, **values: Value) -> str:
        """The message of that key with its values filled in; a whole number `n` chooses singular or plural."""
        n = values.get("n")
        found = self._words.ngettext(key, key, n) if isinstance(n, int) else key
        if found == key:
            found = self._words.gettext(key)
        if found == key:
            raise UnknownMessage(f"no message `{key}` in language `{self.language}`")
        return found.format_map({name: self.value(value) for name, value in values.items()})

    def knows(self, key: str) -> bool:
        """Whether the language has a message of that key."""
        return self._words.gettext(key) != key or self._words.ngettext(key, key, 1) != key

    def value(self, value: Value) -> str:
        """One value as text."""
        match value:
            case Say():
                return self.say(value)
            case Several():
                return format_list([self.value(item) for item in value.items], locale=locale_of(self.language))
            case DefectTerm():
                return self._terms(value.id)
            case Length():
                return self.number(show.as_agreed(value))
            case Area():
                return self.number(show.area_as_agreed(value))
            case Figure():
                return self.number(value.text)
            case Quantity():
                return self.quantity(value)
            case Chance():
                return show.percent(value.value)
            case date():
                return self.day(value)
            case _:
                return str(value)

    def quantity(self, quantity: Quantity) -> str:
        """A value with its ±, in the unit of what it is held against, else in the reader's."""
        unit = quantity.like.unit if quantity.like else self.unit
        decimals = 0 if quantity.like is None else quantity.like.decimals
        return self.number(
            show.measured(
                quantity.um,
                quantity.expanded_um,
                "mm" if unit in {"cm", "m", "nm"} else unit,
                power=quantity.power,
                against_um=quantity.against_um,
                least_decimals=decimals if quantity.expanded_um is None else 0,
            )
        )

    def about(self, um: float, *, unit: str | None = None, digits: int = 2, power: int = 1) -> str:
        """A value to that many significant digits, in the reader's unit where no other is told."""
        return self.number(show.about(um, unit or self.unit, digits=digits, power=power))

    def number(self, text: str) -> str:
        """Numbers that were written with a decimal point, with the decimal mark of the language."""
        return _POINT.sub(_decimal_mark(self.language), text)

    def day(self, day: date) -> str:
        """A date written out: `4 March 2026`, `4. März 2026`."""
        return format_date(day, format="long", locale=locale_of(self.language))


@cache
def _decimal_mark(language: str) -> str:
    """Asked for with every number of a site, and slow to look up."""
    return get_decimal_symbol(locale_of(language))
