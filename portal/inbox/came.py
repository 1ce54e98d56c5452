"""What came in, whatever it came as."""

from dataclasses import dataclass

from portal.model.answerfile import AnswerFile
from portal.model.event import Via

LARGEST_MAIL = 40_000_000
LARGEST_TEXT = 200_000
LARGEST_FILE = 1_000_000
LONGEST_LINE = 20_000
MOST_PARTS = 200
DEEPEST = 12
"""Limits against files made to exhaust a machine: bytes of a mail and of an answer file, characters of a text and of a
line, parts of a mail and how deep they nest. Common practice, no source."""


class Refused(ValueError):
    """A file that is no answer, and what to do instead; nothing is kept of it."""


class NotTaken(ValueError):
    """An answer that can't be taken as it is, and why; it is kept aside."""


@dataclass(frozen=True, slots=True)
class Sender:
    """Who a mail says it is from."""

    name: str
    mail: str


@dataclass(frozen=True, slots=True)
class Left:
    """A part of a mail that isn't read, for a person to look at."""

    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Came:
    """An answer as it came: its text and, where there is one, its answer file, which counts before the text."""

    ending: str
    via: Via
    text: str = ""
    subject: str = ""
    senders: tuple[Sender, ...] = ()
    file: AnswerFile | None = None
    left: tuple[Left, ...] = ()
    date: str = ""
    """When it was written, as it says."""


def checked(text: str) -> str:
    """A text within the limits, of characters that can be written down; NotTaken where it isn't."""
    if len(text) > LARGEST_TEXT:
        raise NotTaken(f"its text has more than {LARGEST_TEXT:,} characters")
    if any(len(line) > LONGEST_LINE for line in text.splitlines()):
        raise NotTaken(f"a line of it has more than {LONGEST_LINE:,} characters")
    return text.encode("utf-8", "replace").decode("utf-8")
