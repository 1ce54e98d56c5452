"""Everything that a page says, in whatever way it is written: text, attributes, addresses, data."""

import html
import json
import re
from html.parser import HTMLParser
from urllib.parse import unquote

from portal.site.inputs import Page
from portal.site.unbroken import spaced

_GEOMETRY = {"d", "x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "rx", "ry", "width", "height", "points",
             "viewbox", "transform", "sizes", "colspan", "rowspan", "content", "nonce", "integrity"}  # fmt: skip
_ESCAPED = re.compile(r"\\u([0-9a-fA-F]{4})")


def texts_of(page: Page) -> tuple[str, str, str]:
    """All of a page with every escape undone; what a person or a program reads of it, apart and run together.

    With plain spaces, whatever keeps a value and its unit on one line.
    """
    raw = page.body.decode("utf-8", "replace")
    plain = spaced(unquote(html.unescape(_ESCAPED.sub(_letter, raw))))
    if not page.path.endswith(".html"):
        return f"{page.path}\n{plain}", page.path, page.path
    reader = _Reader()
    reader.feed(raw)
    reader.close()
    return f"{page.path}\n{plain}", spaced("\n".join((page.path, *reader.said))), spaced("".join(reader.text))


class _Reader(HTMLParser):
    """Collects text, attributes that are no geometry, and the strings of data."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.said: list[str] = []
        self.text: list[str] = []
        self._data = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what attributes say."""
        self._data = tag == "script" and ("type", "application/json") in attrs
        self.said += [unquote(value) for name, value in attrs if value and name not in _GEOMETRY]

    def handle_endtag(self, tag: str) -> None:
        """Data ends with its element."""
        self._data = False

    def handle_data(self, data: str) -> None:
        """Note a text, or the strings of data."""
        if self._data:
            self.said += _strings(json.loads(data))
        else:
            self.said.append(data)
            self.text.append(data)

    def handle_comment(self, data: str) -> None:
        """A comment is published too."""
        self.said.append(data)


def _strings(data: object) -> list[str]:
    if isinstance(data, str):
        return [data, unquote(data)]
    if isinstance(data, dict):
        return [each for key, value in data.items() for each in (str(key), *_strings(value))]
    if isinstance(data, list):
        return [each for value in data for each in _strings(value)]
    return []


def _letter(match: re.Match[str]) -> str:
    return chr(int(match.group(1), 16))
