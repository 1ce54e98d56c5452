"""`portal log`: who owes what since when, how long each review took, then everything that was said."""

import json
from collections.abc import Iterator
from dataclasses import astuple, dataclass, fields
from datetime import date, datetime, tzinfo
from pathlib import Path

from portal.catalog import read as read_catalogue
from portal.log import Log, fold, parts_with_log, verify
from portal.log import read as read_log
from portal.model.catalogue import Catalogue
from portal.model.clock import zone_of
from portal.model.event import Logged, check_code
from portal.model.logstate import LogState, Owed, ReviewState
from portal.problem import PortalError, Problem, did_you_mean
from portal.tasks import table
from portal.tasks.owing import owing, who_owes
from portal.tasks.telling import listed, tell

SECTIONS = ("owed", "review", "entry")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the log: what is owed, a review with how long it took, or an entry. Times are the shop's."""

    section: str
    part: str
    trial: str
    findings: str
    at: str
    who: str
    what: str
    text: str
    due: str = ""
    hours_to_first_answer: str = ""
    hours_to_complete: str = ""
    ask: str = ""
    event: str = ""
    no_longer_counts: str = ""
    duty: str = ""
    """What commands take for it, where it is one of several things that an event leaves owed; what a closing ended."""


@dataclass(frozen=True)
class PartLog:
    """A part's log with what it comes to, and what is wrong with its files."""

    part: str
    state: LogState
    problems: tuple[Problem, ...]

    @property
    def is_whole(self) -> bool:
        """Whether nothing is wrong; what was left over from a write that was cut off is no harm."""
        return all(problem.warning for problem in self.problems)


@dataclass(frozen=True)
class Logs:
    """The logs of some parts."""

    parts: tuple[PartLog, ...]
    zone: tzinfo
    today: date

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All that is wrong in their files."""
        return tuple(problem for each in self.parts for problem in each.problems)

    @property
    def exit_code(self) -> int:
        """1 where a log isn't whole."""
        return 0 if all(each.is_whole for each in self.parts) else 1

    def rows(self) -> tuple[Row, ...]:
        """What is owed, then the reviews, then the entries, each over all parts."""
        made = {
            "owed": (_owed(each.part, one, self) for each in self.parts for one in each.state.owed),
            "review": (_review(each.part, one, self) for each in self.parts for one in each.state.reviews.values()),
            "entry": (_entry(each, one, self) for each in self.parts for one in each.state.events),
        }
        return tuple(row for section in SECTIONS for row in made[section])


def logs(folder: Path, *, part: str | None = None, strictly: bool = False, today: date | None = None) -> Logs:
    """Read the log of one part or of all; strictly, each is verified."""
    catalogue = _catalogue(folder)
    zone = zone_of(catalogue.shop.time_zone if catalogue else None)
    found = tuple(_part_log(folder, each, strictly=strictly) for each in _parts(folder, catalogue, part))
    return Logs(found, zone, today or datetime.now(zone).date())


def local(at: str, zone: tzinfo) -> str:
    """An event's time as the shop's clock had it, to the minute."""
    return datetime.fromisoformat(at).astimezone(zone).strftime("%Y-%m-%d %H:%M")


def to_json(rows: tuple[Row, ...]) -> str:
    """A JSON list of rows; what isn't there is an empty text."""
    return json.dumps([dict(zip(COLUMNS, astuple(row), strict=True)) for row in rows], ensure_ascii=False, indent=1)


def to_csv(rows: tuple[Row, ...]) -> bytes:
    """All rows in one table."""
    return table.to_csv(table.Table(COLUMNS, tuple(astuple(row) for row in rows)))


def to_xlsx(rows: tuple[Row, ...]) -> bytes:
    """A sheet for what is owed, one for reviews, one for entries."""
    return table.to_xlsx(
        {
            section: table.Table(COLUMNS, tuple(astuple(row) for row in rows if row.section == section))
            for section in SECTIONS
        }
    )


COLUMNS = tuple(field.name for field in fields(Row))


def _catalogue(folder: Path) -> Catalogue | None:
    """The catalogue where it can be read; a log stands for itself."""
    if not (folder / "catalog.yaml").is_file():
        message = f"{folder} is not a catalogue: there is no catalog.yaml in it"
        raise PortalError(message, hint="name the catalogue's folder", code=2)
    return read_catalogue(folder).catalogue


def _parts(folder: Path, catalogue: Catalogue | None, wanted: str | None) -> tuple[str, ...]:
    there = parts_with_log(folder)
    if wanted is None:
        return there
    known = dict.fromkeys((*(catalogue.parts if catalogue else ()), *there))
    if wanted not in known:
        raise PortalError(f"there is no part `{wanted}`", hint=did_you_mean(wanted, known), code=2)
    return (wanted,)


def _part_log(folder: Path, part: str, *, strictly: bool) -> PartLog:
    log, problems = _strictly(folder, part) if strictly else _loosely(folder, part)
    return PartLog(part, fold(part, log.events), problems)


def _strictly(folder: Path, part: str) -> tuple[Log, tuple[Problem, ...]]:
    verified = verify(folder, part)
    return verified.log, verified.problems


def _loosely(folder: Path, part: str) -> tuple[Log, tuple[Problem, ...]]:
    log = read_log(folder, part)
    return log, tuple(log.problems)


def _owed(part: str, owed: Owed, logs: Logs) -> Row:
    since = local(owed.since, logs.zone)
    return Row(
        section="owed",
        part=part,
        trial=owed.trial or "",
        findings=" ".join(owed.findings),
        at=since,
        who=who_owes(owed),
        what=str(owed.what),
        text=owing(owed, since=since[:10], today=logs.today),
        due=owed.due or "",
        ask=owed.ask or "",
        event=owed.event,
        duty=owed.duty.place if owed.duty else "",
    )


def _review(part: str, review: ReviewState, logs: Logs) -> Row:
    first, complete = (_hours(review.sent_at, at) for at in (review.first_answer_at, review.complete_at))
    return Row(
        section="review",
        part=part,
        trial=review.trial or "",
        findings="",
        at=local(review.sent_at, logs.zone),
        who=listed(each.name for each in review.to),
        what=f"review {review.number} ({review.code})",
        text=_turnaround(review, logs.zone),
        hours_to_first_answer=first,
        hours_to_complete=complete,
        event=review.event,
        no_longer_counts=f"withdrawn by {review.withdrawn.hash}" if review.withdrawn else "",
    )


def _turnaround(review: ReviewState, zone: tzinfo) -> str:
    sent = f"review {review.number} ({review.code}) of {review.trial}, sent {local(review.sent_at, zone)}"
    if review.withdrawn:
        return f"{sent}: withdrawn {local(review.withdrawn.event.at, zone)}"
    first = _hours(review.sent_at, review.first_answer_at)
    complete = _hours(review.sent_at, review.complete_at)
    none = "no answer to it" if complete else "no answer yet"
    answered = f"first answer after {first} h" if first else none
    return f"{sent}: {answered}" + (f", all answered after {complete} h" if complete else "")


def _hours(sent: str, at: str | None) -> str:
    if at is None:
        return ""
    return f"{(datetime.fromisoformat(at) - datetime.fromisoformat(sent)).total_seconds() / 3600:.1f}"


def _entry(part: PartLog, logged: Logged, logs: Logs) -> Row:
    event = logged.event
    corrected = part.state.corrected.get(logged.hash)
    says = event.says
    return Row(
        section="entry",
        part=part.part,
        trial=event.about.trial or "",
        findings=" ".join(event.findings()),
        at=local(event.at, logs.zone),
        who=event.by.name,
        what=event.kind,
        text=tell(logged),
        due=getattr(says, "due", None) or "",
        ask=logged.hash if logged.hash in part.state.asks else "",
        event=logged.hash,
        no_longer_counts=f"taken back by {corrected}" if corrected else "",
        duty=" ".join(each.place for each in getattr(says, "only", ())),
    )


def in_sentences(logs: Logs) -> Iterator[str]:
    """Every part's log for reading: what is owed, the reviews, the entries."""
    rows = logs.rows()
    if not logs.parts:
        yield "no part has a log yet: `portal ask` begins one"
    for each in logs.parts:
        own = [row for row in rows if row.part == each.part]
        yield f"{each.part}: {_owed_count(each.state)}"
        yield from (f"  {row.text}" for row in own if row.section == "owed")
        yield from (f"  {row.text}" for row in own if row.section == "review")
        for row in own:
            if row.section == "entry":
                corrected = each.state.corrected.get(row.event)
                back = f" (taken back by {check_code(corrected)})" if corrected else ""
                yield f"  {row.at}  {check_code(row.event)}  {row.who} {row.text}{back}"


def _owed_count(state: LogState) -> str:
    if not state.events:
        return "nothing was asked yet"
    return f"{len(state.owed)} owed" if state.owed else "nobody owes anything"


def verified(logs: Logs) -> Iterator[str]:
    """What verifying came to, part by part."""
    if not logs.parts:
        yield "no part has a log yet"
    for each in logs.parts:
        wrong = sum(1 for problem in each.problems if not problem.warning)
        came = "whole" if each.is_whole else f"{wrong} problems"
        yield f"{each.part}: {len(each.state.events)} events, {came}"
    yield (
        "not found by this: a newest event that is gone and that no kept file names, and a forged event that is well "
        "formed; a typed name is no electronic signature in law"
    )
