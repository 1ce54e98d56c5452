"""Asking and noting from the bench: the same events, by the same rules, as on the command line."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import tzinfo
from threading import Lock

from portal.bench.bodies import Ask, Note
from portal.bench.index import Spot
from portal.bench.listing import parts_of
from portal.bench.refused import Refused
from portal.bench.state import Bench
from portal.model.clock import day_in, zone_of
from portal.model.event import About, Via
from portal.model.logstate import LogState
from portal.model.says import Audience, CommentMade, QuestionAsked, Says
from portal.model.scalars import read_points
from portal.site.words import Speaker
from portal.tasks import ask as asking
from portal.tasks import note as noting
from portal.tasks.opened import open_part

_ONE_AT_A_TIME = Lock()
"""What is sent twice, since the page waited too long for an answer, may be there at once."""


def ask(bench: Bench, asked: Ask) -> None:
    """Ask the customer one thing; it is sent with the next review."""
    spot = bench.index.spot(asked.picture)
    opened = open_part(bench.folder, _part(bench, spot), by=asked.by, to="ask", via=Via.BENCH)
    wanted = asking.Wanted(
        question=asked.words,
        findings=(asked.finding,) if asked.finding else (),
        picture=None if asked.finding else spot.picture.file,
        spot=asked.spot or None,
        due=asked.due or None,
        kind="question" if asked.finding and asked.in_words else None,
    )
    with _ONE_AT_A_TIME:
        if not _was_said(bench, spot, asked):
            asking.ask(opened, wanted, confirm=(lambda doubt: True) if asked.as_it_is else _two_things)


def _two_things(doubt: str) -> bool:
    """On the page there is a box for it."""
    raise Refused("refused.two_things", hint="refused.as_it_is")


def note(bench: Bench, asked: Note) -> None:
    """Note something, which decides nothing."""
    spot = bench.index.spot(asked.picture)
    opened = open_part(bench.folder, _part(bench, spot), by=asked.by, to="note", engineer=False, via=Via.BENCH)
    subject = noting.Subject(
        finding=asked.finding or None,
        picture=None if asked.finding else spot.picture.file,
        spot=asked.spot or None,
    )
    with _ONE_AT_A_TIME:
        if not _was_said(bench, spot, asked):
            noting.note(opened, asked.words, subject, shared=asked.shared)


def _was_said(bench: Bench, spot: Spot, asked: Ask | Note) -> bool:
    """Whether it was written already, and the page that sends it again never heard of it."""
    person = bench.catalogue.shop.people.get(asked.by)
    if asked.known is None or person is None:
        return False
    events = (each for state in bench.logs.states() for each in state.events if each.hash not in asked.known)
    return any(
        each.event.via is Via.BENCH
        and each.event.by.name == person.name
        and _says(each.event.says, asked)
        and _is_about(each.event.about, spot, asked)
        for each in events
    )


def _says(says: Says, asked: Ask | Note) -> bool:
    if isinstance(asked, Ask):
        return isinstance(says, QuestionAsked) and says.question == asked.words.strip()
    audience = Audience.SHARED if asked.shared else Audience.SHOP
    return isinstance(says, CommentMade) and (says.comment, says.audience) == (asked.words.strip(), audience)


def _is_about(about: About, spot: Spot, asked: Ask | Note) -> bool:
    if asked.finding:
        return about.finding == asked.finding
    return about.finding is None and about.picture == spot.picture.file and _place(about.spot) == _place(asked.spot)


def _place(text: str | None) -> tuple[tuple[float, float], ...]:
    """A spot as a log holds it and as the page has it may be written in two ways."""
    return tuple((float(f"{x:g}"), float(f"{y:g}")) for x, y in read_points(text).xy) if text else ()


def talk(bench: Bench, spot: Spot, speaker: Speaker) -> list[dict[str, object]]:
    """What was asked and noted about the picture and its findings, from old to new; a spot has a label."""
    tag = spot.picture.tag
    findings = {each.id for each in tag.findings} | {each.finding for each in tag.also} if tag else set()
    file, zone = spot.picture.file, zone_of(bench.catalogue.shop.time_zone)
    found = [each for state in bench.logs.states() for each in _of_state(state, file, findings, zone, speaker)]
    return list(_labelled([each for _, each in sorted(found, key=lambda pair: pair[0])], speaker))


def _labelled(said: list[dict[str, object]], speaker: Speaker) -> Iterator[dict[str, object]]:
    """Questions and notes on spots, counted apart, as they are called on the picture."""
    counted: dict[str, int] = {}
    for each in said:
        key = "talk.spot_asked" if each["asks"] else "talk.spot_noted"
        if each["spot"]:
            counted[key] = counted.get(key, 0) + 1
        yield each | {"label": speaker.text(key, number=str(counted[key])) if each["spot"] else ""}


@dataclass(frozen=True, slots=True)
class _Line:
    """What somebody said, under which heading, and when."""

    key: str
    text: str
    by: str
    at: str
    event: str
    asks: bool


def _of_state(
    state: LogState, picture: str, findings: set[str], zone: tzinfo, speaker: Speaker
) -> Iterator[tuple[str, dict[str, object]]]:
    abouts = {each.hash: each.event.about for each in state.events}
    for ask in state.asks.values():
        about = ask.asked.event.about
        if about.picture == picture or findings & set(ask.findings):
            key = "talk.asked" if ask.status.is_open() else "talk.closed"
            line = _Line(key, ask.question, ask.asked.event.by.name, ask.asked.event.at, ask.hash, asks=True)
            yield line.at, _said(line, about, ask.findings, zone, speaker)
    for _, comment in state.comments:
        about = abouts[comment.event]
        if about.picture == picture or about.finding in findings:
            key = "talk.noted_shop" if comment.audience is Audience.SHOP else "talk.noted"
            line = _Line(key, comment.text, comment.by.name, comment.at, comment.event, asks=False)
            yield line.at, _said(line, about, (), zone, speaker)


def _said(line: _Line, about: About, findings: tuple[str, ...], zone: tzinfo, speaker: Speaker) -> dict[str, object]:
    return {
        "said": speaker.text(line.key, name=line.by, day=day_in(line.at, zone)),
        "text": line.text,
        "event": line.event,
        "finding": about.finding or ", ".join(findings),
        "spot": about.spot or "",
        "asks": line.asks,
    }


def _part(bench: Bench, spot: Spot) -> str:
    """The part that the picture shows; the only one of its mould where nobody said its cavity."""
    if spot.part is not None:
        return spot.part.id
    parts = parts_of(bench, spot.mould)
    if len(parts) != 1:
        raise Refused("refused.which_part", hint="refused.say_cavity")
    return parts[0].id
