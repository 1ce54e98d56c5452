"""Keeps a person's text from turning the text around it: right-to-left names, stray direction marks."""

import unicodedata

from portal.model.say import Say, Several, Value

_MARKS = dict.fromkeys(map(ord, "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"))
_RIGHT_TO_LEFT = {"R", "AL", "AN"}
FSI, PDI = "\u2068", "\u2069"


def isolated(text: str) -> str:
    """The text without invisible direction marks, set apart where it holds right-to-left letters."""
    if text.isascii():  # most names and all numbers
        return text
    plain = text.translate(_MARKS)
    turns = any(unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT for letter in plain)
    return f"{FSI}{plain}{PDI}" if turns else plain


def isolated_value(value: Value) -> Value:
    """The same of every text within a value that will become part of a sentence."""
    match value:
        case str():
            return isolated(value)
        case Say():
            return isolated_say(value)
        case Several():
            return Several(tuple(isolated_value(each) for each in value.items))
        case _:
            return value


def isolated_say(say: Say) -> Say:
    """The same of every text within a sentence."""
    return Say(say.key, tuple((name, isolated_value(each)) for name, each in say.values))
