"""What an answer says, in words: its letter and its meaning, what it covers, what it adds."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.answer import AskKind, Concession, Given, disposition_of
from portal.model.say import Say, Several
from portal.model.terms import Answer
from portal.site.answerform import key_of
from portal.site.asks import meaning
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """One answer as it was given."""

    letter: str | None
    meaning: Say
    """What the letter means; that it was answered in words, where there is none."""
    more: tuple[Say | str, ...]
    by: str
    day: date | str
    way: Say | None
    """That the shop recorded it, and whether there is anything in writing."""
    counts: bool


def meaning_of(given: Given, kind: AskKind, speaker: Speaker) -> Say:
    """What it decides; where that is nothing, what its letter means, or that it came in words."""
    decides = disposition_of(given.letter, kind)
    if decides:
        return Say.of(f"log.disposition.{key_of(decides)}")
    if given.letter is Answer.MORE_EVIDENCE:
        return Say.of("log.owed.evidence")
    return meaning(kind.value, given.letter, speaker) if given.letter else Say.of("log.in_words")


def said_with(given: Given, *, of: Collection[str] = ()) -> tuple[Say | str, ...]:
    """Everything beside the letter; a person's own words stay as they are.

    `of` are the findings that it was asked about: where it covers all of them, they aren't named once more.
    """
    return tuple(_with(given, of))


def _with(given: Given, of: Collection[str]) -> Iterator[Say | str]:
    yield from (each for each in (given.words, given.question) if each)
    if {each.finding for each in given.findings} not in (set(), set(of)):
        yield Say.of("log.for", findings=Several(tuple(each.finding for each in given.findings)))
    if given.left_out:
        yield Say.of("log.left_out", findings=Several(given.left_out))
    if given.evidence:
        yield Say.of("log.wanted", what=Several(tuple(Say.of(f"evidence.{key_of(each)}") for each in given.evidence)))
    if given.concession:
        yield from _concession(given.concession)
    if given.limit:
        yield Say.of("log.limit", limit=given.limit.limit)
        if given.limit.condition:
            yield Say.of("log.limit_condition", condition=given.limit.condition)
        if given.limit.holds:
            yield Say.of("log.limit_holds", holds=Say.of(f"holds.{key_of(given.limit.holds)}"))
    for each in given.keep:
        yield Say.of("log.keep", finding=each.finding, side=Say.of(f"keep.{key_of(each.side)}"))
    if given.looked_at:
        yield Say.of("log.looked", what=Say.of(f"looked.{key_of(given.looked_at)}"))
    if given.comment:
        yield given.comment


def _concession(concession: Concession) -> Iterator[Say]:
    for name, value in concession.given().items():
        yield Say.of(f"log.concession.{name}", value=value)
