"""What stands behind an answer's letter, cut at the words of the grammar."""

from dataclasses import dataclass

from portal.log.keywords import CONDITIONAL, KEYWORD, PIECES, UNDECIDED, Key, begins_with_form, has_form

_ENDS = " ,;.:–—|-"
_PARTS = (",", ";", ".")
"""What parts free words from a key behind them."""


class NotTheGrammar(ValueError):
    """A line that can't be taken, and why."""


@dataclass(frozen=True, slots=True)
class Fields:
    """The words before the first key, and the value of each key as it was written."""

    before: str
    values: dict[Key, str]

    def get(self, key: Key) -> str | None:
        """A key's value; None where it isn't given."""
        return self.values.get(key)


@dataclass(frozen=True, slots=True)
class _Cut:
    key: Key
    start: int
    value_from: int
    value_to: int | None = None


def fields_of(text: str) -> Fields:
    """Cut a text at its keys; NotTheGrammar where a value isn't what its key takes, or a key stands twice."""
    cuts = _cuts(text)
    values: dict[Key, str] = {}
    for place, cut in enumerate(cuts):
        end = cuts[place + 1].start if place + 1 < len(cuts) else len(text)
        value = text[cut.value_from : cut.value_to or end].strip(_ENDS if not cut.key.is_prose() else " ,;–—|-")
        between = text[cut.value_to : end].strip(_ENDS) if cut.value_to else ""
        _hold(cut.key, value, between, values)
        values[cut.key] = value
    return Fields(text[: cuts[0].start].strip(_ENDS) if cuts else text.strip(_ENDS), values)


def _hold(key: Key, value: str, between: str, values: dict[Key, str]) -> None:
    if key in values:
        raise NotTheGrammar(f"`{key}` stands twice")
    if not value:
        raise NotTheGrammar(f"nothing stands behind `{key}`")
    if between or not has_form(key, value):
        raise NotTheGrammar(f"what stands behind `{key}` isn't clear")
    if key.is_prose() and CONDITIONAL.search(value):
        raise NotTheGrammar("it seems to hold under a condition only")
    if key.is_prose() and UNDECIDED.search(value):
        raise NotTheGrammar("its words say that it isn't decided")
    if key.is_prose() and _names_a_last_day(value):
        raise NotTheGrammar("a day until which it holds stands within free words")


def _names_a_last_day(words: str) -> bool:
    """Whether free words say `until` with a day: how far a decision reaches mustn't be hidden in its reason."""
    found = (match.end() for match in KEYWORD.finditer(words) if match.lastgroup == Key.UNTIL.name)
    return any(begins_with_form(Key.UNTIL, words[end:].lstrip()) for end in found)


def _cuts(text: str) -> list[_Cut]:
    """Where the keys stand; within free words only behind a mark that parts sentences, with a value of its form."""
    found: list[_Cut] = []
    at = 0
    while (cut := _next_cut(text, at, found[-1].key if found else None)) is not None:
        found.append(cut)
        at = cut.value_to or cut.value_from
    return found


def _next_cut(text: str, start: int, within: Key | None) -> _Cut | None:
    candidates = [cut for cut in (_word(text, start, within), _pieces(text, start, within)) if cut]
    return min(candidates, key=lambda cut: cut.start, default=None)


def _word(text: str, start: int, within: Key | None) -> _Cut | None:
    for match in KEYWORD.finditer(text, start):
        key = Key[match.lastgroup or ""]
        value = text[match.end() :].lstrip()
        if key in {Key.UNTIL, Key.QUANTITY} and not begins_with_form(key, value):
            continue
        if within is not None and within.is_prose() and not _parted(text, match.start(), key, value):
            continue
        return _Cut(key, match.start(), *(match.span() if key is Key.HOLDS else (match.end(), None)))
    return None


def _pieces(text: str, start: int, within: Key | None) -> _Cut | None:
    """`500 pcs` without a word before it."""
    if within is Key.QUANTITY:
        return None
    for match in PIECES.finditer(text, start):
        if within is None or not within.is_prose():
            return _Cut(Key.QUANTITY, match.start(), match.start(), match.end())
    return None


def _parted(text: str, start: int, key: Key, value: str) -> bool:
    """Whether a key within free words is meant as one."""
    above = text[max(0, start - 2) : start].rstrip()
    if not above.endswith(_PARTS) or key in {Key.LIMIT, Key.CONDITION, Key.COMMENT, Key.BECAUSE}:
        return False
    if key in {Key.EXCEPT, Key.KEEP, Key.LOOKED, Key.HOLDS}:
        return True
    return begins_with_form(key, value) and any(sign.isdigit() for sign in value.split()[0])
