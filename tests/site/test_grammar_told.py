"""What mail and form tell about how to answer is what a reply is read with, in every language."""

import re

import pytest

from portal.log.reply import read_reply
from portal.model.answer import AskKind, Disposition, disposition_of
from portal.model.reply import Asked
from portal.model.terms import Answer
from portal.site.words import Speaker

LANGUAGES = ("en", "de")
SHORT = (
    ("answer.undecided.a", AskKind.UNDECIDED, Answer.INSIDE),
    ("answer.undecided.b", AskKind.UNDECIDED, Answer.OUTSIDE),
    ("answer.does-not-conform.b", AskKind.DOES_NOT_CONFORM, Answer.OUTSIDE),
    ("answer.d", AskKind.DOES_NOT_CONFORM, Answer.REWORK),
    ("log.disposition.judged-inside", AskKind.UNDECIDED, Answer.INSIDE),
    ("log.disposition.judged-outside", AskKind.UNDECIDED, Answer.OUTSIDE),
    ("log.disposition.limit-agreed", AskKind.NOT_AGREED, Answer.INSIDE),
)
"""What a letter means, in few words that may be typed behind it."""


def asked(kind: AskKind) -> Asked:
    """A question of that kind about two findings."""
    return Asked(1, "1" * 64, kind, kind.offers, ())


def speaker(language: str) -> Speaker:
    """Speaks that language."""
    return Speaker(language, "mm", str)


def examples(language: str) -> list[str]:
    """Every line that the mail and the form give as an example."""
    said = speaker(language)
    told = [said.text(f"mail.{key}") for key in ("how", "how_concession", "how_words")]
    told.append(said.text("mailed.words"))
    quoted = [line for text in told for line in re.findall(r"[“„](.+?)[”“]", text)]
    return [*quoted, said.text("mailed.example_concession"), said.text("mailed.example_question")]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_example_is_taken(language: str) -> None:
    """Six lines or more; nothing of any is left for a person to read."""
    lines = examples(language)
    assert len(lines) == 7
    for line in lines:
        number, letter = line.split()[:2]
        kind = AskKind.UNDECIDED if letter != "D" else AskKind.DOES_NOT_CONFORM
        ask = Asked(int(number), "1" * 64, kind, kind.offers, ())
        reply = read_reply(re.sub(r" (except|ausgenommen) 7K3F", "", line), {ask.number: ask})
        assert (len(reply.answers) + len(reply.questions), reply.unclear) == (1, ()), line


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(("key", "kind", "letter"), SHORT)
def test_what_a_letter_means_may_be_typed_behind_it(language: str, key: str, kind: AskKind, letter: Answer) -> None:
    """And it decides what the letter alone does."""
    line = f"1 {letter} {speaker(language).text(key)}"
    reply = read_reply(line, {1: asked(kind)})
    assert reply.unclear == (), line
    assert [disposition_of(each.letter, kind) for each in reply.answers] == [disposition_of(letter, kind)]


@pytest.mark.parametrize("line", ["1 A nicht innerhalb", "1 B Grenze vereinbart", "1 A als außerhalb beurteilt"])
def test_words_that_say_something_else_stay_for_a_person(line: str) -> None:
    """A letter with another letter's words is no answer."""
    reply = read_reply(line, {1: asked(AskKind.NOT_AGREED)})
    assert (reply.answers, len(reply.unclear)) == ((), 1)
    assert disposition_of(Answer.INSIDE, AskKind.NOT_AGREED) is Disposition.LIMIT_AGREED
