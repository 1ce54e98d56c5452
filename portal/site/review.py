"""The review page: what was tried, what will be asked, every finding, every frame."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from portal.model.inspectors import lapsed
from portal.model.result import Assessment, RollUp, TrialResult
from portal.model.say import Say
from portal.model.shop import Shared
from portal.site.asked import AskedLine, asked_lines, to_ask
from portal.site.asks import AskLine, ask_lines
from portal.site.card import Card, card_of, is_compact, worst_first
from portal.site.desk import Desk
from portal.site.glossary import ClassEntry, glossary
from portal.site.hints import HintRow, hint_rows
from portal.site.marks import word_key
from portal.site.movie import MovieFigure, movies_of
from portal.site.reuse import DrawnCard
from portal.site.sentlines import SentLine, sent_lines
from portal.site.sheet import Sheet, Thumb, sheet_of, thumb
from portal.site.thread import Thread, threads_of
from portal.site.titleblock import TitleBlock, review_block
from portal.site.words import Speaker
from portal.site.zonemap import ZoneMap, outlined


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece and where it is."""

    id: str
    cavity: str
    shot: int
    place: str | None


@dataclass(frozen=True, slots=True)
class Fact:
    """Something more that is said of the trial."""

    name: Say
    value: str


@dataclass(frozen=True, slots=True)
class Review:
    """All that a review page says."""

    title: Say
    marking: Say | str
    block: TitleBlock
    word: str
    whole: RollUp
    asked: tuple[AskedLine, ...]
    """What went out already."""
    asks: tuple[AskLine, ...]
    """What the verdicts propose and isn't asked yet."""
    cards: "Cards"
    compact: "Cards"
    maps: tuple[ZoneMap, ...]
    """Of the views that cards show: cards name the outlines, also cards that were drawn before."""
    classes: tuple[ClassEntry, ...]
    sheet: Sheet
    loose: tuple[Thumb, ...]
    """Pictures of the trial that stand in no frame."""
    movies: tuple[MovieFigure, ...]
    hints: tuple[HintRow, ...]
    """For the shop: the numbers of the trial's pictures beside each other."""
    facts: tuple[Fact, ...]
    pieces: tuple[PieceLine, ...]
    checked: Say
    cautions: tuple[Say | str, ...]
    part_page: str
    problems: tuple[str, ...]
    threads: Mapping[str, Thread]
    """By finding: what the log knows of it."""
    sent: tuple[SentLine, ...]
    """The reviews of this trial that went out."""


CAUTIONS = (
    "visual_only",
    "law_first",
    "press",
    "sharp",
    "contamination",
    "used",
    "eyes",
    "ultraviolet",
    "confidential",
)


CardMaker = Callable[[Assessment, Thread | None], Card | DrawnCard]


@dataclass(frozen=True, slots=True)
class Cards:
    """Cards in their order, each made when its turn comes: of thousands none waits for the others."""

    shown: tuple[Assessment, ...]
    threads: Mapping[str, Thread]
    make: CardMaker

    def __len__(self) -> int:
        return len(self.shown)

    def __iter__(self) -> Iterator[Card | DrawnCard]:
        return (self.make(each, self.threads.get(each.finding)) for each in self.shown)


def review_of(desk: Desk, result: TrialResult, *, make_card: CardMaker | None = None) -> Review:
    """The review page of a part in a trial; `make_card` may know cards that were drawn before."""
    part, trial, mould = result.part, desk.trial(result), desk.mould(result)
    speaker = desk.speaker(part.customer)
    threads = threads_of(desk, result, speaker)
    in_order = sorted(result.assessments, key=worst_first)
    make = make_card or (lambda each, _: card_of(desk, each, part))
    checked = trial.checked
    return Review(
        title=Say.of("review.title", part=part.name, number=part.numbers.shop, stage=trial.stage),
        marking=marking(desk, part.customer),
        block=review_block(desk, result),
        word=word_key(result.whole.word),
        whole=result.whole,
        asked=asked_lines(desk, result, speaker),
        asks=to_ask(desk, result, ask_lines(result, speaker), speaker),
        cards=Cards(tuple(each for each in in_order if not is_compact(each)), threads, make),
        compact=Cards(tuple(each for each in in_order if is_compact(each)), threads, make),
        maps=outlined(desk, part, (_view_of(desk, each) for each in in_order if not is_compact(each))),
        classes=glossary(desk, (desk.found[each.picture, each.finding].finding.defect for each in in_order)),
        sheet=sheet_of(desk, result),
        loose=tuple(_loose(desk, result)),
        movies=tuple(movies_of(desk, result)),
        hints=hint_rows(desk, result),
        facts=tuple(_facts(desk, result, speaker)),
        pieces=tuple(
            PieceLine(each.id, each.cavity, each.shot, each.place)
            for each in trial.pieces
            if each.cavity in mould.cavities and mould.cavities[each.cavity].part == part.id
        ),
        checked=Say.of("review.checked", by=desk.person(checked.by), day=checked.at.day)
        if checked
        else Say.of("review.not_checked"),
        cautions=(*(Say.of(f"caution.{key}") for key in CAUTIONS), *desk.site.catalogue.shop.cautions),
        part_page=desk.addresses.part(part.id),
        problems=tuple(_unread(desk, result)) if desk.for_shop else (),
        threads=threads,
        sent=sent_lines(desk, part.id, trial=f"{result.mould}/{result.trial}"),
    )


def _view_of(desk: Desk, assessment: Assessment) -> str | None:
    tag = desk.found[assessment.picture, assessment.finding].picture.tag
    return tag.view if tag else None


def marking(desk: Desk, customer: str) -> Say | str:
    """The line on top of every review: the shop's own, else ours."""
    own = desk.site.catalogue.shop.marking
    if own:
        return own
    known = desk.site.catalogue.customers.get(customer)
    return Say.of("review.marking", customer=known.name if known else customer, shop=desk.site.catalogue.shop.shop.name)


def loose_files(desk: Desk, result: TrialResult) -> tuple[str, ...]:
    """Pictures of the trial that show this part, or nobody knows what, and stand in no frame of the sheet.

    Movies are shown by themselves.
    """
    mould, trial = desk.mould(result), desk.trial(result)
    framed = {file for frame in result.sheet for file in frame.pictures}
    return tuple(
        each.file
        for each in trial.pictures
        if each.file not in framed
        and desk.movie(each.file) is None
        and desk.site.catalogue.part_of(mould, each.tag.cavity if each.tag else None) in (result.part.id, None)
    )


def _loose(desk: Desk, result: TrialResult) -> Iterator[Thumb]:
    for file in loose_files(desk, result):
        yield thumb(desk, file)


def _facts(desk: Desk, result: TrialResult, speaker: Speaker) -> Iterator[Fact]:
    trial = desk.trial(result)
    shown = (
        ("review.changed", trial.changed, Shared.CHANGED),
        ("review.press", trial.press, Shared.PRESS),
        ("review.settings", trial.settings_sheet, Shared.PRESS),
    )
    for key, value, what in shown:
        if value and desk.shows(what):
            yield Fact(Say.of(key), value)
    if trial.hours_to_inspection is not None:
        yield Fact(Say.of("review.hours"), speaker.number(f"{trial.hours_to_inspection:g}"))
    for each in lapsed(result.part, trial, result.written, desk.site.catalogue):
        yield Fact(Say.of("review.lapsed"), speaker.say(each.said(desk.person(each.by))))


def _unread(desk: Desk, result: TrialResult) -> Iterator[str]:
    for each in desk.trial(result).pictures:
        if each.tag_broken:
            yield each.tag_broken
