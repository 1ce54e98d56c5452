"""Bytes of a file to text: UTF-8 with or without a byte order mark, and nothing else."""

import codecs
import re
from dataclasses import dataclass

LARGEST = 8 * 1024 * 1024
"""Bytes; a tag file with a thousand findings has less than a tenth of it."""

_WIDE_MARKS = (codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE, codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_SAVE_AS = "save it as UTF-8"


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong in a text, before it is known which file it is."""

    line: int
    message: str
    hint: str | None = None
    path: tuple[str, ...] = ()


def decode(raw: bytes) -> str | Fault:
    """The text of a file, or the one reason why it can't be read as text."""
    if len(raw) > LARGEST:
        return Fault(1, f"the file is larger than {LARGEST:,} bytes")
    if wide := _wide(raw):
        return Fault(1, f"the file is {wide}, not UTF-8", _SAVE_AS)
    if (nul := raw.find(b"\0")) >= 0:
        return Fault(_line_at(raw, nul), "a NUL byte; the file is damaged, or no text")
    try:
        text = raw.removeprefix(codecs.BOM_UTF8).decode()
    except UnicodeDecodeError as error:
        return _not_utf8(raw.removeprefix(codecs.BOM_UTF8), error.start)
    if match := _UNPRINTABLE.search(text):
        line = text.count("\n", 0, match.start()) + 1
        return Fault(line, f"a control character (U+{ord(match.group()):04X})", "delete it")
    return text


def _wide(raw: bytes) -> str | None:
    if raw.startswith(_WIDE_MARKS[:2]):
        return "UTF-32"
    if raw.startswith(_WIDE_MARKS[2:]):
        return "UTF-16"
    head = raw[:200]
    zeros = max(head[0::2].count(0), head[1::2].count(0))
    return "UTF-16" if len(head) >= 4 and zeros > len(head) // 4 else None


def _not_utf8(raw: bytes, at: int) -> Fault:
    line = _line_at(raw, at)
    try:
        written = raw[at : at + 1].decode("cp1252")
    except UnicodeDecodeError:
        return Fault(line, f"byte 0x{raw[at]:02X} is not UTF-8", _SAVE_AS)
    return Fault(line, f"not UTF-8: byte 0x{raw[at]:02X} is `{written}` in Windows-1252 (cp1252)", _SAVE_AS)


def _line_at(raw: bytes, at: int) -> int:
    return raw.count(b"\n", 0, at) + 1
