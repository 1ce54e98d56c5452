"""A finding's card tells what became of it: verdict and disposition apart, then each entry up to the decision."""

import re
from pathlib import Path

from tests.tasks.answered import LIVE, built, page, reply
from tests.tasks.judged import ENGINEER, INSPECTOR, MAY_ALL, PART, opened
from tests.tasks.packing import pack
from tests.tasks.small import TRIAL
from tests.tasks.test_audience import text_of
from tests.tasks.test_build import broken_links
from tests.tasks.two import OURS, change
from tests.tasks.typed import typed

TAG = f"{TRIAL}/tags/c1_top.jpg.yaml"


def thread(out: Path, finding: str) -> str:
    """What the thread of a finding's card says, as text."""
    card = page(out, LIVE).partition(f'id="f-{finding}"')[2].partition("</article>")[0]
    found = card.partition('<section class="thread"')[2].partition("</section>")[0].partition(">")[2]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>|[\u2066-\u2069]", " ", found)).strip()


def note(folder: Path, *words: str) -> None:
    """`portal note …`."""
    done = typed("note", folder, "--part", PART, "--by", INSPECTOR, *words)
    assert done.code == 0, done.err


def in_order(text: str, *words: str) -> bool:
    """Whether these stand in a text one behind the other."""
    for each in words:
        _, found, text = text.partition(each)
        if not found:
            return False
    return True


def test_verdict_and_disposition_stand_apart_and_the_entries_follow_in_order(folder: Path) -> None:
    """Drawn, asked, sent, answered, what the shop decided, in the order in which they came."""
    words = ("--finding", "7K3F", "--shop", "--disposition", "rework", "--why", "polish", "--by", ENGINEER)
    assert typed("record", folder, "--part", PART, *words).code == 0
    out = built(folder).out
    told = thread(out, "7K3F")
    assert told.startswith("Verdict, worked out Does not conform Disposition, decided by people not accepted")
    assert in_order(told, "12 February 2026 Drawn", "Asked", "Sent in Review 1", "B not accepted R. Reviewer",
                    "it can be felt", "The shop decided: rework", "polish")  # fmt: skip
    assert "not settled" not in told
    assert broken_links(out) == []


def test_a_decision_by_telephone_is_told_as_recorded_until_there_is_something_in_writing(folder: Path) -> None:
    """In the disposition's column and in the thread; evidence ends it in both."""
    assert thread(built(folder).out, "7K3H").count("not yet confirmed in writing") == 2
    logged = next(each for each in opened(folder).state.events if each.event.kind == "decision-recorded")
    paper = folder.parent / "signed.txt"
    paper.write_text("agreed", encoding="utf-8")
    words = ("--confirms", logged.hash, "--evidence", str(paper), "--how", "mail", "--when", "2026-02-28")
    done = typed("record", folder, "--part", PART, "--decided-by", MAY_ALL, *words, "--by", ENGINEER)
    assert done.code == 0, done.err
    told = thread(built(folder).out, "7K3H")
    assert "not yet confirmed" not in told
    assert in_order(told, "27 February 2026", "Confirmed in writing", "evidence signed.txt")


def test_a_question_back_and_its_reply_are_in_the_thread_of_their_finding_only(folder: Path) -> None:
    """The reply names the answer and a number; it belongs to what that question is about."""
    (review,) = opened(folder).state.reviews.values()
    note(folder, "--answers", review.received[0].event, "--number", "2", "--comment", "Shot 11", "--by", ENGINEER)
    out = built(folder).out
    assert in_order(thread(out, "7K3G"), "? a question back", "Which shot was it", "Replied", "Shot 11")
    assert "Asked, not settled yet" in thread(out, "7K3G")
    assert "Shot 11" not in thread(out, "7K3F")


def test_a_reply_to_an_answer_as_a_whole_is_about_all_that_was_asked_back(folder: Path) -> None:
    """Without a number it replies to every question in that answer, and to no decision."""
    (review,) = opened(folder).state.reviews.values()
    note(folder, "--answers", review.received[0].event, "--all", "--comment", "Shot 11", "--by", ENGINEER)
    out = built(folder).out
    assert ("Shot 11" in thread(out, "7K3G"), "Shot 11" in thread(out, "7K3F")) == (True, False)


def test_what_is_the_shops_own_is_on_no_page_of_the_customer(folder: Path, tmp_path: Path) -> None:
    """A comment for the shop, one that was taken back, an ask that never went out; a shared comment is there."""
    note(folder, "--finding", "7K3F", "--comment", "Cutter blunt says the operator")
    note(folder, "--finding", "7K3F", "--comment", "Seen on three more", "--shared")
    words = ("--finding", "7K3J", "--question", "Is splay wanted here?", "--by", ENGINEER)
    assert typed("ask", folder, "--part", PART, *words, "--kind", "question").code == 0
    shop, theirs = text_of(built(folder).out), text_of(built(folder, OURS, tmp_path / "site").out)
    for said in ("Cutter blunt", "Is splay wanted"):
        assert (said in shop, said in theirs) == (True, False)
    assert ("Seen on three more" in shop, "Seen on three more" in theirs) == (True, True)
    assert "shop only" in thread(folder / "site/shop", "7K3F")


def test_a_shop_that_shares_its_comments_shows_them(folder: Path, tmp_path: Path) -> None:
    """What is shared is the shop's to say."""
    note(folder, "--finding", "7K3F", "--comment", "Cutter blunt says the operator")
    text = (folder / "catalog.yaml").read_text(encoding="utf-8")
    shared = re.sub(r"(?m)^#? ?share:.*\n", "", text) + "\nshare: [shop_comments]\n"
    (folder / "catalog.yaml").write_text(shared, encoding="utf-8")
    assert "Cutter blunt" in text_of(built(folder, OURS, tmp_path / "site").out)


def test_a_decision_on_what_was_changed_since_says_so_and_it_is_asked_about_again(folder: Path) -> None:
    """The finding was drawn anew after the answer: what was decided is kept, and doesn't pass for a decision on it."""
    assert "changed since" not in thread(built(folder).out, "7K3F")
    change(folder, TAG, "120,120", "130,130")
    for audience in ("shop", OURS):
        out = built(folder, audience).out
        assert "Given on what was shown then; the finding was changed since" in thread(out, "7K3F")
        assert "What will be asked: 1 decision" in page(out, LIVE)


def test_answers_that_disagree_both_stand(folder: Path) -> None:
    """Neither is chosen by the page."""
    reply(folder, "1 D")
    told = thread(built(folder).out, "7K3F")
    assert in_order(told, "not accepted", "rework", "The answers disagree; none holds until it is settled")


def test_what_was_withdrawn_stays_to_be_read_and_counts_no_more(folder: Path) -> None:
    """The review and the answers to it; the ask has to go out again."""
    (review,) = opened(folder).state.reviews.values()
    done = typed("withdraw", folder, "--part", PART, "--review", review.code, "--why", "wrong lot", "--by", ENGINEER)
    assert done.code == 0, done.err
    told = thread(built(folder).out, "7K3F")
    assert in_order(told, "To be asked; not sent yet", "Sent in Review 1", "counts no more", "not accepted",
                    "counts no more", "Review 1 withdrawn", "wrong lot")  # fmt: skip


def test_a_finding_of_which_the_log_knows_nothing_has_no_thread(folder: Path) -> None:
    """Before anything was said about it there is nothing to tell."""
    assert pack(folder).code in (0, 3)
    plain = (folder / TAG).read_text(encoding="utf-8")
    (folder / TAG).write_text(plain.replace("id: 7K3J", "id: 7K3M"), encoding="utf-8")
    out = built(folder).out
    assert 'id="f-7K3M"' in page(out, LIVE)
    assert thread(out, "7K3M") == ""
