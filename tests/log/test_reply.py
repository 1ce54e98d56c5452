"""What a plain reply says: answers that literally stand there, and everything else as it stands."""

import time
from pathlib import Path

import pytest

from portal.log.reply import asked_in, read_reply
from portal.model.answer import AskKind, Evidence, Given, HoldsFrom, LookedAt
from portal.model.reply import Reply
from portal.model.sample import Side
from portal.model.terms import Answer
from tests.log.asking import ASKED, BASIS, CODE, SENT, quoted
from tests.log.story import Story

HEAD = f"""From: M. Vasquell <m.vasquell@halvenast.example>
Sent: Wednesday, 4 March 2026 14:22
To: K. Ammerlund
Subject: Lens collar, trial T2 [{CODE}]

"""
TYPED = ("1 A", "(1) A", "1: a", "1) A", "1. A", "#1 A", "1A", "1 - A", "1 -> A", "1 (A)", "1 A.", "1 A (inside)")
TOLD = ("Question 1: A", "question 1 A", "Frage 1: A", "zu 1: A", "zu Frage 1: A", "to question 1 - A")
DECKED = ("* 1 A", "• 1 A", "| 1 | A |", "1\tA", "**1 A**", "\uff11\u3000\uff21", "1\u00a0A", "\u200b1 A", " 1  A\r")


def read(text: str, sent: str | None = SENT) -> Reply:
    """A reply to the four questions."""
    return read_reply(text, ASKED, sent=sent, names=("K. Ammerlund",))


def letters(text: str, sent: str | None = SENT) -> dict[int, str]:
    """The letters taken, by number."""
    return {each.number or 0: str(each.letter) for each in read(text, sent).answers if each.letter}


def one(text: str) -> Given:
    """The only answer of a reply in which nothing is unclear."""
    reply = read(text)
    assert not reply.unclear
    (given,) = reply.answers
    return given


@pytest.mark.parametrize("line", [*TYPED, *TOLD, *DECKED])
def test_a_number_and_a_letter_are_an_answer_however_they_are_typed(line: str) -> None:
    """Bullets, tables, blanks of any kind and letters of full width change nothing."""
    given = one(line)
    assert (given.number, given.letter, given.ask) == (1, Answer.INSIDE, "1" * 64)
    assert [(each.finding, each.basis) for each in given.findings] == [("7K3F", BASIS), ("7K3G", BASIS)]


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("1 looks fine to me", "stands directly behind"),
        ("1 D", "doesn't offer D"),
        ("2 A", "doesn't offer A"),
        ("4 A", "doesn't offer A"),
        ("9 A", "no question 9"),
        ("1 A or B", "more than one letter"),
        ("1 A/B", "more than one letter"),
        ("1 A B", "more than one letter"),
        ("1 A?", "question mark"),
        ("1 A but polish it", "words stand behind"),
        ("1 A because fine if polished", "condition"),
        ("1 A, weil es passt, sofern poliert", "condition"),
        ("1 A because good enough for now", "condition"),
        ("1 A weil nur für T2 brauchbar", "condition"),
        ("1 E-mail follows", "stands directly behind"),
        ("1 e.g. side view", "stands directly behind"),
        ("1 A because 7K3F is hidden", "names a finding"),
        ("1 A except 6M3B", "no finding of question 1"),
        ("1 A except 7K3F and 7K3G", "every finding is taken out"),
        ("1 A qty 500", "takes no `qty`"),
        ("2 C qty 500 qty 600", "stands twice"),
        ("2 C ref", "nothing stands behind"),
        ("2 C ref DEV-118 but not for lot 3", "isn't clear"),
        ("1 А", "stands directly behind"),  # the Cyrillic letter
        ("1² A", "free words"),
        ("1-3 A", "free words"),
        ("1.5 mm is too much", "free words"),
        ("4 mm is too much", "neither words nor a letter"),
        ("4 March: call", "neither words nor a letter"),
        ("4 Wochen: Termin", "neither words nor a letter"),
        ("2 C qty 500 ref DEV-118 because hidden, valid until end of May 2026", "a day until which it holds"),
        ("all of them are A", "free words"),
        ("1", "no letter stands behind"),
    ],
)
def test_what_is_not_wholly_of_the_grammar_is_kept_as_it_stands_with_the_reason(line: str, reason: str) -> None:
    """It decides nothing."""
    reply = read(line)
    assert reply.answers == ()
    (unclear,) = reply.unclear
    assert unclear.text == line
    assert reason in unclear.reason


def test_a_concession_says_what_it_rests_on_and_how_far_it_reaches() -> None:
    """Each key in any order, in English and in German; what isn't said is absent."""
    said = one("2 C qty 500 ref DEV-118 lots 4711 until 2026-05-01 because hidden once built in").concession
    assert said is not None
    assert said.given() == {
        "quantity": "500",
        "reference": "DEV-118",
        "lots": "4711",
        "until": "2026-05-01",
        "justification": "hidden once built in",
    }
    german = one("2 C weil verdeckt, Menge 1.500 Stück, Los 4711 bis 4713, bis 1.5.2026, Referenz DEV-118").concession
    assert german is not None
    assert german.given() == {
        "justification": "verdeckt",
        "quantity": "1.500 Stück",
        "lots": "4711 bis 4713",
        "until": "1.5.2026",
        "reference": "DEV-118",
    }
    short = one("2 C 500 pcs").concession
    assert short is not None
    assert (short.quantity, short.missing()) == ("500 pcs", ("justification", "reference"))
    assert one("2 C").concession is None


def test_a_word_of_the_grammar_within_a_reason_stays_part_of_the_reason() -> None:
    """`until` and `ref` in a sentence are no date and no reference."""
    said = one("2 C because nobody complained until now and the ref edge is hidden").concession
    assert said is not None
    assert said.given() == {"justification": "nobody complained until now and the ref edge is hidden"}


def test_findings_are_taken_out_by_their_ids() -> None:
    """In small letters, in German too; the rest is covered."""
    for line in ("1 A except 7k3f", "1 A außer 7K3F", "1 A ohne 7K3F", "1 A because hidden, except 7K3F"):
        given = one(line)
        assert [each.finding for each in given.findings] == ["7K3G"]
        assert given.left_out == ("7K3F",)


def test_evidence_questions_words_limits_and_kept_pieces_are_read() -> None:
    """Each in the words of its list; anything else stays a comment or makes the line unclear."""
    assert one("4 E side view, gauge").evidence == (Evidence.SIDE_VIEW, Evidence.GAUGE)
    assert one("1 E bitte eine Seitenansicht").evidence == (Evidence.SIDE_VIEW,)
    other = one("1 E no side view needed, show the back")
    assert (other.evidence, other.comment) == ((), "no side view needed, show the back")
    assert one("3 ? which side").question == "which side"
    assert one("3 ?which side").question == "which side"
    assert one("3 ?").question is None
    assert one("4 The flange, from lot 12").words == "The flange, from lot 12"
    assert one("4 a small step remains").words == "a small step remains"
    limit = one("3 A limit 0.15 mm from now condition at 20x").limit
    assert limit is not None
    assert (limit.limit, limit.condition, limit.holds) == ("0.15 mm", "at 20x", HoldsFrom.NOW)
    kept = one("1 A looked at piece in hand keep 7K3F last good")
    assert kept.looked_at is LookedAt.PIECE
    assert [(each.finding, each.side) for each in kept.keep] == [("7K3F", Side.LAST_GOOD)]
    two = one("1 B keep 7K3F last good and 7K3G first bad")
    assert [(each.finding, each.side) for each in two.keep] == [("7K3F", Side.LAST_GOOD), ("7K3G", Side.FIRST_BAD)]
    assert read("1 B keep 7K3F last good, 7K3F first bad").answers == ()
    assert read("? Which resin was it").questions[0].question == "Which resin was it"


@pytest.mark.parametrize(
    "words", ["limit not agreed", "(limit not agreed)", ": Limit not agreed.", "Grenze nicht vereinbart"]
)
def test_the_letters_own_words_behind_it_say_nothing_more_though_one_of_them_is_a_key(words: str) -> None:
    """As they stand in the mail behind the letter; more than they are read by a person."""
    assert (one(f"3 B {words}").letter, one(f"3 B {words}").limit) == (Answer.OUTSIDE, None)
    limit = one("3 A limit agreed, limit 0.15 mm").limit
    assert limit is not None and limit.limit == "0.15 mm"
    assert read(f"3 B {words} for lot 12").answers == ()


def test_two_answers_that_differ_are_both_unclear_and_the_same_twice_is_one() -> None:
    """So is an answer beside an unclear line about the same question."""
    assert letters("1 A\n1 A\n2 B") == {1: "A", 2: "B"}
    for second in ("1 B", "1 A except 7K3F", "1 no wait, B", "1 ? which one"):
        reply = read(f"1 A\n{second}\n2 B")
        assert [each.number for each in reply.answers] == [2]
        assert [each.text for each in reply.unclear] == ["1 A", second]


def test_a_list_on_one_line_is_read_where_it_is_nothing_but_pairs() -> None:
    """As a program leaves it that joins lines."""
    assert letters("1 A, 2 B; 3 A") == {1: "A", 2: "B", 3: "A"}
    assert letters("1 A 2 B 3 A") == {1: "A", 2: "B", 3: "A"}
    assert letters("1 A 2 C qty 500") == {}


def test_a_line_that_was_wrapped_is_read_whole() -> None:
    """By a program at its width, or because it goes on with a small letter or a key."""
    long = "2 C qty 500 ref DEV-118 lots 4711 because the vestige is hidden\nonce the ring is pressed in"
    said = one(long).concession
    assert said is not None
    assert said.justification == "the vestige is hidden once the ring is pressed in"
    assert one("2 C\nqty 500\nref DEV-118").concession is not None
    assert letters("1 A\nbut only for cavity 2") == {}
    assert letters("We looked at it again and we can not agree to what is said in\n1 A") == {}
    assert letters("we do not say\n1 A") == {}
    assert letters("1 B because the step is too high in zones 2 and 3 and in zone\n3 B") == {1: "B"}


def test_courtesy_is_not_unclear_and_other_words_are() -> None:
    """Greetings, thanks, names, signatures, disclaimers say nothing; a sentence is for a person."""
    reply = read(
        "Dear Ms Vasquell,\n\nthank you for the pictures.\nOur answers:\n1 A\n2 B\n\nBest regards\nK. Ammerlund\n"
        "Brindelaar Optics\n-- \n1 A Street\nThis e-mail is confidential."
    )
    assert {each.number: each.letter for each in reply.answers} == {1: "A", 2: "B"}
    assert reply.unclear == ()
    said = read("Hallo,\n\nwir nehmen alle Teile so an.\n\nMit freundlichen Grüßen\nK. Ammerlund")
    assert said.answers == ()
    assert [each.text for each in said.unclear] == ["wir nehmen alle Teile so an."]
    below = read("1 A\n\nRegards\nKai\n\nP.S. all of this is only valid with a new sample")
    assert [each.text for each in below.unclear] == ["1 A", "P.S. all of this is only valid with a new sample"]


@pytest.mark.parametrize(
    ("words", "left"),
    [
        ("This holds only if the parts are polished.", {}),
        ("Das gilt nur, wenn die Teile poliert werden.", {}),
        ("(vorläufig)", {}),
        ("We do not accept any of it.", {}),
        ("No decision yet, an example of what you may get:", {}),
        ("Wir sehen es nicht so:", {}),
        ("Treat this as confidential. My answers are subject to a new sample.", {}),
        ("Please ignore answer 1.", {2: "B"}),
        ("Korrektur: 1 B", {2: "B"}),
        ("Sorry, 2 C instead", {1: "A"}),
        ("Please let me know if you have any questions.", {1: "A", 2: "B"}),
        ("CAUTION: do not click on links unless you know the sender.", {1: "A", 2: "B"}),
        ("We could not open the picture of cavity 2.", {1: "A", 2: "B"}),
    ],
)
def test_a_decision_that_free_words_elsewhere_may_take_back_is_for_a_person(words: str, left: dict[int, str]) -> None:
    """Above or below it; a question, more evidence and words decide nothing and are taken all the same."""
    for text in (f"{words}\n\n1 A\n2 B\n3 E\n4 the outer one", f"1 A\n2 B\n3 E\n4 the outer one\n\n{words}"):
        assert letters(text) == {**left, 3: "E"}
        assert [each.words for each in read(text).answers if each.words] == ["the outer one"]
        kept = [each.text for each in read(text).unclear]
        assert words in kept or left == {1: "A", 2: "B"}
        assert all(f"{number} {letter}" in kept for number, letter in ((1, "A"), (2, "B")) if number not in left)


def test_a_letter_that_begins_a_word_is_no_letter() -> None:
    """Where words are asked for, it belongs to them."""
    assert one("4 E-mail follows").words == "E-mail follows"


def test_an_answer_below_a_signature_is_for_a_person() -> None:
    """An address isn't, as it is not of the grammar."""
    assert letters("2 B\n-- \n1 A") == {2: "B"}
    assert [each.reason for each in read("2 B\n-- \n1 A").unclear] == ["it stands below the signature"]


QUOTED = {
    "marks": f"On Wed, 4 Mar 2026 at 14:22, M. Vasquell <m@halvenast.example> wrote:\n{quoted(SENT)}",
    "marks in German": f"Am 04.03.2026 um 14:22 schrieb M. Vasquell\n<m@halvenast.example>:\n\n{quoted(SENT, '>')}",
    "a head": HEAD + SENT,
    "a head below a rule": f"-----Original Message-----\n{HEAD}{SENT}",
    "nothing": SENT,
}


@pytest.mark.parametrize("kind", QUOTED)
@pytest.mark.parametrize("sent", [SENT, None])
def test_our_own_text_that_comes_back_is_no_answer(kind: str, sent: str | None) -> None:
    """However it is quoted, and whether or not what we sent is at hand."""
    reply = read(f"1 B\n\n{QUOTED[kind]}", sent)
    assert [(each.number, each.letter) for each in reply.answers] == [(1, "B")]
    assert all(each.reason.startswith("it stands within our own") for each in reply.unclear)
    assert sent is None or reply.unclear == ()
    assert read(QUOTED[kind], sent).answers == ()


@pytest.mark.parametrize("kind", QUOTED)
def test_an_answer_below_our_text_is_taken(kind: str) -> None:
    """Below the last mark the mail is the answerer's again."""
    assert letters(f"{QUOTED[kind]}\n\n1 A\n2 B") == {1: "A", 2: "B"}


def test_an_answer_between_quoted_lines_is_taken() -> None:
    """Each below its question."""
    lines = quoted(SENT).splitlines()
    lines.insert(9, "\n2 B\n")
    lines.insert(6, "1 A")
    assert letters("\n".join(lines)) == {1: "A", 2: "B"}


@pytest.mark.parametrize("prefix", ["> ", ""])
def test_an_answer_typed_into_our_quoted_text_is_taken_where_we_know_what_we_sent(prefix: str) -> None:
    """Without what we sent it is kept for a person; what we sent ourselves is never taken."""
    lines = SENT.splitlines()
    lines.insert(4, "3 A")
    text = f"see below\n\n{HEAD if not prefix else ''}" + quoted("\n".join(lines), prefix)
    assert letters(text) == {3: "A"}
    assert letters(text, None) == {}
    assert "what we sent isn't at hand" in read(text, None).unclear[0].reason


def test_words_that_also_stand_in_what_we_sent_are_not_taken_from_the_quotation() -> None:
    """`2 A` stands in our text across two lines; a program may have wrapped it so."""
    lines = SENT.splitlines()
    lines.insert(4, "2 B of the drawing.")
    assert letters(quoted("\n".join(lines))) == {}


def test_a_question_of_ours_that_begins_with_its_number_and_a_is_no_answer() -> None:
    """Our mail writes `(1) A vestige …`; only in the answerer's own lines may `(1) A` be an answer."""
    for ours in ("(1) A", "(1) A vestige on cavity 1"):
        sent = f"[review {CODE}]\n{ours}\n[review {CODE} ends]"
        for text in (sent, quoted(sent), f"{HEAD}{sent}"):
            assert read_reply(f"2 B\n\n{text}", ASKED, sent=None).unclear == ()
            assert letters(f"2 B\n\n{text}", None) == {2: "B"}


def test_a_piece_of_our_text_that_lost_its_quotation_mark_is_not_taken() -> None:
    """As programs leave it that wrap after quoting."""
    sent = SENT.replace("such as (1 A).", "as in 1 A")
    text = quoted(sent).replace("as in 1 A", "as in\n1 A")
    reply = read_reply(text, ASKED, sent=sent)
    assert reply.answers == ()
    assert [each.text for each in reply.unclear] == ["1 A"]


@pytest.mark.parametrize("prefix", ["> ", ""])
def test_what_somebody_else_answered_is_not_the_answer_of_who_quotes_it(prefix: str) -> None:
    """Another's mail with an answer, and below it ours."""
    head = HEAD.replace("M. Vasquell", "J. Oostervald")
    theirs = f"1 A\n\nJ. Oostervald\n\n{HEAD}{SENT}"
    text = f"2 B\n\n{head if not prefix else 'On 4 March, J. O. wrote:'}\n{quoted(theirs, prefix)}"
    reply = read(text)
    assert [(each.number, each.letter) for each in reply.answers] == [(2, "B")]
    assert [(each.text, each.reason) for each in reply.unclear] == [
        ("1 A", "quoted from another mail: whoever answered so has to send it")
    ]


def test_what_somebody_else_typed_into_our_text_is_not_the_answer_of_who_quotes_it() -> None:
    """Their words stand above our text, or our text is quoted twice."""
    lines = SENT.splitlines()
    lines.insert(4, "3 A")
    typed_into = "\n".join(lines)
    for text in (
        f"2 B\n\n{quoted('see below' + chr(10) + typed_into)}",
        f"2 B\n\n{quoted(quoted(typed_into))}",
        f"2 B\n\n{HEAD}see below\n\n{HEAD}{typed_into}",
    ):
        assert letters(text) == {2: "B"}


def test_who_answered_may_stand_in_a_line_of_its_own() -> None:
    """As the form's copy as text writes it; the line with the check code is nothing to read."""
    reply = read(f"Review {CODE}\n1 A\nAnswered by: K. Ammerlund")
    assert (reply.answered_by, reply.unclear) == ("K. Ammerlund", ())
    assert [each.number for each in reply.answers] == [1]


def test_text_made_to_take_long_is_read_quickly() -> None:
    """Long lists, many keys, many lines: each in less than a few seconds on a slow machine."""
    started = time.perf_counter()
    for text in (
        "2 C lots " + "1-" * 1_900 + "!",
        "2 C lots " + "1 1," * 900 + "!",
        "2 C because " + "x, ref y " * 400,
        "1 A, " * 4_000,
        "2 C " + "qty " * 900,
        "> 1 A\n" * 4_000,
        "1 A\n" * 4_000,
        "On 1 a " * 3_000 + "wrote:",
        "hi " * 6_000,
        "1" * 19_000 + " A",
    ):
        read(text)
    assert time.perf_counter() - started < 30


def test_what_a_review_asked_comes_from_the_log(tmp_path: Path) -> None:
    """With the findings' bases as that review showed them."""
    story = Story(tmp_path)
    first, second = story.ask("7K3F", "7K3G"), story.ask("6M3B", kind=AskKind.DOES_NOT_CONFORM)
    digest = story.send(first, second, basis="c")
    state = story.state()
    found = asked_in(state, state.reviews[digest])
    assert [(each.number, each.ask, each.ids) for each in found.values()] == [
        (1, first.hash, ("7K3F", "7K3G")),
        (2, second.hash, ("6M3B",)),
    ]
    assert {bound.basis for each in found.values() for bound in each.findings} == {"c" * 64}
    assert found[2].offers == AskKind.DOES_NOT_CONFORM.offers


@pytest.mark.parametrize(
    "words", ["PS: please don't take 1 as final yet", "1 ist noch nicht endgültig", "This is not binding yet"]
)
def test_what_is_not_final_yet_is_no_decision(words: str) -> None:
    """Below a closing too; a person reads both."""
    reply = read(f"1 A\n\nBest regards\nK. Ammerlund\n\n{words}\n")
    assert reply.answers == () and [each.text for each in reply.unclear] == ["1 A", words]


@pytest.mark.parametrize("letter", ["1 A", "1 B.", "1B"])
@pytest.mark.parametrize(
    "above",
    [
        "Thanks, I'll come back.\n\nBest regards\nK. Ammerlund\nBuilding",
        "Danke.\n\nGruß\nBau",
        "1 B because it can be felt\n\nK. Ammerlund",
    ],
)
def test_a_number_and_a_letter_of_an_address_are_no_answer(above: str, letter: str) -> None:
    """Below the name or other lines of a closing; a person reads it."""
    reply = read(f"{above}\n{letter}\nExample Street 5\n")
    assert reply.answers == ()
    assert letter in [each.text for each in reply.unclear]
    assert any("an address may read so" in each.reason for each in reply.unclear)


def test_thanks_above_the_answers_and_a_reason_below_the_name_hide_no_answer() -> None:
    """Only a name or an address makes a bare pair doubtful, and only a bare one."""
    signed = "Thanks,\n\n1 A\n2 B\n\nBest regards\nK. Ammerlund"
    for text in ("Vielen Dank!\n1 A\n2 B", "K. Ammerlund\n1 A\n2 B", signed):
        assert [str(each.letter) for each in read(text).answers] == ["A", "B"]
    reply = read("1 A\n\nRegards\nK. Ammerlund\n\n2 B because it can be felt")
    assert [str(each.letter) for each in reply.answers] == ["A", "B"]


@pytest.mark.parametrize(
    "words",
    [
        *("I have not decided yet.", "Noch nicht freigegeben.", "Bitte noch nicht umsetzen.", "Draft only."),
        *("PS: bitte 2 doch nicht, ich prüfe noch.", "Nur als Entwurf.", "Unverbindlich.", "Sorry, I meant B."),
        *("Actually, make that B for 2.", "Vergesst das oben.", "Bitte 1 offen lassen.", "Please leave 1 open."),
        *("I changed my mind about the second.", "Mein Kollege sieht das anders.", "Wait for my call before you act."),
        *("Das gilt erst nach Rücksprache.", "Befristet bis Mai.", "Bis auf Kavität 3.", "I will confirm tomorrow."),
    ],
)
def test_words_of_one_who_has_not_decided_take_no_decision(words: str) -> None:
    """Whatever letters stand above: a person reads both."""
    reply = read(f"1 A\n2 B\n\n{words}\n")
    assert reply.answers == () and {"1 A", "2 B", words} == {each.text for each in reply.unclear}


@pytest.mark.parametrize(
    "words",
    [
        *("We will send the samples on Monday.", "Die Teile kommen am Montag.", "The side view was very helpful."),
        *("Entschuldigen Sie die späte Antwort.", "Bitte senden Sie die Teile an Tor 3.", "Wir rufen morgen an."),
    ],
)
def test_words_beside_the_matter_leave_the_decisions(words: str) -> None:
    """They are kept for a person, and put nothing in doubt."""
    reply = read(f"1 A\n2 B\n\n{words}\n")
    assert len(reply.answers) == 2 and [each.text for each in reply.unclear] == [words]


def test_our_own_words_are_known_with_other_quotation_marks() -> None:
    """A mail program that writes another charset puts plain ones."""
    ours = SENT.replace("such as", "such as „1 B“,")
    quoted_so = "\n".join(f"> {line}" for line in ours.translate({0x201E: '"', 0x201C: '"'}).splitlines())
    reply = read_reply(f"1 A\n\nOn 4 March M. V. wrote:\n{quoted_so}", ASKED, sent=ours)
    assert len(reply.answers) == 1 and reply.unclear == ()


def test_a_line_that_a_mail_program_draws_says_nothing() -> None:
    """It is no words of the one who answers."""
    assert read("1 A\n\n________________________________\n").unclear == ()
