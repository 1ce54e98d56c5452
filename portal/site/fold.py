"""Letters as a reader who looks something up takes them: no case, no accents, `ß` as `ss`."""

import unicodedata

_PLAIN = str.maketrans({"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "ł": "l", "þ": "th", "ı": "i"})


def folded(text: str) -> str:
    """The text as it is sorted: `Größe` as `grosse`."""
    if text.isascii():  # most names: nothing in them is taken apart
        return text.lower()
    split = unicodedata.normalize("NFKD", text.casefold()).translate(_PLAIN)
    return "".join(letter for letter in split if not unicodedata.combining(letter))


def initial(text: str) -> str:
    """The heading under which a text stands: a Latin letter, `0–9`, or `…` for every other script."""
    first = next((letter for letter in folded(text) if letter.isalnum()), "")
    if first.isdigit():
        return "0–9"
    return first.upper() if "a" <= first <= "z" else "…"
