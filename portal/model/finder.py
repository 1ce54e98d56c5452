"""Words that must not stand in a text, and how they are found however they are spelt."""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

_CHUNK = re.compile(r"[^\W_]+")
_UNSPACED = re.compile("[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u2e80-\ua4cf\uac00-\ud7af\uf900-\ufaff]")
"""Scripts that are written without blanks between words."""


@dataclass(frozen=True, slots=True)
class Stranger:
    """A word of another customer."""

    text: str
    what: str
    """Whose it is, in plain words."""
    file: str
    field: tuple[str, ...] = ()

    @property
    def is_number(self) -> bool:
        """Whether it is digits only, as many a coordinate is."""
        return all(chunk.isdigit() for chunk in chunks(self.text))


def chunks(text: str) -> tuple[str, ...]:
    """The words of a text as they are compared.

    NFKC, casefolded; invisible letters and marks on letters are left out, anything else than letters and digits parts
    one word from the next.
    """
    return tuple(_CHUNK.findall(folded(text)))


def folded(text: str) -> str:
    """A text in which spellings that a reader takes for one another are one."""
    if text.isascii():
        return text.casefold()
    composed = unicodedata.normalize("NFKC", text).casefold()
    plain = unicodedata.normalize("NFKD", composed)
    return "".join(each for each in plain if unicodedata.category(each) not in {"Cf", "Mn"})


class Finder:
    """Finds strangers in texts; made once, asked for every page."""

    def __init__(self, wanted: Iterable[Stranger]) -> None:
        self._by_first: dict[str, list[tuple[tuple[str, ...], Stranger]]] = defaultdict(list)
        self._within: list[tuple[str, Stranger]] = []
        for each in wanted:
            words = chunks(each.text)
            if _UNSPACED.search(each.text):
                self._within.append(("".join(words), each))
            for spelt in {words, ("".join(words),)}:
                self._by_first[spelt[0]].append((spelt, each))

    def find(self, text: str, *, numbers: bool = True) -> Iterator[Stranger]:
        """Every stranger that a text holds, each once; `numbers`: those that are digits only, too."""
        words = chunks(text)
        found: dict[Stranger, None] = {}
        for index, word in enumerate(words):
            for spelt, stranger in self._by_first.get(word, ()):
                if words[index : index + len(spelt)] == spelt and (numbers or not stranger.is_number):
                    found[stranger] = None
        if self._within:
            joined = "".join(words)
            found.update({stranger: None for spelt, stranger in self._within if spelt in joined})
        yield from found
