"""One event of a part's log: who said what about what, when, having read what."""

from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Annotated, Any

from pydantic import SerializeAsAny, StringConstraints, ValidationError

from portal.model.base import Record
from portal.model.says import BY_KIND, Party, Says, Unknown
from portal.model.scalars import Count, FindingId, Sha256, Text

FORMAT = 1
At = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$")]
"""A time of the world's clock with microseconds, as `2026-03-04T14:22:33.123456Z`."""


class Via(StrEnum):
    """By which way an event came into the log."""

    COMMAND = "command"
    BENCH = "bench"
    ANSWER_FILE = "answer file"
    MAIL = "mail"
    PASTED = "pasted text"


class About(Record):
    """What an event is about; what doesn't apply is absent."""

    trial: Text | None = None
    """`<mould>/<trial>`."""
    picture: Text | None = None
    spot: Text | None = None
    """`x,y` in pixels of the upright picture."""
    finding: FindingId | None = None
    review: Sha256 | None = None
    """The review's digest."""
    event: Sha256 | None = None


class Event(Record):
    """The envelope that every event has, and what its kind says."""

    format: Count
    at: At
    kind: Text
    part: Text
    about: About
    by: Party
    via: Via
    after: tuple[Sha256, ...]
    """Sorted hashes of the events that the writer had read and that none of those names."""
    says: SerializeAsAny[Says]

    def named(self) -> tuple[str, ...]:
        """Every event that it names, beside those in `after`."""
        return (*((self.about.event,) if self.about.event else ()), *self.says.named())

    def findings(self) -> tuple[str, ...]:
        """Every finding that it is about."""
        return (*((self.about.finding,) if self.about.finding else ()), *self.says.findings_named())


@dataclass(frozen=True, slots=True)
class Logged:
    """An event with the SHA-256 of its file, which is its identity."""

    hash: str
    event: Event

    @property
    def order(self) -> tuple[str, str]:
        """What decides between events that don't reach each other in a list; it decides nothing else."""
        return (self.event.at, self.hash)


class NotAnEvent(ValueError):
    """Data that is no event of this format, and why."""


def event_from(data: Any) -> Event:
    """An event from the plain data of its file; what a known kind doesn't know makes it an unknown one.

    Raises NotAnEvent where even the envelope can't be read, or the format is newer than this program.
    """
    if not isinstance(data, dict):
        raise NotAnEvent("an event is a JSON object")
    form = data.get("format")
    if isinstance(form, int | float) and form > FORMAT:
        raise NotAnEvent(f"written in format {form}; this version reads up to format {FORMAT}: take a newer one")
    if form is True or form != FORMAT:
        raise NotAnEvent("`format` is missing or no format that there ever was")
    try:
        return Event.model_validate({**data, "says": _says(data.get("kind"), data.get("says"))})
    except ValidationError as error:
        raise NotAnEvent(told(error)) from None


def _says(kind: Any, data: Any) -> Says:
    if not isinstance(data, dict):
        raise NotAnEvent("`says` is missing or no JSON object")
    known = BY_KIND.get(kind) if isinstance(kind, str) else None
    if known is not None:
        try:
            return known.model_validate(data)
        except ValidationError:
            pass
    return Unknown.model_validate(data)


def what_is_wrong(event: Event) -> str | None:
    """Why an event is of a known kind and yet unknown; None where it is read well or its kind is a new one."""
    known = BY_KIND.get(event.kind)
    if known is None or not isinstance(event.says, Unknown):
        return None
    try:
        known.model_validate(event.says.plain())
    except ValidationError as error:
        return told(error)
    return None


def told(error: ValidationError) -> str:
    """The first thing that is wrong, in one line."""
    first = error.errors(include_url=False, include_input=False)[0]
    where = ".".join(str(step) for step in first["loc"])
    return f"`{where}`: {first['msg'][:1].lower()}{first['msg'][1:]}" if where else first["msg"]


def at_text(moment: datetime) -> str:
    """A moment as `at` is written."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def file_name(at: str, hash_: str) -> str:
    """The name of an event's file: `20260304T142233.123456Z-<hash>.json`."""
    return f"{at.replace('-', '').replace(':', '')}-{hash_}.json"


def check_code(digest: str) -> str:
    """The review's check code: the first eight hexadecimal digits of its digest."""
    return digest[:8]
