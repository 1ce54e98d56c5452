"""`portal ask`: what is recorded, for whom, and each refusal."""

import json
import re
from pathlib import Path

import pytest

from portal.log import verify
from portal.model.answer import AskKind
from portal.model.event import About, Logged
from portal.model.says import FindingWithdrawn, QuestionAsked
from portal.model.terms import Answer
from portal.problem import PortalError
from portal.tasks.ask import Wanted, ask, doubts
from portal.tasks.propose import ask_proposed
from tests.tasks.judged import INSPECTOR, MAY_ALL, MAY_LITTLE, PART, TRIAL_NAME, judged_catalogue, more_names, opened
from tests.tasks.small import TRIAL
from tests.tasks.two import change
from tests.tasks.typed import typed


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A catalogue with a finding of every verdict."""
    return judged_catalogue(tmp_path / "c")


def asked(logged: Logged) -> QuestionAsked:
    """What it asks."""
    assert isinstance(logged.event.says, QuestionAsked)
    return logged.event.says


def about(*findings: str, **more: object) -> Wanted:
    """An ask about findings."""
    return Wanted(**{"question": "Inside or outside?", "findings": findings, **more})  # type: ignore[arg-type]  # any field


def test_an_ask_about_a_finding_is_bound_to_what_it_rests_on(folder: Path) -> None:
    """Kind, letters and cavities follow from the finding; who owes the answer from the customer's record."""
    part = opened(folder)
    logged = ask(part, about("7K3G", due="2099-03-10"))
    says, event = asked(logged), logged.event
    assert (says.asks, says.offers) == (AskKind.UNDECIDED, AskKind.UNDECIDED.offers)
    assert [(each.finding, each.basis) for each in says.findings] == [("7K3G", part.bases["7K3G"])]
    assert (says.owed_by, says.names_needed, says.due) == ((MAY_ALL, MAY_LITTLE), 1, "2099-03-10")
    assert says.cavities == ("1",)
    assert (event.about.trial, event.about.finding) == (TRIAL_NAME, "7K3G")
    assert (event.by.name, event.by.role, event.by.id) == ("F. Engineer", "engineer", "first-engineer")
    assert list(opened(folder).state.asks) == [logged.hash] and verify(folder, PART).is_whole


@pytest.mark.parametrize(
    ("finding", "kind"),
    [
        ("7K3F", AskKind.DOES_NOT_CONFORM),
        ("7K3G", AskKind.UNDECIDED),
        ("7K3H", AskKind.NOT_AGREED),
        ("7K3J", AskKind.QUESTION),
    ],
)
def test_the_answers_follow_the_verdict(folder: Path, finding: str, kind: AskKind) -> None:
    """A concession can't be asked for what nobody agreed, and what conforms is asked about in words."""
    assert asked(ask(opened(folder), about(finding))).asks is kind


def test_from_the_command_line_it_says_what_was_written(folder: Path) -> None:
    """The first digits of the hash come first; `portal log` then lists it as not sent."""
    done = typed("ask", folder, "--part", PART, "--finding", "7K3G", "--question", "Inside or outside?",
                 "--owed-by", MAY_ALL.upper(), "--by", "first-engineer")  # fmt: skip
    assert (done.code, done.err) == (0, "")
    assert re.match(rf"[0-9a-f]{{8}}  F\. Engineer asked {MAY_ALL} about 7K3G: Inside or outside\?\n", done.out)
    (owed, _) = json.loads(typed("log", folder, "--json").out)
    assert owed["what"] == "the ask isn't sent yet" and owed["ask"].startswith(done.out[:8])


def test_a_spot_of_a_picture_is_asked_about_in_words(folder: Path) -> None:
    """By the picture's own name; only more evidence and a question back are offered."""
    logged = ask(opened(folder), Wanted(question="What is this?", picture="c1_top.jpg", spot="12.50, 240"))
    place = logged.event.about
    assert (place.picture, place.spot, place.trial) == (f"{TRIAL}/images/c1_top.jpg", "12.5,240", TRIAL_NAME)
    assert asked(logged).offers == (Answer.MORE_EVIDENCE, Answer.QUESTION_BACK)


def test_a_trial_can_be_asked_about_by_its_short_name(folder: Path) -> None:
    """Where only one of the part's moulds has it."""
    logged = ask(opened(folder), Wanted(question="Do you want the pieces?", trial="T1"))
    assert logged.event.about.trial == TRIAL_NAME and asked(logged).findings == ()


@pytest.mark.parametrize(
    ("wanted", "code", "said"),
    [
        (Wanted(findings=("7K3G",)), 2, "nothing is asked"),
        (Wanted(question="  ", findings=("7K3G",)), 2, "nothing is asked"),
        (Wanted(question="Yes?"), 2, "it isn't said what is asked about"),
        (about("7K3Z"), 2, "P-0001 has no finding `7K3Z`"),
        (about("7K3G", trial="T9"), 2, "P-0001 has no trial `T9`"),
        (about(picture="c1_tip.jpg"), 2, "no trial of P-0001 has a picture `c1_tip.jpg`"),
        (about(picture="c1_top.jpg", spot="12"), 2, "`12` is no spot"),
        (about(picture="c1_top.jpg", spot="321,10"), 2, "321,10 is outside c1_top.jpg, which is 320x240"),
        (about("7K3G", spot="1,2"), 2, "a spot lies on a picture"),
        (about("7K3G", due="2026-02-30"), 2, "`--due`: `2026-02-30` is not a date"),
        (about("7K3G", due="2020-01-01"), 2, "`--due 2020-01-01` is past"),
        (about("7K3G", kind="undecide"), 2, "`undecide` is none of what it takes"),
        (about("7K3G", kind="does-not-conform"), 3, "don't fit the verdict: 7K3G undecided"),
        (about("7K3F", "7K3G"), 3, "no one answer fits them all: 7K3F does not conform, 7K3G undecided"),
        (Wanted(question="Yes?", trial="T1", kind="undecided"), 3, "`undecided` is about findings, and none is named"),
        (about("7K3G", owed_by=("N. Obody",)), 3, "N. Obody is no reviewer of Vellorin Devices"),
        (about("7K3G", owed_by=(MAY_ALL,), names=2), 3, "2 names are needed, and 1 would answer"),
        (about("7K3G", follows="abcd"), 2, "has no event `abcd`"),
    ],
)
def test_what_can_not_be_asked_is_refused_in_a_sentence(folder: Path, wanted: Wanted, code: int, said: str) -> None:
    """Wrong use is 2, what the rules refuse is 3; nothing is written."""
    part = opened(folder)
    with pytest.raises(PortalError, match=re.escape(said)) as refused:
        ask(part, wanted)
    assert refused.value.code == code
    assert not (folder / "parts" / PART / "log").exists()


def test_findings_of_several_verdicts_can_share_an_ask_in_words(folder: Path) -> None:
    """One question mark, one thing; the answer decides nothing by letter."""
    assert asked(ask(opened(folder), about("7K3F", "7K3G", kind="question"))).asks is AskKind.QUESTION


@pytest.mark.parametrize(
    "question",
    ["Is it inside? Or outside?", "Is it inside and may we go on?", "Innen und bis wohin?", "Inside AND sharp?"],
)
def test_a_question_that_may_be_two_is_refused_on_a_pipe(folder: Path, question: str) -> None:
    """Unless it is said to be one."""
    words = ("ask", folder, "--part", PART, "--finding", "7K3G", "--question", question, "--by", "first-engineer")
    refused = typed(*words)
    assert refused.code == 3 and "this may ask two things" in refused.err and "--as-it-is" in refused.err
    assert not opened(folder).state.asks
    assert typed(*words, "--as-it-is").code == 0


def test_on_a_terminal_the_one_who_asks_decides_whether_it_is_one_thing(folder: Path) -> None:
    """The doubt is told; no is an end."""
    told: list[str] = []

    def no(doubt: str) -> bool:
        told.append(doubt)
        return False

    two = about("7K3G", question="Is it inside and may we go on?")
    with pytest.raises(PortalError, match="nothing was asked"):
        ask(opened(folder), two, confirm=no)
    assert told == ["this may ask two things (it says `and`), and an answer is to one"]
    assert ask(opened(folder), two, confirm=lambda doubt: True)
    ask(opened(folder), about("7K3F", question="Candy or sand?"), confirm=no)
    assert len(told) == 1 and doubts("Is the sandy land inside?") == ()


def test_where_the_customer_asks_for_two_names_one_is_not_enough(folder: Path) -> None:
    """Taken from the customer's record; the shop can't ask for fewer."""
    more_names(folder)
    assert asked(ask(opened(folder), about("7K3G"))).names_needed == 2
    with pytest.raises(PortalError, match="Vellorin Devices asks for 2 names"):
        ask(opened(folder), about("7K3F", names=1))


def test_only_an_engineer_asks(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An inspector is refused; nobody, or somebody unknown, is wrong use; PORTAL_BY names who it is."""
    monkeypatch.delenv("PORTAL_BY", raising=False)
    words = ("ask", folder, "--part", PART, "--finding", "7K3G", "--question", "Inside?")
    refused = typed(*words, "--by", INSPECTOR)
    assert refused.code == 3
    assert "F. Inspector is no project engineer, and only one may ask" in refused.err
    assert "let one of these do it: `first-engineer`" in refused.err
    nobody = typed(*words)
    assert nobody.code == 2 and "PORTAL_BY" in nobody.err
    unknown = typed(*words, "--by", "first-engine")
    assert unknown.code == 2 and "did you mean `first-engineer`?" in unknown.err
    monkeypatch.setenv("PORTAL_BY", "first-engineer")
    assert typed(*words).code == 0


def test_all_that_the_verdicts_propose_is_asked_in_one_go_and_once(folder: Path) -> None:
    """In the words that the customer's pages have; what conforms isn't asked about."""
    words = ("ask", folder, "--part", PART, "--proposed", "--trial", "M-001/T1", "--by", "first-engineer")
    done = typed(*words, "--due", "2099-01-01")
    assert done.code == 0, done.err
    assert [line.partition("about ")[2].partition(",")[0] for line in done.out.splitlines()] == ["7K3F", "7K3G", "7K3H"]
    state = opened(folder).state
    assert {each.question for each in state.asks.values()} >= {
        "Do you judge the gate vestige of cavity 1 (zone B) inside or outside the agreed limit?"
    }
    assert {(each.due, each.owed_by) for each in state.asks.values()} == {("2099-01-01", (MAY_ALL, MAY_LITTLE))}
    again = typed(*words)
    assert again.code == 0 and "not asked again: 7K3G (asked and open)" in again.out
    assert again.out.endswith("nothing was left to ask\n")
    assert len(opened(folder).state.asks) == 3


def test_what_is_left_of_a_proposal_is_asked_about_alone(folder: Path) -> None:
    """Two findings share a proposal, one was asked about by hand: the question names only the other's cavity."""
    change(folder, "moulds/M-001/mould.yaml", "status: blocked, reason: example of a blocked cavity", "status: running")
    image, tag = folder / TRIAL / "images", folder / TRIAL / "tags"
    (image / "c2_top.jpg").write_bytes((image / "c1_top.jpg").read_bytes())
    text = (tag / "c1_top.jpg.yaml").read_text(encoding="utf-8").replace('cavity: "1"', 'cavity: "2"')
    other = text.replace("7K3F", "7K3P").replace("7K3J", "7K3Q").replace("piece: T1-1-11-1\n", "")
    (tag / "c2_top.jpg.yaml").write_text(other, encoding="utf-8")
    proposal = next(each for each in opened(folder).results[0].asks if each.key == "does-not-conform")
    assert proposal.findings == ("7K3F", "7K3P")
    ask(opened(folder), about("7K3F"))
    came = ask_proposed(opened(folder), Wanted(trial="T1"))
    assert came.left_out == {"7K3F": "asked and open"}
    (speck,) = [asked(each) for each in came.asked if asked(each).asks is AskKind.DOES_NOT_CONFORM]
    assert speck.question.startswith("The black speck of cavity 2 (zone B) does not conform.")
    assert [each.finding for each in speck.findings] == ["7K3P"]


def test_what_was_withdrawn_is_not_asked_about(folder: Path) -> None:
    """Neither in one go nor by itself."""
    part = opened(folder)
    part.write(FindingWithdrawn(why="a hair"), About(trial=TRIAL_NAME, finding="7K3F"))
    came = ask_proposed(opened(folder), Wanted(trial="T1"))
    assert came.left_out == {"7K3F": "withdrawn"} and len(came.asked) == 2
    with pytest.raises(PortalError, match=re.escape("finding 7K3F was withdrawn by F. Engineer")):
        ask(opened(folder), about("7K3F"))


def test_proposed_takes_a_trial_and_no_question(folder: Path) -> None:
    """Which trial is never guessed."""
    for wanted in (Wanted(), about("7K3G", trial="T1"), Wanted(trial="T1", kind="undecided")):
        with pytest.raises(PortalError, match="`--proposed` takes a `--trial`"):
            ask_proposed(opened(folder), wanted)


def test_nothing_is_asked_twice(folder: Path) -> None:
    """Unless it takes the first up again, or asks something else in words."""
    first = ask(opened(folder), about("7K3G"))
    with pytest.raises(PortalError, match=f"7K3G is asked about already, in ask {first.hash[:8]}") as refused:
        ask(opened(folder), about("7K3G"))
    assert refused.value.code == 3 and f"--follows {first.hash[:8]}" in str(refused.value.hint)
    assert ask(opened(folder), about("7K3G", kind="question"))
    assert ask(opened(folder), about("7K3G", kind="question"))


def test_an_ask_can_take_up_an_earlier_one(folder: Path) -> None:
    """The earlier is closed by it."""
    first = ask(opened(folder), about("7K3G"))
    second = ask(opened(folder), about("7K3G", follows=first.hash[:8]))
    state = opened(folder).state
    assert [each.hash for each in state.open_asks()] == [second.hash]


def test_a_broken_customer_is_named_and_stops_it(folder: Path) -> None:
    """Who would owe the answer can't be told."""
    change(folder, "customers/vellorin.yaml", "unit: mm", "unit: furlong")
    with pytest.raises(PortalError, match=r"customer of P-0001, `vellorin`, can't be read: customers/vellorin\.yaml"):
        ask(opened(folder), about("7K3G"))


def test_what_is_wrong_with_the_log_is_told_and_does_not_stop_an_ask(folder: Path) -> None:
    """Every writer adds files; the log stays as it is."""
    (folder / "parts" / PART / "log").mkdir()
    (folder / "parts" / PART / "log" / "notes.txt").write_bytes(b"x")
    done = typed("ask", folder, "--part", PART, "--finding", "7K3G", "--question", "Inside?", "--by", "first-engineer")
    assert done.code == 0 and "notes.txt: foreign" in done.err


def test_the_help_has_an_example() -> None:
    """As every command's."""
    assert "Example: portal ask" in typed("ask", "--help").out
