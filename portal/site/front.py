"""The shop's front page: a ledger of parts and their trials, and what is open."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.part import Part
from portal.model.result import TrialResult
from portal.model.say import Say
from portal.model.slug import natural
from portal.model.terms import VerdictWord
from portal.problem import Problem
from portal.site.desk import Desk
from portal.site.marks import word_key
from portal.site.released import releases
from portal.site.sentlines import SentLine, sent_lines
from portal.site.waiting import Waiting, waiting


@dataclass(frozen=True, slots=True)
class TrialLine:
    """One trial of a part in the ledger."""

    address: str
    stage: str
    trial: str
    mould: str
    day: date
    word: str
    sentence: Say
    open: tuple[Say, ...]
    sent: tuple[SentLine, ...]
    released: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class Unread:
    """A record that can't be read."""

    what: Say
    where: str
    address: str | None


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part in the ledger, its newest trial first."""

    address: str
    name: str
    numbers: Say
    drawing: Say
    customer: str
    trials: tuple[TrialLine, ...]
    unread: tuple[Unread, ...]


@dataclass(frozen=True, slots=True)
class Front:
    """The front page."""

    title: Say
    shop: str
    parts: tuple[PartLine, ...]
    unread: tuple[Unread, ...]
    problems: tuple[Problem, ...]
    as_of: date
    waiting: Waiting


def front_of(desk: Desk) -> Front:
    """The front page of the site."""
    catalogue = desk.site.catalogue
    parts = sorted(catalogue.parts.values(), key=lambda part: natural(part.id))
    return Front(
        title=Say.of("front.title", shop=catalogue.shop.shop.name),
        shop=catalogue.shop.shop.name,
        parts=tuple(_part_line(desk, part) for part in parts),
        unread=tuple(unread(desk)),
        problems=tuple(sorted(desk.site.problems, key=lambda each: each.order)) if desk.for_shop else (),
        as_of=desk.site.as_of,
        waiting=waiting(desk),
    )


def trial_line(desk: Desk, result: TrialResult) -> TrialLine:
    """A trial in one line: its verdict in words, and what is open."""
    trial = desk.trial(result)
    return TrialLine(
        address=desk.addresses.review(result.part.id, result.mould, result.trial),
        stage=trial.stage,
        trial=trial.id,
        mould=result.mould,
        day=trial.date,
        word=word_key(result.whole.word),
        sentence=result.whole.sentence,
        open=tuple(_open(result)),
        sent=sent_lines(desk, result.part.id, trial=f"{result.mould}/{result.trial}"),
        released=releases(desk, result),
    )


def results_of(desk: Desk, part: str) -> tuple[TrialResult, ...]:
    """The results of a part, from old to new."""
    return tuple(each for each in desk.site.results if each.part.id == part)


def unread(desk: Desk) -> Iterator[Unread]:
    """Records that are there and can't be read, with the page that says so where they have one."""
    for (kind, name), where in sorted(desk.site.catalogue.broken.items()):
        address = desk.addresses.part(name) if kind == "part" else desk.addresses.record(kind, name)
        yield Unread(Say.of(f"unread.{kind.replace(' ', '-')}", name=name), where if desk.for_shop else "", address)


def unread_trials(desk: Desk, part: str) -> Iterator[tuple[str, str, str]]:
    """Mould, trial and place of trials of that part that can't be read."""
    for (kind, name), where in sorted(desk.site.catalogue.broken.items()):
        mould_id, _, trial = name.partition("/")
        mould = desk.site.catalogue.moulds.get(mould_id)
        if kind == "trial" and mould and any(cavity.part == part for cavity in mould.cavities.values()):
            yield mould_id, trial, where


def _part_line(desk: Desk, part: Part) -> PartLine:
    customer = desk.site.catalogue.customers.get(part.customer)
    return PartLine(
        address=desk.addresses.part(part.id),
        name=part.name,
        numbers=Say.of("title.numbers", shop=part.numbers.shop, customer=part.numbers.customer),
        drawing=Say.of("title.drawing", number=part.drawing.number, revision=part.drawing.revision),
        customer=customer.name if customer else part.customer,
        trials=tuple(trial_line(desk, each) for each in reversed(results_of(desk, part.id))),
        unread=tuple(
            Unread(Say.of("unread.trial", name=f"{mould}/{trial}"), where, desk.addresses.review(part.id, mould, trial))
            for mould, trial, where in unread_trials(desk, part.id)
        ),
    )


def _open(result: TrialResult) -> Iterator[Say]:
    counts = Counter(each.verdict.word for each in result.assessments)
    agreed = sum(1 for each in result.assessments if each.verdict.key == "verdict.not-agreed")
    if counts[VerdictWord.DOES_NOT_CONFORM]:
        yield Say.of("open.does_not_conform", n=counts[VerdictWord.DOES_NOT_CONFORM])
    if counts[VerdictWord.UNDECIDED]:
        yield Say.of("open.undecided", n=counts[VerdictWord.UNDECIDED])
    if agreed:
        yield Say.of("open.not_agreed", n=agreed)
    if counts[VerdictWord.NOT_JUDGED] - agreed > 0:
        yield Say.of("open.not_judged", n=counts[VerdictWord.NOT_JUDGED] - agreed)
    missing = sum(1 for frame in result.sheet if frame.missing)
    if missing:
        yield Say.of("open.missing", n=missing)
