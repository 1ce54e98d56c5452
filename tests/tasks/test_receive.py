"""`portal receive`: what is taken, what is kept aside, what is refused; nothing is lost and nothing is guessed."""

import hashlib
import json
import shutil
from pathlib import Path

import pytest

from portal.log import verify
from portal.model.event import About, Via
from portal.model.logstate import AskStatus, Received
from portal.model.says import ReviewWithdrawn
from portal.tasks.check import check
from tests.log.asking import quoted
from tests.tasks.judged import ENGINEER, INSPECTOR, MAY_ALL, MAY_LITTLE, PART, opened
from tests.tasks.sent import MAIL, Sent, our_mail, send, sent_review
from tests.tasks.two import change
from tests.tasks.typed import Typed, typed


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Sent:
    """A review that was sent, made once."""
    return sent_review(tmp_path_factory.mktemp("once") / "c")


@pytest.fixture
def sent(once: Sent, tmp_path: Path) -> Sent:
    """A copy of it for each test."""
    shutil.copytree(once.folder, tmp_path / "c")
    return Sent(tmp_path / "c", once.digest)


def receive(sent: Sent, *words: str | Path, by: str = INSPECTOR) -> Typed:
    """`portal receive …`."""
    return typed("receive", sent.folder, *words, "--by", by)


def received(sent: Sent) -> tuple[Received, ...]:
    """What is on record of answers to the review."""
    return sent.state().reviews[sent.digest].received


def letters(sent: Sent) -> dict[int | None, str]:
    """The letters on record, by number."""
    return {given.number: str(given.letter) for each in received(sent) for given in each.answers if given.letter}


def tree(folder: Path) -> dict[str, bytes]:
    """Every file of a folder with its bytes."""
    return {each.relative_to(folder).as_posix(): each.read_bytes() for each in folder.rglob("*") if each.is_file()}


def aside(sent: Sent) -> list[str]:
    """Names of what lies aside at the part, and at the top."""
    found = [*sent.reviews.glob("aside/*"), *sent.folder.glob("answers-aside/*")]
    return sorted(path.relative_to(sent.folder).as_posix() for path in found)


def test_a_plain_reply_becomes_one_event_and_its_mail_is_kept_as_it_came(sent: Sent) -> None:
    """Answers, words, what is unclear; printed in sentences."""
    path = sent.reply("Hello,\n1 C qty 500 because hidden\n2 A\n3 looks fine\n4 the flange\n\nRegards\nR. Reviewer\n")
    came = receive(sent, path)
    assert (came.code, came.err) == (0, "")
    assert f"reply.eml: review 1 ({sent.code}) of {PART}, answered by R. Reviewer: 3 answers and 1 unclear" in came.out
    assert "question 1: the concession lacks its reference" in came.out
    assert "unclear: 3 looks fine (no letter of A, B, E, ? stands directly behind the number)" in came.out
    (one,) = received(sent)
    assert letters(sent) == {1: "C", 2: "A"}
    assert [given.words for given in one.answers if given.words] == ["the flange"]
    assert (one.answered_by.name, one.accepted_as, one.raw.name) == (MAY_ALL, None, "reply.eml")
    assert (sent.folder / one.raw.file).read_bytes() == path.read_bytes()
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    assert one.raw.file == f"parts/{PART}/reviews/T1-{sent.code}/answers/{digest[:16]}.eml"
    assert verify(sent.folder, PART).is_whole
    state = sent.state()
    assert [state.asks[hash_].status for hash_ in state.reviews[sent.digest].asks][1:] == [
        AskStatus.ANSWERED,
        AskStatus.WAITING,
        AskStatus.ANSWERED,
    ]
    assert state.get(one.event) is not None
    assert [each.event.via for each in state.events if each.hash == one.event] == [Via.MAIL]


def test_an_answer_file_is_taken_with_all_it_says(sent: Sent) -> None:
    """Alone or attached to a mail, where it counts before the text."""
    answers: tuple[dict[str, object], ...] = (
        {"number": 1, "letter": "C", "findings": ["7K3F"], "concession": {"justification": "hidden", "quantity": "5",
         "reference": "DEV-118"}},
        {"number": 2, "letter": "A", "findings": ["7K3G"], "keep": [{"finding": "7K3G", "side": "last good"}]},
        {"number": 3, "letter": "A", "findings": ["7K3H"],
         "limit": {"limit": "0.2 mm", "condition": "at 20x", "holds": "this trial only"}},
    )  # fmt: skip
    file = sent.file(*answers, questions=[{"question": "Which resin?"}])
    first = receive(sent, file)
    assert first.code == 0 and "limit 0.2 mm, condition at 20x, this trial only" in first.out
    assert letters(sent) == {1: "C", 2: "A", 3: "A"}
    (one,) = received(sent)
    assert one.questions[0].question == "Which resin?"
    made = sent.mail("2 B\n4 the flange\n")
    made.add_attachment(file.read_bytes(), "application", "json", filename="../../answers.json")
    mail = sent.folder.parent / "with-file.eml"
    mail.write_bytes(made.as_bytes())
    came = receive(sent, mail)
    assert "the answer file that came with it says otherwise, and counts" in came.out
    assert [given.number for given in received(sent)[1].answers] == [1, 2, 3, 4]
    assert letters(sent) == {1: "C", 2: "A", 3: "A"}


def test_a_decision_of_a_file_under_a_condition_is_for_a_person(sent: Sent) -> None:
    """Whether the condition stands in the file or in the mail that it came with."""
    plain: dict[str, object] = {"number": 2, "letter": "A", "findings": ["7K3G"]}
    receive(sent, sent.file({**plain, "comment": "if it is polished"}))
    made = sent.mail("My answers are attached. They hold only if the part is polished.\n")
    made.add_attachment(sent.file(plain).read_bytes(), "application", "json", filename="answers.json")
    (mail := sent.folder.parent / "with-file.eml").write_bytes(made.as_bytes())
    receive(sent, mail)
    assert letters(sent) == {}
    assert [each.unclear[0].reason for each in received(sent)] == [
        "it seems to hold under a condition only",
        "other words of the mail may limit it or take it back",
    ]


@pytest.mark.parametrize(
    "words", ["not decided yet", "I meant B", "doch lieber B", "nach Rücksprache", "bitte offen lassen"]
)
def test_a_decision_whose_own_words_say_that_it_is_none_is_for_a_person(sent: Sent, words: str) -> None:
    """In a file and in a line of a mail; a reason that is about the piece is taken."""
    receive(sent, sent.file({"number": 2, "letter": "A", "findings": ["7K3G"], "comment": words}))
    receive(sent, sent.reply(f"2 A comment {words}\n"))
    assert letters(sent) == {}
    assert [each.unclear[0].reason for each in received(sent)] == ["its words say that it isn't decided"] * 2
    receive(sent, sent.file({"number": 2, "letter": "B", "findings": ["7K3G"], "comment": "noch nicht poliert"}))
    assert letters(sent) == {2: "B"}


def test_a_file_that_keeps_one_piece_as_both_sides_is_for_a_person(sent: Sent) -> None:
    """As in a plain reply; nothing of that answer is taken."""
    keep = [{"finding": "7K3G", "side": side} for side in ("last good", "first bad")]
    receive(sent, sent.file({"number": 2, "letter": "A", "findings": ["7K3G"], "keep": keep}))
    (one,) = received(sent)
    assert one.answers == () and one.unclear[0].reason == "`keep` names a finding twice"


def test_the_same_twice_changes_nothing(sent: Sent) -> None:
    """Not one byte of the catalogue."""
    path = sent.reply("2 A\n")
    receive(sent, path)
    before = tree(sent.folder)
    again = receive(sent, path, path)
    assert again.code == 0
    assert again.out.count("nothing changed") == 2
    assert tree(sent.folder) == before


def test_killed_between_keeping_and_writing_the_next_receive_completes_it(sent: Sent) -> None:
    """The raw file is there first; verifying names it until then."""
    path = sent.reply("2 A\n")
    receive(sent, path)
    (event,) = [name for name in tree(sent.folder) if "/log/" in name and received(sent)[0].event in name]
    (sent.folder / event).unlink()
    assert not verify(sent.folder, PART).is_whole
    assert receive(sent, path).code == 0
    assert letters(sent) == {2: "A"}
    assert verify(sent.folder, PART).is_whole


def test_what_a_reviewer_may_not_decide_is_unclear_and_the_rest_is_taken(sent: Sent) -> None:
    """`accept` covers A and B, not a concession, a limit, a piece to keep; E and ? are anybody's."""
    text = "1 C qty 5\n2 A keep 7K3G last good\n3 A\n4 ? which drawing\n"
    came = receive(sent, sent.reply(text, by=MAY_LITTLE))
    assert came.code == 0
    assert letters(sent) == {2: "A", 4: "?"}
    (one,) = received(sent)
    assert [(each.number, each.reason.split(":")[0]) for each in one.unclear] == [
        (1, f"{MAY_LITTLE} may not answer C to a `does-not-conform` ask"),
        (2, f"{MAY_LITTLE} may not say that a piece is kept as a limit sample"),
        (3, f"{MAY_LITTLE} may not answer A to a `not-agreed` ask"),
    ]
    assert all(f"ask one who may: {MAY_ALL}" in each.reason for each in one.unclear)


def test_who_is_no_reviewer_is_kept_aside_until_an_engineer_accepts_it(sent: Sent) -> None:
    """The claim stays as typed; decisions count as the reviewer's."""
    path = sent.reply("2 A\n", by="Somebody Else <else@vellorin.example>")
    came = receive(sent, path)
    assert came.code == 3
    assert "kept aside: Somebody Else is no reviewer of Vellorin Devices; `--accept-as REVIEWER`" in came.out
    digest = hashlib.sha256(path.read_bytes()).hexdigest()[:16]
    where = f"parts/{PART}/reviews/aside/{digest}"
    assert aside(sent) == [f"{where}.eml", f"{where}.why.txt"]
    assert "It came as `reply.eml`" in (sent.folder / f"{where}.why.txt").read_text(encoding="utf-8")
    before = tree(sent.folder)
    assert receive(sent, path).code == 3
    assert tree(sent.folder) == before
    assert verify(sent.folder, PART).is_whole
    refused = receive(sent, path, "--accept-as", MAY_ALL, by=INSPECTOR)
    assert (refused.code, received(sent)) == (3, ())
    wrong = receive(sent, path, "--accept-as", "N. Obody", by=ENGINEER)
    assert "N. Obody is no reviewer of Vellorin Devices" in wrong.out
    assert receive(sent, path, "--accept-as", MAY_ALL, by=ENGINEER).code == 0
    (one,) = received(sent)
    assert (one.answered_by.name, one.accepted_as) == ("Somebody Else", MAY_ALL)
    assert [each.by.name for each in sent.state().decided] == [MAY_ALL]
    assert aside(sent) == []


def test_a_reviewer_is_known_by_name_or_address_however_they_are_written(sent: Sent) -> None:
    """Two spellings are one person; an address that isn't theirs is kept aside until an engineer takes it."""
    receive(sent, sent.reply("2 A\n", by=f"robin at work <{MAIL.upper()}>"))
    came = receive(sent, sent.reply("2 A \n", by="ｒ. REVIEWER <robin@home.example>", name="second.eml"))
    assert f"kept aside: it came from robin@home.example, and {MAY_ALL}'s address is {MAIL}" in came.out
    assert len(received(sent)) == 1
    receive(sent, second := sent.folder.parent / "second.eml", "--accept-as", MAY_ALL, by=ENGINEER)
    assert second.is_file() and received(sent)[1].accepted_as == MAY_ALL and aside(sent) == []
    assert [each.accepted_as for each in received(sent)] == [MAY_ALL, MAY_ALL]
    assert {each.by.name for each in sent.state().decided} == {MAY_ALL}


def test_a_name_and_a_sender_that_are_different_reviewers_are_kept_aside(sent: Sent) -> None:
    """Nobody answers in another's name by the way."""
    came = receive(sent, sent.reply(f"2 A\nAnswered by: {MAY_ALL}\n", by=MAY_LITTLE))
    assert f"it names {MAY_ALL} as who answered, and {MAY_LITTLE} sent it" in came.out
    accepted = receive(sent, sent.reply("2 A\n", by=MAY_LITTLE), "--accept-as", MAY_ALL, by=ENGINEER)
    assert f"it was answered by {MAY_LITTLE}, who is a reviewer" in accepted.out
    assert received(sent) == ()


def test_another_customers_reviewer_is_named_as_such(sent: Sent) -> None:
    """And kept aside."""
    other = sent.folder / "customers/ommerwick.yaml"
    text = (sent.folder / "customers/vellorin.yaml").read_text(encoding="utf-8")
    text = text.replace("Vellorin Devices", "Ommerwick")
    other.write_text(text.replace(MAY_ALL, "S. Tellekamp").replace(MAIL, "s@ommerwick.example"), encoding="utf-8")
    came = receive(sent, sent.reply("2 A\n", by="S. Tellekamp"))
    assert "S. Tellekamp is a reviewer of Ommerwick, and this is for Vellorin Devices" in came.out
    assert len(aside(sent)) == 2


def test_a_reply_without_or_with_more_than_one_check_code_is_kept_aside(sent: Sent) -> None:
    """At the catalogue's top, as no part is known; with `--part` at the part."""
    asks = list(sent.state().reviews[sent.digest].asks)
    second = send(sent.folder, asks, shown=b'{"review":2}')
    none, both = sent.folder.parent / "none.txt", sent.folder.parent / "both.txt"
    none.write_text("2 A\n0123abcd\n", encoding="utf-8")
    both.write_text(f"{sent.code} {second.code}\n2 A\n", encoding="utf-8")
    came = receive(sent, none, both)
    assert came.code == 3
    assert "it names no review that was sent: there is no check code in its subject or text" in came.out
    assert f"it names several reviews: {sent.code} of {PART} and {second.code} of {PART}" in came.out
    assert [name.split("/")[0] for name in aside(sent)] == ["answers-aside"] * 4
    other = sent.folder.parent / "other.txt"
    other.write_text("Subject: AW: Review 9 [deadbeef]\n\n2 A\n", encoding="utf-8")
    told = "it names no review that was sent: `deadbeef` in its subject is the check code of none"
    assert told in receive(sent, other).out
    listed = check(sent.folder).gaps
    kept = [each for each in listed if each.endswith(f".txt: an answer lies aside: {told}")]
    assert [each.partition("/")[0] for each in kept] == ["answers-aside"]
    receive(sent, none, "--part", PART)
    assert len(list(sent.reviews.glob("aside/*"))) == 2
    assert received(sent) == ()


def test_in_a_thread_that_quotes_an_earlier_review_below_the_reply_is_to_the_newer(sent: Sent) -> None:
    """Its subject names it, and our mail of it is quoted first; what was answered to the earlier isn't said again."""
    newer = send(sent.folder, [sent.asks()[1].ask], shown=b'{"review":2}')
    earlier = quoted(f"1 D\n2 B\n\nOn 2 March F. Engineer wrote:\n{quoted(our_mail(sent.code))}")
    thread = (
        f"On 4 March F. Engineer wrote:\n{quoted(our_mail(newer.code))}\n"
        f"> On 3 March R. Reviewer wrote:\n{quoted(earlier)}"
    )
    came = receive(newer, newer.reply(f"1 A\n\n{thread}\n"))
    assert came.code == 0, came.out
    assert letters(newer) == {1: "A"} and received(sent) == ()
    assert [each.reason for each in received(newer)[0].unclear] == [
        "quoted from another mail: whoever answered so has to send it"
    ]
    for text, subject in (
        (f"1 A\nand for {sent.code}: 2 A\n\n{thread}", f"Re: [{newer.code}]"),
        (f"1 A\n\n{thread}", f"Re: [{sent.code}]"),
        (f"1 A\n\n{thread}", f"Re: [{sent.code}] [{newer.code}]"),
    ):
        (mail := newer.folder.parent / "other.eml").write_bytes(newer.mail(text, subject=subject).as_bytes())
        assert "it names several reviews" in receive(newer, mail).out


def test_a_review_that_does_not_count_any_more_takes_no_answers(sent: Sent) -> None:
    """Withdrawn, never sent, or no longer kept as it was shown: each is told."""
    file = sent.file({"number": 2, "letter": "A", "findings": ["7K3G"]})
    never = sent.folder.parent / "never.json"
    never.write_text(file.read_text(encoding="utf-8").replace(sent.code, "0" * 8), encoding="utf-8")
    assert "it answers the review 00000000, and no such review was sent" in receive(sent, never).out
    shown = sent.store / "shown.json"
    content = shown.read_bytes()
    shown.write_bytes(content + b" ")
    assert f"what review 1 ({sent.code}) showed was changed since it was sent" in receive(sent, file).out
    shown.unlink()
    assert "showed isn't kept any more" in receive(sent, file).out
    shown.write_bytes(content)
    opened(sent.folder).write(ReviewWithdrawn(why="wrong trial"), About(review=sent.digest))
    assert f"review 1 ({sent.code}) was withdrawn by" in receive(sent, file).out
    assert received(sent) == ()


def test_an_answer_that_is_not_bound_to_what_was_shown_is_unclear(sent: Sent) -> None:
    """Another basis, another finding, another question, a letter that isn't offered, two that overlap."""
    answers: tuple[dict[str, object], ...] = (
        {"number": 1, "letter": "D", "findings": [{"finding": "7K3F", "basis": "0" * 64}]},
        {"number": 2, "letter": "A", "findings": ["7K3F"]},
        {"number": 3, "letter": "B", "findings": ["7K3H"]},
        {"number": 3, "letter": "A", "findings": ["7K3H"]},
        {"number": 4, "letter": "A"},
        {"number": 9, "letter": "A"},
        {"number": 1, "ask": "1" * 64, "letter": "D", "findings": ["7K3F"]},
        {"number": 2, "letter": "B", "findings": []},
        {"number": 2, "letter": "B", "findings": ["7K3G"], "concession": {"quantity": "5"}},
        {"number": 2, "comment": "hm"},
        {"number": 2, "words": "inside"},
    )
    assert receive(sent, sent.file(*answers)).code == 0
    (one,) = received(sent)
    assert one.answers == ()
    assert sorted(each.reason for each in one.unclear) == sorted(
        [
            "7K3F isn't bound to what the review showed of it",
            "7K3F is no finding of question 2",
            "two answers about the same",
            "two answers about the same",
            "question 4 doesn't offer A; offered: E, ?",
            "there is no such question in this review",
            "its number 1 and its question don't belong together",
            "it covers no finding",
            "`concession` doesn't belong to such an answer",
            "neither a letter nor words",
            "question 2 takes a letter, no words",
        ]
    )


def test_a_finding_that_changed_since_it_was_shown_is_told(sent: Sent) -> None:
    """The answer is kept as given, bound to what was shown."""
    change(sent.folder, "moulds/M-001/trials/T1/tags/c1_gate.jpg.yaml", "160,90", "160,95")
    came = receive(sent, sent.reply("2 A\n3 B\n"))
    assert "7K3G changed since it was shown: the answer is kept as given, ask again" in came.out
    assert "7K3F changed" not in came.out
    (one,) = received(sent)
    assert one.answers[0].findings == sent.asks()[1].findings


def test_an_answer_to_an_older_review_counts_and_it_is_told_that_it_was_asked_once_more(sent: Sent) -> None:
    """The question went out again before it came; it is bound to what the older one showed."""
    newer = send(sent.folder, [sent.asks()[1].ask], shown=b'{"review":2}')
    came = receive(sent, sent.reply("2 A\n"))
    assert f"question 2 was asked once more since, in review 2 ({newer.code}): the answer counts as given" in came.out
    assert sent.state().asks[sent.asks()[1].ask].status is AskStatus.ANSWERED
    assert "once more" not in receive(newer, newer.reply("1 A\n")).out


def test_an_answer_that_disagrees_with_another_says_so_at_once(sent: Sent) -> None:
    """With whose, and that both stand; one that agrees says nothing."""
    assert "disagrees" not in receive(sent, sent.reply("1 B\n2 A\n")).out
    came = receive(sent, sent.reply("1 B\n2 B\n", by=MAY_LITTLE))
    (first, _) = received(sent)
    told = f"7K3G: judged outside disagrees with {MAY_ALL} (judged inside, event {first.event[:8]}): both stand"
    assert told in came.out
    assert came.out.count("disagrees") == 1


def test_a_folder_of_answers_is_taken_file_by_file(sent: Sent) -> None:
    """What is no answer is refused and stops nothing."""
    box = sent.folder.parent / "box"
    box.mkdir()
    for name, content in (("a.zip", b"PK\x03\x04"), ("b.msg", b"x"), ("c.html", b"<html>"), (".hidden", b"x")):
        (box / name).write_bytes(content)
    sent.reply("2 A\n", name="box/d.eml")
    (box / "e.txt").write_text(f"From: {MAY_LITTLE}\nSubject: [{sent.code}]\n\n2 B\n", encoding="utf-8")
    came = receive(sent, box)
    assert came.code == 3
    assert [line.split(":")[:2] for line in came.out.splitlines() if not line.startswith(" ")][:3] == [
        ["a.zip", " refused"],
        ["b.msg", " refused"],
        ["c.html", " refused"],
    ]
    assert [each.answers[0].letter for each in received(sent)] == ["A", "B"]
    assert aside(sent) == []
    state = sent.state()
    assert state.asks[state.reviews[sent.digest].asks[1]].status is AskStatus.DISAGREEMENT


def test_our_own_mail_that_comes_back_quoted_is_no_answer(sent: Sent) -> None:
    """What we sent is read from the review's folder."""
    ours = (sent.store / "carriers/mail.txt").read_text(encoding="utf-8").splitlines()
    quoted = "\n".join(f"> {line}" for line in [*ours[:3], "2 A", *ours[3:]])
    receive(sent, sent.reply(f"see below\n\n{quoted}\n"))
    assert letters(sent) == {2: "A"}


def test_wrong_use_is_told(sent: Sent) -> None:
    """No file, no such file, nobody who receives, no such part."""
    assert "no file to take in is named" in receive(sent).err
    assert "there is no file" in receive(sent, "nowhere.eml").err
    path = sent.reply("2 A\n")
    nobody = typed("receive", sent.folder, path)
    assert nobody.code == 2
    assert "nobody is named who would take in answers" in nobody.err
    assert "there is no part `P-9`" in receive(sent, path, "--part", "P-9").err
    assert received(sent) == ()


def test_text_that_looks_like_markup_or_a_terminals_code_is_kept_as_text(sent: Sent) -> None:
    """Nothing of it steers the terminal."""
    evil = "<script>alert(1)</script>\u001b[2J"
    came = receive(sent, sent.file({"number": 4, "words": evil}, by=MAY_ALL))
    assert "\u001b" not in came.out
    (one,) = received(sent)
    assert one.answers[0].words == evil
    assert json.loads((sent.folder / one.raw.file).read_text(encoding="utf-8"))["answers"][0]["words"] == evil


def test_a_link_that_leads_out_of_the_catalogue_is_not_followed(sent: Sent, tmp_path: Path) -> None:
    """Nothing is written there."""
    (tmp_path / "out").mkdir()
    (sent.store / "answers").symlink_to(tmp_path / "out", target_is_directory=True)
    came = receive(sent, sent.reply("2 A\n"))
    assert came.code == 3
    assert "leads out of the catalogue's folder" in came.out
    assert list((tmp_path / "out").iterdir()) == []
    assert received(sent) == ()


def test_what_we_sent_is_made_again_from_the_store_where_the_mail_is_not_kept(folder: Path) -> None:
    """So that an answer typed into our own quoted text is still told from what we wrote."""
    (review,) = opened(folder).state.reviews.values()
    (carriers,) = folder.glob("parts/*/reviews/*/carriers")
    (mail,) = carriers.glob("*.txt")
    ours = mail.read_text(encoding="utf-8").splitlines()
    shutil.rmtree(carriers)
    asked = next(number for number, line in enumerate(ours) if line.startswith("(2) "))
    quoted = "\n".join(f"> {line}" for line in [*ours[:asked], "2 A", *ours[asked:]])
    reply = folder.parent / "again.txt"
    reply.write_text(f"From: {MAY_ALL} <{MAIL}>\nSubject: [{review.code}]\n\n{quoted}\n", encoding="utf-8")
    came = typed("receive", folder, reply, "--by", ENGINEER)
    assert "question 2: A" in came.out and "unclear" not in came.out, came.out


def test_an_answer_that_was_taken_back_does_not_come_in_again(sent: Sent) -> None:
    """Received once more it lies aside with the reason, whoever receives it; another of theirs is taken."""
    reply = sent.reply("2 A\n")
    receive(sent, reply)
    (came,) = received(sent)
    said = ("--said-by", MAY_ALL, "--how", "telephone", "--when", "2026-02-28", "--why", "my account was used")
    done = typed("withdraw", sent.folder, "--part", PART, "--event", came.event, *said, "--by", ENGINEER)
    assert done.code == 0 and f"said by {MAY_ALL} (telephone, 2026-02-28)" in done.out, done.err
    again = receive(sent, reply)
    assert again.code == 3 and f"it was taken back as not {MAY_ALL}'s" in again.out
    assert not any(each.counts for each in sent.state().decided) and aside(sent) != []
    assert verify(sent.folder, PART).is_whole and Path(sent.folder / came.raw.file).is_file()
    receive(sent, sent.reply("2 B\n", name="another.eml"))
    state = sent.state()
    assert state.asks[state.reviews[sent.digest].asks[1]].status is AskStatus.ANSWERED


@pytest.mark.parametrize("scope", ["qty 0", "until 2020-05-01", "until 1.5.20"])
def test_a_concession_that_covers_nothing_is_asked_about(sent: Sent, scope: str) -> None:
    """No piece, or a day that was past when the review was sent: a person reads it, it is not taken."""
    done = receive(sent, sent.reply(f"2 A\n1 C {scope} ref DEV-118 because hidden\n"))
    assert letters(sent) == {2: "A"}
    assert "covers no piece" in done.out or "was past on" in done.out
    assert [each.number for each in received(sent)[0].unclear] == [1]
