"""Front matter: YAML between two lines of `---`, then prose."""

import re
from dataclasses import dataclass

from portal.catalog.lines import Lines
from portal.catalog.text import Fault
from portal.catalog.tree import Document, parse

_FENCE = re.compile(r"^---[ \t]*\r?$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Page:
    """A front matter and the prose below it."""

    front: Document
    prose: str


def parse_page(text: str) -> Page:
    """Read a Markdown file that begins with front matter."""
    opening = _FENCE.match(text)
    if opening is None:
        return _without("the first line has to be `---`, then keys, then `---` again")
    closing = _FENCE.search(text, opening.end())
    if closing is None:
        return _without("the `---` that ends the keys is missing")
    front = parse(text[opening.end() + 1 : closing.start()], first_line=2)
    return Page(front, text[closing.end() :].replace("\r\n", "\n").strip())


def _without(message: str) -> Page:
    return Page(Document({}, Lines(), (Fault(1, message),), whole=False), "")
