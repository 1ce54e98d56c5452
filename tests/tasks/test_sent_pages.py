"""The site draws what the log says: each sent review for ever from its store, with what came back."""

import json
import shutil
from pathlib import Path

import pytest

from portal.problem import PortalError
from tests.tasks.answered import LIVE, built, page, reply, sent_path
from tests.tasks.judged import ENGINEER, MAY_ALL, PART, opened
from tests.tasks.small import TRIAL
from tests.tasks.test_build import broken_links, site
from tests.tasks.two import OURS, change
from tests.tasks.typed import typed

STANDARD = "standards/looks/1.yaml"
EMPTY = 'class="field empty'


@pytest.mark.parametrize("audience", ["shop", OURS])
def test_a_sent_review_has_its_page_with_the_answers_that_came(answered: Path, tmp_path: Path, audience: str) -> None:
    """Linked from the part's page and from the trial's, for the shop and for the customer; every address leads on."""
    made = built(answered, audience, tmp_path / "site")
    assert made.exit_code == 0, made.said
    sent = page(made.out, sent_path(answered))
    for said in ("not accepted", "it can be felt", "Which shot was it", "Which resin was it", "3 fine with me"):
        assert said in sent
    assert "27 February 2026" in sent
    assert "(by telephone), not yet confirmed in writing." in sent
    assert "waiting for the shop&#39;s reply" in sent
    (review,) = opened(answered).state.reviews.values()
    assert f"reviews/T1-{review.code}/" in page(made.out, "search.html")
    for other in (f"parts/{PART}/index.html", LIVE):
        assert "2 of 3 answered" in page(made.out, other)
        assert sent_path(answered).removeprefix(f"parts/{PART}/") in page(made.out, other)
    assert broken_links(made.out) == []


def test_what_the_shop_replied_stands_below_the_question_and_below_an_own_one(folder: Path) -> None:
    """Words to an answer as a whole are for what it asked back; they stand below no decision."""
    (review,) = opened(folder).state.reviews.values()
    words = ("--answers", review.received[0].event, "--all", "--comment", "Shot 11, lot 77", "--by", ENGINEER)
    assert typed("note", folder, "--part", PART, *words).code == 0
    sent = page(built(folder).out, sent_path(folder))
    below = {number: sent.partition(f'id="ask-{number}"')[2].partition("<li id=")[0].partition("</ol>")[0]
             for number in (1, 2, 3)}  # fmt: skip
    assert [number for number, text in below.items() if "Shot 11" in text] == [2]
    assert "Shot 11" in sent.partition("Which resin was it")[2]


def test_of_answers_that_disagree_the_page_says_which_no_longer_counts(folder: Path) -> None:
    """Both stand plainly until it is settled; then only the one that holds does."""
    reply(folder, "1 D")
    assert _ask_one(folder).count('<p class="given">') == 2
    (review,) = opened(folder).state.reviews.values()
    holds = ("--holds", review.received[1].event, "--settled-by", MAY_ALL)
    words = ("--closes", review.asks[0], "--why", "told", *holds, "--by", ENGINEER)
    closed = typed("close", folder, "--part", PART, *words)
    assert closed.code == 0, closed.err
    gone, stands = _ask_one(folder).split('<p class="given')[1:]
    assert gone.startswith(' gone"') and "not accepted" in gone and "Counts no more." in gone
    assert "settled by R. Reviewer:" in stands and "told" in stands
    assert stands.startswith('">') and "rework" in stands and "Counts no more." not in stands


def _ask_one(folder: Path) -> str:
    """What the sent page says of its first question."""
    return page(built(folder).out, sent_path(folder)).partition('id="ask-1"')[2].partition('id="ask-2"')[0]


def test_evidence_confirms_what_was_recorded(folder: Path) -> None:
    """Then the page says that it is confirmed in writing."""
    logged = next(each for each in opened(folder).state.events if each.event.kind == "decision-recorded")
    paper = folder.parent / "signed.txt"
    paper.write_text("agreed", encoding="utf-8")
    words = ("--confirms", logged.hash, "--evidence", str(paper), "--how", "mail", "--when", "2026-02-28")
    done = typed("record", folder, "--part", PART, "--decided-by", MAY_ALL, *words, "--by", ENGINEER)
    assert done.code == 0, done.err
    sent = page(built(folder).out, sent_path(folder))
    assert "not yet confirmed in writing" not in sent
    assert "(by telephone), confirmed in writing" in sent


def test_what_was_sent_is_told_as_it_was_when_the_standard_changes(folder: Path) -> None:
    """The trial's page judges by today's standard and says so; the sent one stays byte for byte."""
    before = page(built(folder).out, sent_path(folder))
    assert "0.112" in before
    change(folder, STANDARD, "max: 0.112 mm", "max: 0.212 mm")
    out = built(folder).out
    assert page(out, sent_path(folder)) == before
    assert "0.212" in page(out, LIVE)
    assert "This page judges by today&#39;s standard" in page(out, LIVE)


def test_what_was_asked_is_not_proposed_once_more(answered: Path, tmp_path: Path) -> None:
    """The trial's page tells which question of which review it was, and its title block who asked and when."""
    live = page(built(answered, out=tmp_path / "site").out, LIVE)
    assert "Question 1 of review 1" in live
    assert "What was asked: 3 questions" in live
    assert "What will be asked" not in live
    assert "not sent yet" not in live


def test_what_is_on_record_and_not_sent_yet_will_be_asked_and_the_customer_is_not_told(
    folder: Path, tmp_path: Path
) -> None:
    """In the words of the one who asks, for the shop; it isn't lost between the asking and the sending."""
    words = ("--finding", "7K3J", "--question", "Is splay wanted here?", "--kind", "question", "--by", ENGINEER)
    assert typed("ask", folder, "--part", PART, *words).code == 0
    live = page(built(folder).out, LIVE)
    assert "What will be asked: 1 decision" in live
    assert "Is splay wanted here?" in live.partition("What will be asked")[2]
    assert "On record; it goes out with the next review." in live
    assert "Is splay wanted here?" not in page(built(folder, OURS, tmp_path / "site").out, LIVE)


def test_a_new_event_is_noticed_and_an_incremental_build_equals_a_clean_one(folder: Path, tmp_path: Path) -> None:
    """Events and stores are inputs like all others; where nothing came, nothing is done."""
    out = built(folder).out
    assert built(folder).nothing_changed
    reply(folder, "2 A")
    again = built(folder)
    assert not again.nothing_changed
    assert "3 of 3 answered" in page(out, LIVE)
    assert site(out) == site(built(folder, out=tmp_path / "clean").out)


@pytest.mark.parametrize("damage", ["gone", "changed", "not ours"])
@pytest.mark.parametrize("audience", ["shop", OURS])
def test_a_review_whose_store_is_damaged_says_so_and_keeps_its_answers(
    folder: Path, tmp_path: Path, audience: str, damage: str
) -> None:
    """The file is named to the shop, the rest of the site is published, and the build ends with 1."""
    path = sent_path(folder)
    (shown,) = folder.glob(f"parts/{PART}/reviews/*/shown.json")
    if damage == "gone":
        shown.unlink()
    else:
        shown.write_text("{}" if damage == "not ours" else shown.read_text("utf-8").replace("cavity 1", "cavity 2"),
                         encoding="utf-8")  # fmt: skip
    made = built(folder, audience, tmp_path / "site")
    sent = page(made.out, path)
    named = shown.relative_to(folder).as_posix()
    assert made.exit_code == 1
    assert named in made.said
    assert (f"<code>{named}</code>" in sent) == (audience == "shop")
    assert "can&#39;t be drawn" in sent
    assert "Which shot was it" in sent
    assert "not kept as it was sent" in page(made.out, LIVE)
    assert broken_links(made.out) == []


def test_a_picture_of_a_store_that_is_gone_or_another_leaves_an_empty_frame(folder: Path) -> None:
    """Another picture under the hash of the one that was sent is never shown."""
    pictures = sorted(folder.glob(f"parts/{PART}/reviews/*/pictures/*.jpg"))
    before = page(built(folder).out, sent_path(folder))
    pictures[0].unlink()
    shutil.copy(folder / TRIAL / "images/c1_top.jpg", pictures[1])
    made = built(folder)
    sent = page(made.out, sent_path(folder))
    assert made.exit_code == 1
    for each in pictures[:2]:
        assert each.relative_to(folder).as_posix() in sent
    assert before.count(EMPTY) < sent.count(EMPTY)
    assert broken_links(made.out) == []


def test_a_sent_review_leaves_only_as_it_was_sent(answered: Path, tmp_path: Path) -> None:
    """What the site holds of a store are its pictures, byte for byte; a customer's site names no file of the log."""
    out = built(answered, OURS, tmp_path / "site").out
    kept = [each.read_bytes() for each in answered.glob(f"parts/{PART}/reviews/*/pictures/*.jpg")]
    published = {path: body for path, body in site(out).items() if path.endswith(".jpg")}
    assert kept and all(each in published.values() for each in kept)
    words = b"\n".join(body for path, body in site(out).items() if path.endswith(".html"))
    assert b"/answers/" not in words
    assert b"/log/" not in words


def test_a_part_that_changed_hands_hands_over_nothing_of_its_log(folder: Path, tmp_path: Path) -> None:
    """What was said with the customer before is not for the customer after."""
    other = (folder / f"customers/{OURS}.yaml").read_text(encoding="utf-8")
    (folder / "customers/sollen.yaml").write_text(other, encoding="utf-8")
    change(folder, f"parts/{PART}/part.yaml", f"customer: {OURS}", "customer: sollen")
    out = built(folder, "sollen", tmp_path / "site").out
    assert not (out / sent_path(folder)).exists()
    assert "Review 1" not in page(out, LIVE)


def test_a_sent_review_stays_while_the_parts_own_file_cannot_be_read(folder: Path) -> None:
    """A slip in `part.yaml` takes nothing away that went out; its page is linked from the page that says so."""
    before = page(built(folder).out, sent_path(folder))
    change(folder, f"parts/{PART}/part.yaml", "name:", "nmae:")
    made = built(folder)
    assert made.exit_code == 1
    after = page(made.out, sent_path(folder))
    assert (
        after.partition("What was asked")[2].partition("colophon")[0]
        == (before.partition("What was asked")[2].partition("colophon")[0])
    )
    assert "Review 1" in page(made.out, f"parts/{PART}/index.html")
    assert broken_links(made.out) == []


def test_a_damaged_event_is_told_and_the_rest_is_drawn(folder: Path) -> None:
    """An event whose bytes changed is named with its file; it isn't taken for what it was."""
    event = next(each for each in (folder / f"parts/{PART}/log").glob("*.json")
                 if json.loads(each.read_text("utf-8"))["kind"] == "decision-recorded")  # fmt: skip
    event.write_text(event.read_text("utf-8").replace("telephone", "meeting"), encoding="utf-8")
    made = built(folder)
    assert made.exit_code == 1
    assert event.name in made.said
    assert event.name in page(made.out, "index.html")
    assert "1 of 3 answered" in page(made.out, LIVE)


def another_customer(folder: Path) -> None:
    """Sollenbrack is a customer too."""
    other = (folder / f"customers/{OURS}.yaml").read_text(encoding="utf-8")
    name = next(line for line in other.splitlines() if line.startswith("name:"))
    (folder / "customers/sollen.yaml").write_text(other.replace(name, "name: Sollenbrack Optik"), encoding="utf-8")


def test_another_customer_named_by_the_shop_refuses_the_customers_site(folder: Path, tmp_path: Path) -> None:
    """The event that names them is named; nothing is written."""
    another_customer(folder)
    words = ("--finding", "7K3F", "--comment", "as at Sollenbrack", "--shared", "--by", ENGINEER)
    assert typed("note", folder, "--part", PART, *words).code == 0
    with pytest.raises(PortalError) as refused:
        built(folder, OURS, tmp_path / "site")
    told = "\n".join(str(each) for each in refused.value.problems)
    assert f"parts/{PART}/log/" in told
    assert "`sollenbrack`, a name of customer" in told
    assert not (tmp_path / "site").exists() or not any((tmp_path / "site").rglob("*.html"))


def test_a_bare_name_that_the_customer_wrote_hides_no_other(folder: Path, tmp_path: Path) -> None:
    """Else the name would be looked for nowhere on their site any more."""
    another_customer(folder)
    reply(folder, "2 A comment Sollenbrack")
    with pytest.raises(PortalError):
        built(folder, OURS, tmp_path / "site")


def test_what_the_customer_wrote_is_no_leak_to_them(folder: Path, tmp_path: Path) -> None:
    """Their own words, as a whole; the same name in the shop's words is still found."""
    another_customer(folder)
    reply(folder, "2 A comment as at Sollenbrack last year\n? Is Sollenbrack asked too")
    out = built(folder, OURS, tmp_path / "site").out
    assert "Is Sollenbrack asked too" in page(out, sent_path(folder))
    words = ("--finding", "7K3F", "--comment", "Sollenbrack too", "--shared", "--by", ENGINEER)
    assert typed("note", folder, "--part", PART, *words).code == 0
    with pytest.raises(PortalError):
        built(folder, OURS, tmp_path / "other")


def test_an_answer_that_is_not_theirs_stays_to_be_read_with_who_said_so(folder: Path) -> None:
    """On the sent page, in the finding's thread, in the log; what it decided counts no more."""
    (review,) = opened(folder).state.reviews.values()
    why = ("--why", "sent from a lost telephone", "--said-by", MAY_ALL, "--how", "meeting", "--when", "2026-02-27")
    words = ("--event", review.received[0].event, *why, "--by", ENGINEER)
    done = typed("withdraw", folder, "--part", PART, *words)
    assert done.code == 0, done.err
    told = "as R. Reviewer said in a meeting on 27 February 2026 that it isn&#39;t theirs:"
    for audience in ("shop", OURS):
        out = built(folder, audience).out
        came = page(out, sent_path(folder)).partition('class="camein"')[2]
        assert told in came and "sent from a lost telephone" in came and "Counts no more." in came
        assert _ask_one(folder).count('<p class="given gone">') == 1
        thread = page(out, LIVE)
        assert "An entry was taken back" in thread and told in thread
    assert "taken back by" in typed("log", folder, "--part", PART).out


def test_a_closed_question_says_who_closed_it_when_and_why(folder: Path) -> None:
    """Not only that it is closed; so does one that is taken up again, or whose finding was withdrawn."""
    (review,) = opened(folder).state.reviews.values()
    closed = ("--closes", review.asks[0], "--why", "The insert was replaced")
    assert typed("close", folder, "--part", PART, *closed, "--by", ENGINEER).code == 3  # it is answered
    text = page(built(folder).out, sent_path(folder))
    assert "Closed on" not in text
    gone = ("--finding", "7K3H", "--why", "A hair, not a speck")
    assert typed("withdraw", folder, "--part", PART, *gone, "--by", ENGINEER).code == 0
    three = page(built(folder).out, sent_path(folder)).partition('id="ask-3"')[2].partition("</ol>")[0]
    assert "Finding 7K3H was withdrawn on" in three and "by F. Engineer:" in three and "A hair, not a speck" in three
