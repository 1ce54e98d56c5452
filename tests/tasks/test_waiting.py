"""The front page says who is waited for since when; the rule is the log's own."""

import re
from datetime import date
from pathlib import Path

import pytest

from portal.tasks.build import build
from tests.tasks.answered import built, page, reply
from tests.tasks.judged import ENGINEER, MAY_ALL, PART, TRIAL_NAME, judged_catalogue, opened
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.test_build import broken_links
from tests.tasks.two import OURS
from tests.tasks.typed import typed


def lines(out: Path) -> list[str]:
    """What is owed, as the front page's rows read."""
    rows = re.findall(r"<tr><td class=\"day\"><span.*?(?=<tr>|</table>)", page(out, "index.html"), flags=re.S)
    return [re.sub(r"\s+", " ", re.sub(r"<[^>]+>|[\u2066-\u2069]", " ", each)).strip() for each in rows]


def test_the_shop_reads_all_that_is_owed_and_since_when(answered: Path, tmp_path: Path) -> None:
    """A question back, an own question, an unclear line, a no without what becomes of it, a word by telephone."""
    out = built(answered, out=tmp_path / "site").out
    told = lines(out)
    assert len(told) == len(opened(answered).state.owed)
    assert any("a reply to a question back: Which shot was it" in each and "Question 2" in each for each in told)
    assert any("a reply to a question back: Which resin was it" in each and "Review 1" in each for each in told)
    assert any("an unclear line, to be read by a person: 3 fine with me" in each for each in told)
    assert any("a confirmation in writing" in each and "(by telephone)" in each for each in told)
    assert any("what becomes of it, after a no: not accepted, decided by R. Reviewer" in each for each in told)
    assert broken_links(out) == []


def test_the_customer_reads_what_waits_at_the_shop_for_them_but_not_its_own_duties(
    answered: Path, tmp_path: Path
) -> None:
    """Questions back, yes; what the shop still has to write down for itself, no."""
    told = lines(built(answered, OURS, tmp_path / "site").out)
    assert [each for each in told if "a reply to a question back" in each] != []
    assert [each for each in told if "confirmation" in each or "unclear" in each or "after a no" in each] == []


def test_a_question_that_was_replied_to_waits_for_the_reviewer_again(folder: Path) -> None:
    """With the name and the question where it was put."""
    (review,) = opened(folder).state.reviews.values()
    told_back = ("--answers", review.asks[1], "--comment", "Shot 11", "--by", ENGINEER)
    assert typed("note", folder, "--part", PART, *told_back).code == 0
    (told,) = [each for each in lines(built(folder).out) if MAY_ALL in each and "an answer in review 1" in each]
    assert "Question 2" in told


@pytest.mark.parametrize("late", [False, True])
def test_a_day_that_passed_is_told_as_past_without_an_age(folder: Path, late: bool) -> None:
    """The day by which an answer was asked for, as written; the day of the page decides which word stands there."""
    words = ("--question", "Which face is bonded?", "--trial", TRIAL_NAME, "--by", ENGINEER)
    due = "2030-03-04"
    assert typed("ask", folder, "--part", PART, "--due", due, *words).code == 0
    assert pack(folder).code == 0
    out = build(folder, out=None, as_of=date(2030, 3, 5 if late else 4), processes=1).out
    (told,) = [each for each in lines(out) if "an answer in review 2" in each and "2030" in each]
    assert ("was due 4 March 2030" in told) == late
    assert told.endswith("4 March 2030")


def test_nothing_is_said_of_waiting_before_anything_went_out(tmp_path: Path) -> None:
    """A catalogue without a log has no such section."""
    out = built(judged_catalogue(tmp_path / "new")).out
    assert "Who is waited for" not in page(out, "index.html")


def test_each_duty_of_an_answer_with_several_is_told_by_its_own_question(tmp_path: Path) -> None:
    """A concession and an agreed limit in one mail: what waits to be entered is the limit."""
    folder = ready_catalogue(tmp_path / "c")
    assert pack(folder).code == 0
    reply(folder, "1 C qty 500 ref DEV-118 because hidden\n3 A limit 0.2 mm")
    told = lines(built(folder).out)
    (entered,) = [each for each in told if "entered as a criterion" in each]
    assert "0.2 mm" in entered and "concession" not in entered
