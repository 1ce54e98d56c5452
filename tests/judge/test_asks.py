"""What is proposed to be asked."""

from typing import Any

import pytest

from portal.judge.asks import Asked, propose
from portal.judge.case import decided
from portal.model.result import Ask, Assessment
from portal.model.say import Say
from portal.model.terms import Answer, VerdictWord
from tests.judge.records import a_criterion, a_finding, applied

FAILS = (VerdictWord.DOES_NOT_CONFORM, "verdict.outside")
UNDECIDED = (VerdictWord.UNDECIDED, "verdict.undecided")
NOT_AGREED = (VerdictWord.NOT_JUDGED, "verdict.not-agreed")
NOT_MEASURED = (VerdictWord.NOT_JUDGED, "verdict.not-measured")
CONFORMS = (VerdictWord.CONFORMS, "verdict.inside")


def asked(
    id: str, cavity: str | None, verdict: tuple[VerdictWord, str], concern: str | None = None, **finding: Any
) -> Asked:
    """A finding of a cavity with its verdict under criterion GV-B."""
    assessment = Assessment(
        finding=id,
        part="LC-0440",
        mould="M-118",
        trial="T2",
        cavity=cavity,
        picture="a.jpg",
        verdict=decided(verdict[0], Say.of(verdict[1])),
        applied=applied(a_criterion()),
        concern=concern,
    )
    return Asked(a_finding(id=id, **finding), assessment)


def only(*cases: Asked) -> Ask:
    """The one ask that comes of it."""
    (ask,) = propose(cases)
    return ask


def test_the_same_question_is_asked_once_for_all_cavities() -> None:
    """Cavities 2 and 10 in one ask, in the order people count."""
    ask = only(asked("7K3F", "10", UNDECIDED), asked("7K3G", "2", UNDECIDED), asked("7K3H", "2", UNDECIDED))
    assert ask.cavities == ("2", "10")
    assert ask.findings == ("7K3F", "7K3G", "7K3H")
    assert ask.question.key == "ask.undecided"
    where = ask.question.get("where")
    assert isinstance(where, Say) and where.get("n") == 2


@pytest.mark.parametrize("other", [{"zone": "A"}, {"defect": "flash"}], ids=["another zone", "another class"])
def test_what_differs_is_asked_apart(other: dict[str, str]) -> None:
    """One ask, one thing."""
    assert len(propose([asked("7K3F", "1", UNDECIDED), asked("7K3G", "2", UNDECIDED, **other)])) == 2


@pytest.mark.parametrize(
    ("verdict", "key", "letters"),
    [
        (FAILS, "does-not-conform", "CDBE?"),
        (UNDECIDED, "undecided", "ABCE?"),
        (NOT_AGREED, "not-agreed", "ABE?"),
    ],
)
def test_answers_follow_the_verdict(verdict: tuple[VerdictWord, str], key: str, letters: str) -> None:
    """One letter means one thing in every review, and a question back is always possible."""
    ask = only(asked("7K3F", "1", verdict))
    assert (ask.key, "".join(ask.answers)) == (key, letters)


def test_what_the_shop_can_settle_is_not_asked() -> None:
    """Not measured is the shop's own work, and what conforms needs no question."""
    assert propose([asked("7K3F", "1", NOT_MEASURED), asked("7K3G", "1", CONFORMS)]) == ()


def test_a_question_of_its_own_stands_alone() -> None:
    """The inspector's words are used, and no other finding is mixed in."""
    question = "Is the pluck in the way of the seal?"
    asks = propose([asked("7K3F", "1", UNDECIDED, question=question), asked("7K3G", "2", UNDECIDED)])
    assert [ask.findings for ask in asks] == [("7K3F",), ("7K3G",)]
    assert asks[0].question == Say.of("ask.own", text=question)


def test_a_question_on_what_conforms_takes_evidence_or_a_question_back() -> None:
    """Nothing is there to be judged inside or outside."""
    ask = only(asked("7K3F", "1", CONFORMS, question="Does this view suit you?"))
    assert (ask.key, ask.answers) == ("question", (Answer.MORE_EVIDENCE, Answer.QUESTION_BACK))


def test_worst_first() -> None:
    """Does not conform before undecided before not agreed before other questions."""
    verdicts = [NOT_AGREED, UNDECIDED, FAILS]
    cases = [asked("7K3F", "1", CONFORMS, question="Why?")]
    cases += [asked(f"7K3{n}", "1", verdict) for n, verdict in enumerate(verdicts)]
    keys = [ask.key for ask in propose(cases)]
    assert keys == ["does-not-conform", "undecided", "not-agreed", "question"]


def test_an_answer_on_what_touches_function_covers_the_look_only() -> None:
    """The ask says so."""
    ask = only(asked("7K3F", "1", UNDECIDED, concern="function"))
    assert ask.question.key == "ask.with-concern"
    role = Say.of("verdict.concern.role")
    assert ask.question.get("concern") == Say.of("verdict.concern.function", role=role)


def test_a_comparison_that_cannot_be_told_names_the_sample_not_a_limit() -> None:
    """Cannot tell is undecided beside a limit sample."""
    for key in ("verdict.compared-cannot-tell", "verdict.compared-first-bad"):
        ask = only(asked("7K3F", "1", (VerdictWord.UNDECIDED, key)))
        assert ask.question.key == "ask.undecided.sample"


def test_without_a_cavity_the_zone_is_named() -> None:
    """A mould of one part may have pictures that name no cavity."""
    ask = only(asked("7K3F", None, UNDECIDED))
    assert ask.cavities == () and ask.question.get("where") == Say.of("ask.where.zone", zone="B")
