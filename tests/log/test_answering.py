"""The manual's page on answering shows lines that are read as it says."""

import re

import pytest

from portal.log.reply import read_reply
from portal.model.answer import AskKind
from portal.model.reply import Asked
from portal.resources import templates
from tests.log.asking import asked

PAGE = (templates() / "manual" / "answering.md").read_text(encoding="utf-8")
LINES = [line for block in re.findall(r"```text\n(.*?)```", PAGE, re.S) for line in block.splitlines()]
KINDS = {5: AskKind.DOES_NOT_CONFORM, 6: AskKind.QUESTION, 7: AskKind.NOT_AGREED}


def questions(line: str) -> dict[int, Asked]:
    """Questions of the kinds that the page's lines answer; rework is offered where a finding doesn't conform."""
    kinds = {**KINDS, **({1: AskKind.DOES_NOT_CONFORM} if line.startswith("1 D") else {})}
    return {n: asked(n, kinds.get(n, AskKind.UNDECIDED), "7K3F", "7K3G") for n in range(1, 8)}


@pytest.mark.parametrize("line", LINES)
def test_every_line_that_the_page_shows_is_taken_whole(line: str) -> None:
    """Nothing of it is unclear, and it says what its keys say."""
    reply = read_reply(line, questions(line))
    assert reply.unclear == ()
    assert len(reply.answers) + len(reply.questions) == 1


def test_the_page_shows_what_is_not_taken() -> None:
    """Its example of free words is none."""
    assert "`1 looks fine to me`" in PAGE
    assert read_reply("1 looks fine to me", questions("")).answers == ()
    assert len(LINES) == 15


def test_every_german_word_of_the_page_is_read() -> None:
    """One line for each."""
    for line in (
        "5 C Menge 500 Stück Los 4711 bis 1.5.2026 Referenz DEV-118 weil verdeckt",
        "5 C Nest 2, 3 weil verdeckt",
        "5 C Kavität 2, 3 weil verdeckt",
        "1 A außer 7K3F",
        "1 A behalten 7K3F letztes gutes angesehen Teil in der Hand Kommentar gut",
        "7 A Grenze 0,15 mm ab jetzt Bedingung bei 20x",
        "7 A Grenze 0,15 mm nur dieser Versuch",
    ):
        reply = read_reply(line, questions(line))
        assert reply.unclear == (), line
        assert len(reply.answers) == 1
