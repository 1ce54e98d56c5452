"""Bytes of a text to its characters: in the charset that is named, where those bytes are of it."""

import codecs
import re

from portal.inbox.came import NotTaken

_KNOWN = re.compile(
    r"utf-(?:8|16|16-le|16-be)|ascii|iso8859-\d{1,2}|cp(?:125\d|437|850|852|866|932|936|949|950)|koi8-[ru]|mac-roman"
    r"|gb2312|gbk|gb18030|big5|euc_(?:jp|kr)|shift_jis|iso2022_jp"
)
"""Charsets of mails, by the name that Python gives them; its other codecs are no charsets."""


def decoded(content: bytes, charset: str) -> str:
    """The text; signs that can't be told are replaced, which makes no answer of them.

    NotTaken where the charset isn't known.
    """
    name = charset.strip("\"' ") or "us-ascii"
    try:
        known = codecs.lookup(name).name
    except (LookupError, ValueError):
        known = ""
    if not _KNOWN.fullmatch(known):
        raise NotTaken(f"its charset `{name[:40]}` isn't known: paste its text into a `.txt` file and receive that")
    for each in (known, "utf-8"):
        try:
            return content.decode(each)
        except UnicodeDecodeError:
            continue
    return content.decode("cp1252" if known == "ascii" else known, "replace")


def guessed(content: bytes) -> str:
    """A text file's text: by its byte order mark, else UTF-8, else Windows-1252."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return content.decode("utf-16", "replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")
