"""Any file that may hold an answer, by its ending and its first bytes."""

import re

from portal.inbox.answerfile import NotOurs, pasted_in, read_answer_file
from portal.inbox.came import LARGEST_TEXT, Came, NotTaken, Refused, Sender, checked
from portal.inbox.charset import guessed
from portal.inbox.mail import read_mail
from portal.model.event import Via

ENDINGS = (".eml", ".txt", ".json")
_TEXT = {".txt", ".text", ".asc", ""}
_MARKS = (
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an Outlook message (`.msg`): save it as `.eml` or as text and receive that"),
    (b"%PDF", "a PDF: a decision that came as a document is entered with `portal record`"),
)
_DOCUMENTS = {
    **dict.fromkeys((".doc", ".docx", ".odt", ".rtf", ".pages"), "a document of a word processor"),
    **dict.fromkeys((".xls", ".xlsx", ".ods", ".csv", ".numbers"), "a table of a spreadsheet program"),
}
_HTML = re.compile(rb"\s*(?:<\?xml[^>]{0,200}>\s*)?(?:<!--.{0,500}?-->\s*)?<(?:!doctype|html|head|body)\b", re.I | re.S)
_IS_MAIL = re.compile(
    rb"(?:[!-9;-~]+:[^\n]*\n(?:[ \t][^\n]*\n)*)*(?:MIME-Version|Message-ID|Received|Return-Path):", re.I
)
_HEAD = re.compile(r"(From|Von|Sent|Gesendet|Date|Datum|To|An|Cc|Subject|Betreff) ?: ?(.*)", re.I)
_ADDRESS = re.compile(r"[<\[(]? ?([^\s<>@\[\]()]{1,64}@[^\s<>@\[\]()]{1,190}?) ?[>\])]?$")


def read_carrier(name: str, content: bytes) -> Came:
    """What came in a file of that name; Refused where that is no answer, NotTaken where it can't be taken."""
    ending = _ending(name)
    _refuse_others(ending, content)
    if ending == ".eml":
        return read_mail(content)
    if ending == ".json":
        try:
            file = read_answer_file(content)
        except NotOurs as error:
            raise Refused(str(error)) from None
        return Came(".json", Via.ANSWER_FILE, file=file)
    if ending not in _TEXT:
        raise Refused(f"`{ending[:20]}` is nothing that an answer comes as: {', '.join(ENDINGS)} are read")
    if _IS_MAIL.match(content[:20_000]):
        return read_mail(content)
    return _read_text(content)


def _ending(name: str) -> str:
    stem, dot, ending = name.rpartition(".")
    return f".{ending.lower()}" if dot and stem else ""


def _refuse_others(ending: str, content: bytes) -> None:
    if ending in _DOCUMENTS:
        raise Refused(f"{_DOCUMENTS[ending]} (`{ending}`): copy its text into a text file (`.txt`) and receive that")
    if content.startswith(b"PK\x03\x04"):
        raise Refused("a zip folder: unpack it and receive what is in it")
    for mark, what in _MARKS:
        if content.startswith(mark):
            raise Refused(what)
    if ending == ".zip":
        raise Refused("a zip folder: unpack it and receive what is in it")
    if ending == ".msg":
        raise Refused("an Outlook message (`.msg`): save it as `.eml` or as text and receive that")
    if ending in {".htm", ".html"} or _HTML.match(content[:2_000]):
        raise Refused("HTML: open it, save the answers with the button in it, and receive the file that this gives")
    if not content.strip():
        raise Refused("empty")


def _read_text(content: bytes) -> Came:
    if len(content) > 4 * LARGEST_TEXT:
        raise NotTaken(f"its text has more than {LARGEST_TEXT:,} characters")
    text = checked(guessed(content))
    if text.count("\0") > 0:
        raise Refused("no text")
    file, rest = pasted_in(text)
    head, body = _without_head(rest)
    return Came(
        ".txt",
        Via.ANSWER_FILE if file else Via.PASTED,
        body,
        head.get("subject", ""),
        _senders(head.get("from", "")),
        file,
    )


def _without_head(text: str) -> tuple[dict[str, str], str]:
    """The head that a pasted mail begins with (its sender and subject), and the text below."""
    lines = text.splitlines()
    start = next((at for at, line in enumerate(lines) if line.strip()), 0)
    found: dict[str, str] = {}
    at = start
    while at < len(lines) and (match := _HEAD.fullmatch(lines[at].strip())):
        word = {"von": "from", "betreff": "subject"}.get(match.group(1).lower(), match.group(1).lower())
        found.setdefault(word, match.group(2).strip())
        at += 1
    if "from" not in found and "subject" not in found:
        return {}, text
    return found, "\n".join(lines[at:])


def _senders(text: str) -> tuple[Sender, ...]:
    match = _ADDRESS.search(text)
    name = text[: match.start()] if match else text
    name = name.strip(" \"'")
    return (Sender(name, match.group(1) if match else ""),) if text else ()
