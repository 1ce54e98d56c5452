"""`portal keep`: an agreed piece becomes a limit sample; who must have said so, what stops it, cut off anywhere."""

import json
import re
import shutil
from pathlib import Path

import pytest

from portal.catalog import read as read_catalogue
from portal.log import verify
from portal.model.logstate import Owing
from portal.model.sample import LimitSample, Side
from portal.tasks.check import check
from tests.tasks import answered
from tests.tasks.judged import ENGINEER, MAY_ALL, MAY_LITTLE, PART, judged_catalogue, opened
from tests.tasks.packing import carriers, pack, ready_catalogue
from tests.tasks.small import TRIAL, VESTIGE, add_picture
from tests.tasks.two import change
from tests.tasks.typed import Typed, typed

UNTIL = ("--expires", "2030-01-31")
HOLDERS = ("--holder", "Our Shop: drawer 2", "--holder", "Vellorin Devices: incoming inspection")


@pytest.fixture(scope="module")
def said_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue in whose log a reviewer, by telephone, judged 7K3G inside and wants it kept as last good."""
    folder = judged_catalogue(tmp_path_factory.mktemp("said") / "c")
    assert say(folder, "A", "last good").code == 0
    return folder


@pytest.fixture
def folder(said_once: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    shutil.copytree(said_once, tmp_path / "c")
    return tmp_path / "c"


def say(folder: Path, letter: str, side: str | None, *, who: str = MAY_ALL, finding: str = "7K3G") -> Typed:
    """What a reviewer said by telephone."""
    kept = ("--keep", side) if side else ()
    came = ("--decided-by", who, "--how", "telephone", "--when", "2026-03-05")
    return typed(
        "record", folder, "--part", PART, "--finding", finding, "--letter", letter, *came, *kept, "--by", ENGINEER
    )


def keep(folder: Path, *words: str, finding: str = "7K3G", side: str = "last good") -> Typed:
    """`portal keep …`."""
    return typed("keep", folder, "--part", PART, "--finding", finding, "--as", side, "--by", ENGINEER, *words)


def samples(folder: Path) -> dict[str, LimitSample]:
    """The limit samples of a catalogue without a problem in them."""
    reading = read_catalogue(folder)
    assert reading.catalogue is not None
    assert [str(each) for each in reading.problems if each.file.startswith("limit-samples")] == []
    return reading.catalogue.limit_samples


def test_a_kept_piece_is_a_limit_sample_with_all_that_one_has(folder: Path) -> None:
    """Pieces with holders, condition, value and uncertainty, both names, expiry, its picture with what was drawn."""
    kept = keep(folder, *HOLDERS, *UNTIL, "--next-check", "2027-01-31")
    assert kept.code == 0, kept.err
    (sample,) = samples(folder).values()
    assert (sample.id, sample.side, sample.defect, sample.zone_class) == (
        "LS-0001",
        Side.LAST_GOOD,
        "gate-vestige",
        "B",
    )
    assert sample.condition == "stereo-20-ring" and str(sample.expires) == "2030-01-31"
    assert [(each.serial, each.holder, each.place, each.cavity, each.shot) for each in sample.pieces] == [
        ("LS-0001-a", "Our Shop", "drawer 2", "1", 11),
        ("LS-0001-b", "Vellorin Devices", "incoming inspection", "1", 11),
    ]
    assert sample.agreed.customer.by == MAY_ALL and sample.agreed.shop.by == ENGINEER
    (picture,) = sample.pictures
    original = folder / TRIAL / "images/c1_gate.jpg"
    assert (folder / "limit-samples/LS-0001" / picture.file).read_bytes() == original.read_bytes()
    assert len(picture.shapes) == 1 and picture.shapes[0].shape == "base-and-point"
    assert "label the piece of Our Shop: LS-0001-a" in kept.err and "no first bad beside it yet" in kept.err


def test_its_value_is_the_measured_one_and_lies_within_its_limit(folder: Path) -> None:
    """As `portal findings` tells it; a value beyond the limit would be a problem of the catalogue."""
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    (sample,) = samples(folder).values()
    (row,) = [each for each in json.loads(typed("findings", folder, "--json").out) if each["id"] == "7K3G"]
    assert sample.value is not None and sample.u is not None
    assert sample.value.um == pytest.approx(1000 * float(row["value"]), abs=0.6) and sample.value.um <= 112.0
    assert sample.u.um == pytest.approx(1000 * float(row["expanded_uncertainty"]), abs=1.0)


def test_it_is_on_record_with_what_it_rests_on(folder: Path) -> None:
    """The event names the sample, both sides and the event in which the customer said so; nothing is owed any more."""
    before = opened(folder)
    assert [each.what for each in before.state.owed if each.findings == ("7K3G",)].count(Owing.KEEPING) == 1
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    after = opened(folder).state
    (tick,) = after.ticks
    assert tick.kept_as == "LS-0001" and after.samples["LS-0001"].side is Side.LAST_GOOD
    assert not any(each.what is Owing.KEEPING for each in after.owed)
    assert verify(folder, PART).is_whole
    again = keep(folder, *HOLDERS, *UNTIL)
    assert again.code == 3 and "kept as LS-0001 already" in again.err


def test_cut_off_between_writing_and_recording_the_next_call_completes_it(folder: Path) -> None:
    """No second sample, whatever number would be free."""
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    log = folder / f"parts/{PART}/log"
    (last,) = [each for each in log.iterdir() if b"limit-sample-approved" in each.read_bytes()]
    last.unlink()
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    assert list(samples(folder)) == ["LS-0001"] and opened(folder).state.ticks[0].kept_as == "LS-0001"


def test_a_tick_in_an_answer_is_enough(tmp_path: Path) -> None:
    """By plain mail: `2 A keep 7K3G last good`."""
    folder = ready_catalogue(tmp_path / "c")
    assert pack(folder).code == 0
    (code,) = [name[-12:-4] for name in carriers(folder) if name.endswith(".txt")]
    number = next(sent.sent[0].number for sent in opened(folder).state.asks.values() if sent.findings == ("7K3G",))
    reply = tmp_path / "reply.txt"
    reply.write_text(f"Review {code}\nAnswered by: {MAY_ALL}\n\n{number} A keep 7K3G last good\n", encoding="utf-8")
    came = typed("receive", folder, reply, "--by", ENGINEER)
    assert came.code == 0 and "keep 7K3G as last good" in came.out
    assert typed("build", folder, "--jobs", "1").code == 0
    assert "a piece, to be kept as a limit sample" in (folder / "site/shop/index.html").read_text(encoding="utf-8")
    assert keep(folder, "--picture-only", *UNTIL).code == 0
    (sample,) = samples(folder).values()
    assert sample.pieces == () and sample.kind == "picture only"


def test_an_answer_from_which_a_limit_sample_was_made_is_not_taken_back_before_that_is_ended(tmp_path: Path) -> None:
    """Neither the answer, on the customer's word, nor its review; the refusal names the sample and what ends it."""
    folder = ready_catalogue(tmp_path / "c")
    assert pack(folder).code == 0
    answered.reply(folder, "2 A keep 7K3G last good")
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    (review,) = opened(folder).state.reviews.values()
    before = len(opened(folder).state.events)
    words = ("--said-by", MAY_ALL, "--how", "telephone", "--when", "2026-03-05", "--why", "not theirs")
    for what in (("--event", review.received[0].event, *words), ("--review", review.code, "--why", "wrong pictures")):
        refused = typed("withdraw", folder, "--part", PART, *what, "--by", ENGINEER)
        assert refused.code == 3 and "on this answer rests limit sample LS-0001" in refused.err
        assert "first `portal keep --ends LS-0001`" in refused.err
    assert len(opened(folder).state.events) == before
    ended = typed("keep", folder, "--part", PART, "--ends", "LS-0001", "--why", "not agreed", "--by", ENGINEER)
    assert ended.code == 0, ended.err
    gone = typed("withdraw", folder, "--part", PART, "--event", review.received[0].event, *words, "--by", ENGINEER)
    assert gone.code == 0, gone.err
    assert not any(each.counts for each in opened(folder).state.decided) and not opened(folder).state.ticks


def test_a_recorded_decision_on_which_a_limit_sample_rests_stays_until_that_is_ended(folder: Path) -> None:
    """The shop's own entry too: the piece would be kept on nobody's word."""
    (tick,) = opened(folder).state.ticks
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    words = ("withdraw", folder, "--part", PART, "--event", tick.event, "--why", "misheard", "--by", ENGINEER)
    refused = typed(*words)
    assert refused.code == 3 and "limit sample LS-0001" in refused.err
    assert typed("keep", folder, "--part", PART, "--ends", "LS-0001", "--why", "misheard", "--by", ENGINEER).code == 0
    assert typed(*words).code == 0


def test_two_sides_become_a_pair(folder: Path) -> None:
    """Whichever comes second names the first, without being told."""
    add_picture(folder, "c2_gate.jpg", view="gate-profile", findings=_WORSE, seed=3)
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    assert say(folder, "B", "first bad", finding="7K3M").code == 0
    assert keep(folder, *HOLDERS, *UNTIL, finding="7K3M", side="first bad").code == 0
    kept = samples(folder)
    assert kept["LS-0002"].pair == "LS-0001" and kept["LS-0002"].side is Side.FIRST_BAD


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((*HOLDERS,), "until when it holds"),
        ((*UNTIL,), "who holds the piece"),
        ((*UNTIL, *HOLDERS, "--picture-only"), "who holds the piece"),
        ((*UNTIL, "--holder", "nowhere"), "who holds it and where"),
        (("--expires", "2020-01-01", *HOLDERS), "is past"),
        ((*UNTIL, *HOLDERS, "--id", "a/b"), "can't be a folder's name"),
    ],
)
def test_what_is_not_said_is_asked_for_and_nothing_is_written(folder: Path, words: tuple[str, ...], told: str) -> None:
    """Each with the option that says it."""
    refused = keep(folder, *words)
    assert refused.code == 2 and told in refused.err
    assert not (folder / "limit-samples").exists() or not any((folder / "limit-samples").iterdir())


def test_nobody_said_that_it_is_kept(folder: Path) -> None:
    """Nor as the other side."""
    other = keep(folder, *HOLDERS, *UNTIL, finding="7K3F", side="first bad")
    assert other.code == 3 and "nobody of the customer said that 7K3F is kept as first bad" in other.err
    wrong = keep(folder, *HOLDERS, *UNTIL, side="first bad")
    assert wrong.code == 3 and f"{MAY_ALL} wants it as last good" in wrong.err


def test_one_who_may_not_say_so_is_refused(folder: Path) -> None:
    """Already when it is entered."""
    refused = say(folder, "A", "last good", who=MAY_LITTLE)
    assert refused.code == 3 and "limit-sample" in refused.err


def test_whoever_may_no_longer_say_so_stops_it(folder: Path) -> None:
    """The customer's record as it is when the piece is kept."""
    change(folder, "customers/vellorin.yaml", "limit-sample, ", "")
    refused = keep(folder, *HOLDERS, *UNTIL)
    assert refused.code == 3 and "`limit-sample` isn't among" in refused.err and samples(folder) == {}


def test_a_finding_that_was_changed_since_is_not_kept(folder: Path) -> None:
    """What was said was said of something else."""
    change(folder, f"{TRIAL}/tags/c1_gate.jpg.yaml", 'point: "160,90"', 'point: "160,91"')
    refused = keep(folder, *HOLDERS, *UNTIL)
    assert refused.code == 3 and "was changed since" in refused.err and samples(folder) == {}


def test_a_piece_accepted_by_concession_is_never_a_limit_sample(folder: Path) -> None:
    """Though it was ticked before."""
    more = ("--justification", "hidden", "--quantity", "500", "--reference", "DEV-1")
    came = ("--decided-by", MAY_ALL, "--how", "telephone", "--when", "2026-03-06")
    words = ("--part", PART, "--finding", "7K3G", "--letter", "C", *came, *more, "--kind", "undecided")
    given = typed("record", folder, *words, "--by", ENGINEER)
    assert given.code == 0, given.err
    refused = keep(folder, *HOLDERS, *UNTIL)
    assert refused.code == 3 and "accepted by concession" in refused.err and samples(folder) == {}


def test_what_was_judged_outside_is_no_last_good(folder: Path) -> None:
    """Two said different things: it has to be settled first."""
    assert say(folder, "B", None, who=MAY_ALL).code == 0
    refused = keep(folder, *HOLDERS, *UNTIL)
    assert refused.code == 3 and "can't be last good" in refused.err


def test_one_that_no_longer_counts_is_ended(folder: Path) -> None:
    """Its file says so in one line, the log why; every other line stays as it was."""
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    file = folder / "limit-samples/LS-0001/sample.yaml"
    file.write_text("# ours\n" + file.read_text(encoding="utf-8"), encoding="utf-8")
    before = file.read_text(encoding="utf-8").splitlines()
    words = ("--part", PART, "--ends", "LS-0001", "--why", "It turned yellow", "--by", ENGINEER)
    ended = typed("keep", folder, *words)
    assert ended.code == 0 and "ended limit sample LS-0001: It turned yellow" in ended.out
    after = file.read_text(encoding="utf-8").splitlines()
    assert [line for line in before if line not in after] == ["expires: '2030-01-31'"]
    assert samples(folder)["LS-0001"].expires == opened(folder).today
    assert opened(folder).state.samples["LS-0001"].ended is not None


def test_it_is_shown_beside_the_next_finding(folder: Path) -> None:
    """On the card of a later piece, though no criterion names it yet; not beside the very picture it shows.

    What its crop adds beside the picture is no part of the field of view.
    """
    wide = _WORSE.replace('"40,200', '"2,200').replace('280,200"', '318,200"')
    add_picture(folder, "c2_gate.jpg", view="gate-profile", findings=wide, seed=3)
    assert keep(folder, *HOLDERS, *UNTIL).code == 0
    assert check(folder).exit_code == 0
    assert typed("build", folder, "--jobs", "1").code == 0
    (page,) = (folder / f"site/shop/parts/{PART}").glob("M-001-T1.html")
    cards = {part[:4]: part for part in page.read_text(encoding="utf-8").split('id="f-')[1:]}
    beside = {finding: "LS-0001" in card.partition("thread")[0] for finding, card in cards.items()}
    assert beside["7K3M"] and not beside["7K3G"]
    shown = [re.search(r"Shown ([\d.]+)\smm wide of a field of ([\d.]+)\smm", card) for card in cards.values()]
    told = [(float(each[1]), float(each[2])) for each in shown if each]
    assert max(told) == (0.32, 0.32) and all(seen <= whole for seen, whole in told)


_WORSE = VESTIGE.partition("  - id: 7K3H")[0].replace("7K3G", "7K3M").replace('"160,90"', '"160,80"')
