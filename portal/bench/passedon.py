"""What rules of other rooms refuse in English, said in the page's language: known by its sentence, with its values.

These rules serve the command line too, which speaks English; so they don't know who listens. Each of their sentences
stands in `passed.po` as the program writes it, with names for what is filled in: `{a}`, `{b}` …, and `{why_a}` where
that is such a sentence, or a word of one, itself. `tests/bench/test_passed_on.py` finds one that doesn't stand there.
"""

import re
from functools import cache

from babel.messages.pofile import read_po

from portal.site.words import Speaker, po_files

ROOM = "passed.po"
MARKS = str.maketrans("", "", "\u2068\u2069")
"""Marks of direction: a refusal goes into the page as text of its own."""


def passed_on(text: str, speaker: Speaker) -> str:
    """The same in the speaker's language; as it is where nobody knows it, such as what the system says."""
    if speaker.language == "en":
        return text
    for key, pattern in _patterns():
        found = pattern.fullmatch(text)
        if found:
            values = {
                name: passed_on(value, speaker) if name.startswith("why_") else value
                for name, value in found.groupdict().items()
            }
            return speaker.text(key, **values).translate(MARKS)
    return text


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Every sentence by what it looks like, those that say most of their own first."""
    found = []
    for path in po_files("en"):
        if path.name == ROOM:
            with path.open("rb") as file:
                found += [(str(each.id), str(each.string)) for each in read_po(file, locale="en") if each.id]
    found.sort(key=lambda pair: -len(re.sub(r"\{\w+\}", "", pair[1])))
    return tuple((key, _pattern(text)) for key, text in found)


def _pattern(text: str) -> re.Pattern[str]:
    steps = re.split(r"(\{\w+\})", text)
    return re.compile(
        "".join(f"(?P<{step[1:-1]}>.*?)" if step.startswith("{") else re.escape(step) for step in steps), re.DOTALL
    )
