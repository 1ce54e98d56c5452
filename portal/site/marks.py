"""The keys of verdict words, and the worst of several."""

from collections.abc import Iterable

from portal.model.say import Say
from portal.model.terms import VerdictWord


def word_key(word: VerdictWord) -> str:
    """The word as part of a key or of a class: `does-not-conform`."""
    return word.value.replace(" ", "-")


def word_say(word: VerdictWord) -> Say:
    """The word in the reader's language."""
    return Say.of(f"word.{word_key(word)}")


def worst_of(words: Iterable[VerdictWord]) -> VerdictWord | None:
    """The worst word, or None of none."""
    return max(words, key=lambda word: word.badness, default=None)
