"""What will be asked: proposed asks with what each letter means, and which cards they are about."""

from collections.abc import Iterable
from dataclasses import dataclass

from portal.model.result import TrialResult
from portal.model.say import Say
from portal.model.terms import Answer
from portal.site.card import anchor_of
from portal.site.marks import word_key
from portal.site.words import Speaker

_NAMES = {
    Answer.INSIDE: "a",
    Answer.OUTSIDE: "b",
    Answer.CONCESSION: "c",
    Answer.REWORK: "d",
    Answer.MORE_EVIDENCE: "e",
    Answer.QUESTION_BACK: "q",
}


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter and what it means for this ask."""

    letter: str
    meaning: Say


@dataclass(frozen=True, slots=True)
class AskLine:
    """One ask."""

    number: int
    question: Say | str
    letters: tuple[Letter, ...]
    findings: tuple[tuple[str, str, str], ...]
    """Finding, anchor, verdict word."""
    is_recorded: bool = False
    """Whether it is in the log already and goes out with the next review."""


def ask_lines(result: TrialResult, speaker: Speaker) -> tuple[AskLine, ...]:
    """The proposed asks of a trial, numbered as they will be sent."""
    words = {each.finding: word_key(each.verdict.word) for each in result.assessments}
    return tuple(
        AskLine(
            number=number,
            question=ask.question,
            letters=letters(ask.key, ask.answers, speaker),
            findings=tuple((each, anchor_of(each), words.get(each, "not-judged")) for each in ask.findings),
        )
        for number, ask in enumerate(result.asks, start=1)
    )


def letters(kind: str, offered: Iterable[Answer], speaker: Speaker) -> tuple[Letter, ...]:
    """The letters that an ask of that kind offers, in their order."""
    in_order = sorted(offered, key=lambda answer: list(Answer).index(answer))
    return tuple(Letter(each.value, meaning(kind, each, speaker)) for each in in_order)


def meaning(kind: str, answer: Answer, speaker: Speaker) -> Say:
    """What a letter means for an ask of that kind."""
    own = f"answer.{kind}.{_NAMES[answer]}"
    return Say.of(own if speaker.knows(own) else f"answer.{_NAMES[answer]}")
