"""A line as people type it to the line that it means: width, blanks, bullets, remnants of tables and emphasis."""

import re
import unicodedata

_FULL_WIDTH = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)}
_BULLET = re.compile(r"(?:[-+*•·‣▪◦●○–—−] +)+")
_EMPHASIS = re.compile(r"^([*_`]{1,3})(.*?)([*_`]{0,3})$")


def plain(line: str) -> str:
    """A line with plain blanks, letters of plain width, nothing invisible.

    Only what is the same sign in another width is replaced. A superscript or a letter of another script isn't the
    same sign, so it stays and makes a line unclear.
    """
    if line.isascii() and line.isprintable() and "|" not in line:
        return " ".join(line.split())
    return " ".join("".join(_plain(each) for each in line.translate(_FULL_WIDTH)).split())


def _plain(sign: str) -> str:
    category = unicodedata.category(sign)
    if category == "Zs" or sign in "\t|│":
        return " "
    return "" if category in {"Cf", "Cc"} else sign


def bare(line: str) -> str:
    """A plain line without the bullet before it and the emphasis around it."""
    found = _BULLET.sub("", line, count=1) if _BULLET.match(line) else line
    match = _EMPHASIS.match(found)
    return match.group(2).strip() if match and match.group(1) else found
