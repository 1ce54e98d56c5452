"""A saved mail (`.eml`; RFC 5322, RFC 2045 to 2049) to its text, its senders, its answer file.

Only what its own writer wrote counts: a mail that is attached to it is another's, and is left to be received by itself.
"""

import re
from collections.abc import Iterator
from email import message_from_bytes
from email.header import decode_header
from email.message import Message
from email.policy import compat32
from email.utils import getaddresses

from portal.inbox.answerfile import NotOurs, pasted_in, read_answer_file
from portal.inbox.came import DEEPEST, LARGEST_MAIL, MOST_PARTS, Came, Left, NotTaken, Refused, Sender, checked
from portal.inbox.charset import decoded
from portal.inbox.flowed import unflow
from portal.model.answerfile import AnswerFile
from portal.model.event import Via

_LONGEST_HEADER = 2_000
_SAYS_NOTHING = re.compile(r"application/(?:x-)?(?:pkcs7|pgp)-signature|text/(?:calendar|x-vcard|vcard)")
_ODD = (LookupError, ValueError, TypeError, AttributeError, AssertionError, RecursionError)
"""What Python's email library lets through for headers and parts that nobody should write."""


def read_mail(content: bytes) -> Came:
    """Read one; NotTaken with the reason where it can't be taken, Refused where it is too much."""
    if len(content) > LARGEST_MAIL:
        raise Refused(f"a mail of more than {LARGEST_MAIL:,} bytes")
    if content.lower().count(b"boundary") > MOST_PARTS:
        raise Refused(f"a mail of more than {MOST_PARTS} parts within parts")
    try:
        return _read(message_from_bytes(content, policy=compat32))
    except (NotTaken, Refused):
        raise
    except _ODD as error:
        raise NotTaken(f"a mail that can't be read: {type(error).__name__}") from None


def _read(mail: Message) -> Came:
    if _header(mail, "Auto-Submitted").lower() not in {"", "no"}:
        raise NotTaken("an automatic reply")
    parts = list(_parts(mail))
    files, left = _attached(parts)
    text = checked("\n".join(_text(part) for part in parts if _is_text(part)))
    if not files and not text.strip():
        raise NotTaken(_why_no_text(parts))
    if any(each != files[0] for each in files):
        raise NotTaken("several answer files that differ are attached: ask which one counts")
    pasted, rest = (files[0], text) if files else pasted_in(text)
    return Came(
        ending=".eml",
        via=Via.ANSWER_FILE if pasted else Via.MAIL,
        text=rest,
        subject=_header(mail, "Subject"),
        senders=_senders(mail),
        file=pasted,
        left=left,
        date=_header(mail, "Date")[:100],
    )


def _parts(mail: Message) -> Iterator[Message]:
    """Every part that holds no others.

    Nothing is chosen among alternatives: HTML is never read, programs put attachments beside it, and two plain texts
    that differ are for a person.
    """
    todo = [(mail, 0)]
    count = 0
    while todo:
        part, depth = todo.pop()
        count += 1
        if count > MOST_PARTS or depth > DEEPEST:
            raise NotTaken(f"more than {MOST_PARTS} parts, or nested more than {DEEPEST} deep")
        inner = part.get_payload()
        if part.get_content_maintype() != "multipart" or not isinstance(inner, list):
            yield part
            continue
        todo.extend((each, depth + 1) for each in reversed(inner) if isinstance(each, Message))


def _is_text(part: Message) -> bool:
    return part.get_content_type() == "text/plain" and part.get_content_disposition() != "attachment"


def _text(part: Message) -> str:
    payload = part.get_payload(decode=True)
    content = payload if isinstance(payload, bytes) else b""
    text = decoded(content, _param(part, "charset"))
    if _param(part, "format").lower() == "flowed":
        return unflow(text, without_blank=_param(part, "delsp").lower() == "yes")
    return text


def _param(part: Message, name: str) -> str:
    value = part.get_param(name, "")
    if isinstance(value, tuple):
        value = value[2]
    return value.strip() if isinstance(value, str) else ""


def _attached(parts: list[Message]) -> tuple[list[AnswerFile], tuple[Left, ...]]:
    files, left = [], []
    for part in parts:
        kind, name = part.get_content_type(), _name(part)
        if kind == "message/rfc822":
            left.append(Left(name or "an attached mail", "an attached mail: save it by itself and receive that"))
        elif kind in {"application/json", "text/json"} or name.lower().endswith(".json"):
            payload = part.get_payload(decode=True)
            try:
                files.append(read_answer_file(payload if isinstance(payload, bytes) else b""))
            except NotOurs as error:
                left.append(Left(name or kind, str(error)))
        elif _is_for_a_person(part):
            left.append(Left(name or kind, "an attachment that isn't read: look at it in the mail as it came"))
    return files, tuple(left)


def _is_for_a_person(part: Message) -> bool:
    """Whether it is attached for its own sake; a picture with a content id belongs to the layout of HTML."""
    says_nothing = "Content-ID" in part or _SAYS_NOTHING.fullmatch(part.get_content_type())
    return part.get_content_disposition() == "attachment" and not says_nothing


def _name(part: Message) -> str:
    """What an attachment is called: words for people, never a path."""
    return " ".join(_words(part.get_filename() or "").replace("/", " ").replace("\\", " ").split())[:120]


def _why_no_text(parts: list[Message]) -> str:
    kinds = {part.get_content_type() for part in parts}
    if "text/html" in kinds:
        return "it has only HTML: ask for plain text, or paste its text into a `.txt` file and receive that"
    if any("encrypted" in kind or "pkcs7-mime" in kind for kind in kinds):
        return "it is encrypted: paste its text into a `.txt` file and receive that"
    return "there is no text in it"


def _header(mail: Message, name: str) -> str:
    return _words(str(mail.get(name, ""))[:_LONGEST_HEADER])


def _words(raw: str) -> str:
    """A header's text, its encoded words (RFC 2047) decoded."""
    found = []
    for chunk, charset in decode_header(raw):
        found.append(decoded(chunk, charset or "us-ascii") if isinstance(chunk, bytes) else chunk)
    return " ".join("".join(found).encode("utf-8", "replace").decode("utf-8").split())


def _senders(mail: Message) -> tuple[Sender, ...]:
    """Who it says it is from; a header without an address is a name."""
    raw = [str(each)[:_LONGEST_HEADER] for each in mail.get_all("From", [])[:4]]
    found = [Sender(_words(name), address.strip()) for name, address in getaddresses(raw) if "@" in address]
    return tuple(found) or tuple(Sender(_words(each), "") for each in raw if each.strip())
