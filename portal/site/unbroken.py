"""Keeps a value and its unit on one line: the space between them is one at which no line ends."""

import re

NO_BREAK = "\u00a0"
_UNITS = "mm²|mm2|mm|µm²|µm|μm|um|nm|cm|in²|in|deg|°C|lx|px|s|min|h|t|%|×"
_BEFORE_UNIT = re.compile(rf"(?<=[0-9]) (?=(?:{_UNITS})(?!\w))")
_AFTER_SIGN = re.compile(r"(?<=[±<>≤≥=]) (?=[0-9−-])")


def unbroken(text: str) -> str:
    """The text with `0.148 mm`, `± 0.006 mm`, `> 99 %` each kept whole; what lies between them may end a line.

    Only what is shown goes through here: what is kept, mailed or compared has plain spaces.

    >>> unbroken("0,148 mm ± 0,006 mm").replace(NO_BREAK, "_")
    '0,148_mm ±_0,006_mm'
    """
    return _AFTER_SIGN.sub(NO_BREAK, _BEFORE_UNIT.sub(NO_BREAK, text))


def spaced(text: str) -> str:
    """The text with plain spaces again, as it was written."""
    return text.replace(NO_BREAK, " ")
