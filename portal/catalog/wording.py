"""Our own sentences for what a record's checker finds."""

import re
from collections.abc import Iterable
from typing import Any

from portal.problem import did_you_mean

_PATTERNS = {
    r"^[0-9a-f]{64}$": "is not a SHA-256: 64 digits of 0-9 and a-f",
    r"^[0-9A-HJKMNP-TV-Z]{4}$": "is not a finding's id: four of 0-9 and A-Z without I, L, O and U",
}
_QUOTED = re.compile(r"'([^']*)'")


def sentence(details: Any, words: tuple[str, ...] = ()) -> tuple[str, str | None]:
    """What is wrong with one value, and a hint; `words` are those that may stand there, where they are fixed."""
    kind, context, found = details["type"], details.get("ctx", {}), details["input"]
    if kind == "missing":
        return "this key is missing", f"one of {listed(words)}" if words else None
    if kind == "value_error":
        return str(context["error"]), None
    if kind in ("enum", "literal_error"):
        known = _QUOTED.findall(context["expected"])
        return f"`{found}` is not one of {listed(known)}", near(str(found), known)
    if kind == "string_pattern_mismatch":
        return f"`{found}` {_PATTERNS.get(context['pattern'], 'is not written as it should be')}", None
    if kind == "string_too_long":
        return f"longer than {context['max_length']:,} characters", None
    return f"`{found}` can't stand here", None


def listed(words: Iterable[str]) -> str:
    """Words in backticks with commas."""
    return ", ".join(f"`{word}`" for word in words)


def near(found: str, words: Iterable[str]) -> str | None:
    """`did you mean …?`, where a word is near enough to be meant."""
    hint = did_you_mean(found, words)
    return hint if hint and hint.startswith("did you mean") else None
