"""The answer file that our form saves, by itself, attached, or pasted into a text."""

import json
import re
from typing import Any, NoReturn

from pydantic import ValidationError

from portal.inbox.came import LARGEST_FILE, NotTaken
from portal.model.answerfile import FORMAT, AnswerFile
from portal.model.event import told

_BEGINS = re.compile(r'\{\s*"format"\s*:\s*[0-9]{1,6}\s*,\s*"answers_to"\s*:')
_BROKEN = "an answer file was pasted into it and isn't whole any more: ask for the file itself"


class NotOurs(ValueError):
    """Data that isn't an answer file at all."""


def read_answer_file(content: bytes) -> AnswerFile:
    """Read one; NotOurs where it is none, NotTaken with the reason where it can't be taken."""
    if b"answers_to" not in content[:LARGEST_FILE]:
        raise NotOurs("no answer file: there is no `answers_to` in it")
    if len(content) > LARGEST_FILE:
        raise NotTaken(f"an answer file of more than {LARGEST_FILE:,} bytes")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NotTaken("an answer file that isn't UTF-8: somebody changed it") from None
    try:
        return _record(_DECODER.decode(text))
    except RecursionError:
        raise NotTaken("an answer file that isn't whole: nested too deep") from None
    except ValueError as error:
        if isinstance(error, NotTaken):
            raise
        raise NotTaken(f"an answer file that isn't whole: {_short(error)}") from None


def pasted_in(text: str) -> tuple[AnswerFile | None, str]:
    """The answer file that somebody pasted into a text, and the text without it.

    Mail programs put line ends where a line was long, and blanks of other kinds; within the file both are blanks.
    """
    match = _BEGINS.search(text)
    if match is None or ">" in text[text.rfind("\n", 0, match.start()) + 1 : match.start()]:
        return None, text
    behind = re.sub(r"[\r\n\u00a0]+", " ", text[match.start() :])
    try:
        data, end = _DECODER.raw_decode(behind)
    except (ValueError, RecursionError):
        raise NotTaken(_BROKEN) from None
    if _BEGINS.search(behind, end):
        raise NotTaken("more than one answer file was pasted into it")
    rest = _behind(text[match.start() :], behind[:end])
    return _record(data), text[: match.start()] + rest


def _behind(original: str, read: str) -> str:
    """What follows the file in the text as it came: behind as many signs that are no blanks."""
    wanted = sum(1 for sign in read if not sign.isspace())
    for place, sign in enumerate(original):
        if wanted == 0:
            return original[place:]
        wanted -= not sign.isspace()
    return ""


def _record(data: Any) -> AnswerFile:
    if not isinstance(data, dict):
        raise NotTaken("an answer file that is no JSON object")
    form = data.get("format")
    if isinstance(form, int) and form > FORMAT:
        raise NotTaken(f"an answer file of format {form}; this version reads up to format {FORMAT}: take a newer one")
    if form is True or form != FORMAT:
        raise NotTaken("an answer file whose `format` is missing or no format that there ever was")
    try:
        json.dumps(data, ensure_ascii=False).encode("utf-8")
        file = AnswerFile.model_validate(data)
    except UnicodeEncodeError:
        raise NotTaken("an answer file with a sign that isn't Unicode") from None
    except ValidationError as error:
        raise NotTaken(f"an answer file that was changed: {told(error)}") from None
    if not file.code_fits:
        raise NotTaken(f"an answer file whose check code `{_short(file.code)}` isn't that of the review it names")
    return file


def _short(what: object) -> str:
    return str(what)[:200]


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key stands twice")
    return found


def _no_constant(text: str) -> NoReturn:
    raise ValueError(f"`{text}` is no number of JSON")


def _whole(digits: str) -> int:
    if len(digits) > 20:
        raise ValueError("a number of more than 20 digits")
    return int(digits)


_DECODER = json.JSONDecoder(object_pairs_hook=_once, parse_constant=_no_constant, parse_int=_whole)
