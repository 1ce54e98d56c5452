"""Who is waited for, for what, since which day: what the logs of all parts come to."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from portal.model.logstate import AskState, Decided, LogState, Owed, Owing, OwnerSide
from portal.model.part import Part
from portal.model.say import Say, Several, Value
from portal.model.slug import natural
from portal.site.answerform import key_of
from portal.site.card import anchor_of
from portal.site.desk import Desk
from portal.site.duties import owing_key
from portal.site.redrawn import day_of
from portal.site.sentlines import number_of, sent_address

_TOGETHER = frozenset({Owing.ANSWER, Owing.SENDING})
"""What is told in one line for all asks of a review."""


@dataclass(frozen=True, slots=True)
class WaitingLine:
    """Something that somebody owes."""

    since: date
    who: Say
    what: Say
    text: Say | str | None
    part: str
    part_address: str
    trial: str | None
    links: tuple[tuple[Say | str, str], ...]
    """Its questions in the sent review, or its findings, with their addresses."""
    due: date | str | None
    is_past: bool


@dataclass(frozen=True, slots=True)
class Waiting:
    """All that is owed, by side, the longest waiting first."""

    customer: tuple[WaitingLine, ...]
    shop: tuple[WaitingLine, ...]
    theirs: Say
    """Whose side the customers' is, as a heading."""
    ours: Say
    is_any: bool
    """Whether any review went out."""


def waiting(desk: Desk) -> Waiting:
    """Who is waited for in all parts that this audience sees."""
    lines = [
        (owed[0], _line(desk, part, desk.log(part.id), owed))
        for part in desk.site.catalogue.parts.values()
        for owed in _gathered(desk.log(part.id))
    ]
    lines.sort(key=lambda each: (each[0].since, natural(each[1].part)))
    own = desk.site.catalogue.customers.get(desk.site.audience)
    of_side = {side: tuple(line for owed, line in lines if owed.side is side) for side in OwnerSide}
    return Waiting(
        customer=of_side[OwnerSide.CUSTOMER],
        shop=of_side[OwnerSide.SHOP],
        theirs=Say.of("log.at", whose=own.name) if own else Say.of("log.at_customer"),
        ours=Say.of("log.at", whose=desk.site.catalogue.shop.shop.name),
        is_any=any(state.reviews for state in desk.site.logs.values()),
    )


def _gathered(state: LogState) -> Iterator[list[Owed]]:
    """Owed things, those of one review that are waited for alike as one."""
    found: dict[tuple[object, ...], list[Owed]] = defaultdict(list)
    for number, each in enumerate(state.owed):
        review = _last_review(state, each)
        alike = (each.what, each.who, each.since[:10], each.due, each.trial, review)
        found[alike if each.what in _TOGETHER else (number,)].append(each)
    yield from found.values()


def _last_review(state: LogState, owed: Owed) -> str | None:
    ask = state.asks.get(owed.ask or "")
    return ask.sent[-1].review if ask and ask.sent else None


def _line(desk: Desk, part: Part, state: LogState, owed: Sequence[Owed]) -> WaitingLine:
    first = owed[0]
    asks = [state.asks[each.ask] for each in owed if each.ask in state.asks]
    due = day_of(first.due) if first.due else None
    return WaitingLine(
        since=desk.day(first.since),
        who=_who(desk, part, first),
        what=_what(state, first, asks),
        text=_text(state, first),
        part=part.name,
        part_address=desk.addresses.part(part.id),
        trial=first.trial,
        links=tuple(_links(desk, part, state, first, asks)),
        due=due,
        is_past=isinstance(due, date) and due < desk.site.as_of,
    )


def _who(desk: Desk, part: Part, owed: Owed) -> Say:
    if owed.who:
        return Say.of("log.list", all=Several(owed.who))
    customer = desk.site.catalogue.customers.get(part.customer)
    theirs = customer.name if customer else part.customer
    return Say.of("log.list", all=desk.site.catalogue.shop.shop.name if owed.side is OwnerSide.SHOP else theirs)


def _what(state: LogState, owed: Owed, asks: Sequence[AskState]) -> Say:
    key = owing_key(owed.what)
    if owed.what not in _TOGETHER:
        return Say.of(key)
    values: dict[str, Value] = {"n": len(asks)}
    if owed.what is Owing.ANSWER and asks and asks[0].sent:
        values["review"] = number_of(state, state.reviews[asks[0].sent[-1].review])
    return Say.of(key, **values)


def _text(state: LogState, owed: Owed) -> Say | str | None:
    """What it is about, in the words of the one who wrote it, or in ours."""
    decided = next((each for each in state.decided if (each.event, each.ask) == (owed.event, owed.ask)), None)
    match owed.what:
        case Owing.REPLY | Owing.READING:
            return owed.text
        case Owing.EVIDENCE if owed.duty is not None and owed.duty.evidence is not None:
            return Say.of(f"evidence.{key_of(owed.duty.evidence)}")
        case Owing.KEEPING if owed.duty is not None and owed.duty.finding and owed.duty.side:
            return Say.of("log.piece", finding=owed.duty.finding, side=Say.of(f"keep.{key_of(owed.duty.side)}"))
        case Owing.CONCESSION | Owing.CONFIRMATION | Owing.DISPOSITION | Owing.CRITERION if decided is not None:
            return _of_decision(decided, owed.what)
        case _:
            return None


def _of_decision(decided: Decided, what: Owing) -> Say:
    word = Say.of(f"log.disposition.{key_of(decided.disposition)}")
    if what is Owing.CONCESSION:
        missing = decided.concession.missing() if decided.concession else ("justification", "scope", "reference")
        return Say.of("log.lacks", what=Several(tuple(Say.of(f"log.lacks.{each}") for each in missing)))
    if what is Owing.CRITERION and decided.limit:
        limit, holds = decided.limit, decided.limit.holds
        told = Say.of("log.limit", limit=limit.limit)
        reach = (Say.of("log.limit_holds", holds=Say.of(f"holds.{key_of(holds)}")),) if holds else ()
        return Say.of("log.list", all=Several((told, *reach))) if reach else told
    if what is Owing.CONFIRMATION and decided.how:
        way = Say.of(f"log.way.{key_of(decided.how)}")
        return Say.of("log.decided_way", decided=word, by=decided.by.name, how=way)
    return Say.of("log.decided_by", decided=word, by=decided.by.name)


def _links(
    desk: Desk, part: Part, state: LogState, owed: Owed, asks: Sequence[AskState]
) -> Iterator[tuple[Say | str, str]]:
    """The questions where they were put; else the findings on their trial's page."""
    sent = sorted((each for each in asks if each.sent), key=lambda each: each.sent[-1].number)
    for ask in sent:
        last = ask.sent[-1]
        address = sent_address(desk, part.id, state.reviews[last.review])
        yield Say.of("log.question", number=last.number), f"{address}#ask-{last.number}"
    logged = state.get(owed.event)
    review = state.reviews.get(logged.event.about.review or "") if logged else None
    if review and not sent:
        yield Say.of("log.review", number=number_of(state, review)), sent_address(desk, part.id, review)
    mould, _, trial = (owed.trial or "").partition("/")
    if not sent and any((each.mould, each.trial) == (mould, trial) for each in desk.site.results):
        page = desk.addresses.review(part.id, mould, trial)
        findings = dict.fromkeys((*owed.findings, *(each for ask in asks for each in ask.findings)))
        yield from ((finding, f"{page}#{anchor_of(finding)}") for finding in findings)
