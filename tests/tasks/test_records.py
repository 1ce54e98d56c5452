"""A part from trial to trial, and the record of a matter for which nobody owes anything any more."""

import re
from pathlib import Path

from tests.tasks.answered import LIVE, built, page, reply, sent_path
from tests.tasks.judged import ENGINEER, INSPECTOR, PART, TRIAL_NAME, opened
from tests.tasks.small import TRIAL
from tests.tasks.test_audience import text_of
from tests.tasks.test_build import broken_links, site
from tests.tasks.two import OURS, change
from tests.tasks.typed import typed

PART_PAGE = f"parts/{PART}/index.html"


def record(folder: Path, *words: str) -> None:
    """`portal record …`."""
    done = typed("record", folder, "--part", PART, "--by", ENGINEER, *words)
    assert done.code == 0, done.err


def rework(folder: Path, finding: str) -> None:
    """The shop says what becomes of it after a no."""
    record(folder, "--finding", finding, "--shop", "--disposition", "rework", "--why", "polish the insert")


def records(out: Path) -> dict[str, str]:
    """Every record of the site by its first eight digits, as text."""
    found = sorted((out / "parts" / PART / "records").glob("*/index.html"))
    return {each.parent.name: each.read_text(encoding="utf-8") for each in found}


def told(text: str) -> str:
    """What a page says, without its marks."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>|[\u2066-\u2069]", " ", text))


def test_a_matter_has_a_record_once_nobody_owes_anything_for_it(folder: Path) -> None:
    """After the customer's no the shop still has to say what becomes of it; a word by telephone isn't enough."""
    assert records(built(folder).out) == {}
    rework(folder, "7K3F")
    rework(folder, "7K3H")
    out = built(folder).out
    (review,) = opened(folder).state.reviews.values()
    assert list(records(out)) == [review.asks[0][:8]]
    assert f"records/{review.asks[0][:8]}/" in page(out, PART_PAGE)
    assert f"records/{review.asks[0][:8]}/" in page(out, LIVE)
    assert broken_links(out) == []


def test_a_record_tells_question_picture_answer_decision_and_what_it_rests_on(folder: Path) -> None:
    """As it was shown when it was decided, not as it would be judged today."""
    rework(folder, "7K3F")
    change(folder, f"{TRIAL}/tags/c1_top.jpg.yaml", "zone: B", "zone: A")
    (text,) = records(built(folder).out).values()
    (store,) = folder.glob(f"parts/{PART}/reviews/T1-*")
    for said in ("Do you grant a concession", "polish the insert", "it can be felt", "As it was shown", "zone B"):
        assert said in told(text)
    assert "<img" in text or "<image" in text
    state = opened(folder).state
    asked = next(iter(state.asks.values()))
    for hash_ in (asked.hash, asked.sent[0].event, asked.replies[0].event, state.reviews[asked.sent[0].review].digest):
        assert hash_ in text
    assert store.name.rpartition("-")[2] in text


def test_a_record_without_its_store_says_so_and_keeps_the_words(folder: Path) -> None:
    """Nothing crashes; what the log holds is told."""
    rework(folder, "7K3F")
    (shown,) = folder.glob(f"parts/{PART}/reviews/*/shown.json")
    shown.unlink()
    made = built(folder)
    (text,) = records(made.out).values()
    assert shown.relative_to(folder).as_posix() in text
    assert "it can be felt" in text
    assert "As it was shown" not in text
    assert broken_links(made.out) == []


def test_the_customer_has_the_same_records_without_what_is_the_shops_own(folder: Path, tmp_path: Path) -> None:
    """The shop's comment is in the shop's record only."""
    rework(folder, "7K3F")
    words = ("--finding", "7K3F", "--comment", "Cutter blunt says the operator", "--by", INSPECTOR)
    assert typed("note", folder, "--part", PART, *words).code == 0
    trial = ("--trial", TRIAL_NAME, "--comment", "Press two, by mistake", "--by", INSPECTOR)
    assert typed("note", folder, "--part", PART, *trial).code == 0
    shop, theirs = built(folder).out, built(folder, OURS, tmp_path / "site").out
    assert records(shop).keys() == records(theirs).keys() != set()
    assert "Cutter blunt" in "".join(records(shop).values())
    assert "Press two, by mistake" in page(shop, PART_PAGE)
    assert "Cutter blunt" not in text_of(theirs)
    assert "Press two" not in text_of(theirs)
    assert broken_links(theirs) == []


def test_the_part_tells_verdict_review_decisions_and_release_of_each_trial(folder: Path, tmp_path: Path) -> None:
    """What still lacks a decision is named; a release is told with who granted it."""
    before = told(page(built(folder).out, PART_PAGE))
    assert "not accepted: 7K3F" in before
    assert "without a final decision: 7K3F, 7K3G and 7K3H" in before
    assert "Released" not in before
    reply(folder, "2 A")
    rework(folder, "7K3F")
    rework(folder, "7K3H")
    out = built(folder).out
    assert "All questions are answered; not released yet" in told(page(out, PART_PAGE))
    done = typed("release", folder, "--part", PART, "--trial", TRIAL_NAME, "--for", "next trial", "--by", ENGINEER)
    assert done.code == 0, done.err
    again = built(folder).out
    after = told(page(again, PART_PAGE))
    assert "Released for the next trial by" in after
    assert "Released for the next trial by" in told(page(again, "index.html"))
    assert "without a final decision" not in after
    assert "rework: 7K3F and 7K3H" in after
    assert sent_path(folder).removeprefix(f"parts/{PART}/").removesuffix("index.html") in page(again, PART_PAGE)
    assert site(again) == site(built(folder, out=tmp_path / "clean").out)


def test_a_part_without_a_log_has_no_history_of_it(folder: Path) -> None:
    """Its trials stand side by side as before."""
    for each in (folder / f"parts/{PART}/log").glob("*.json"):
        each.unlink()
    assert "From trial to trial" not in page(built(folder).out, PART_PAGE)
