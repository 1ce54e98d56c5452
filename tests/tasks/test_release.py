"""`portal release`: refused while a finding is without disposition; who may grant what."""

import re
from pathlib import Path

import pytest

from portal.model.answer import Concession
from portal.model.event import About
from portal.model.says import FindingWithdrawn, Party, ReleasedFor, TrialReleased
from portal.problem import PortalError
from portal.tasks.ask import Wanted, ask
from portal.tasks.dispose import dispose
from portal.tasks.record import Came, Decision, record
from portal.tasks.release import lacking, release
from tests.log.story import Story, answer
from tests.tasks.judged import (
    INSPECTOR,
    MAY_ALL,
    MAY_LITTLE,
    PART,
    TRIAL_NAME,
    judged_catalogue,
    more_names,
    opened,
)
from tests.tasks.small import TRIAL
from tests.tasks.two import change
from tests.tasks.typed import typed

CALL = Came(MAY_ALL, "telephone", "2026-03-05")
FULL = Concession(justification="hidden once built in", quantity="500", reference="DEV-118")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A catalogue with a finding of every verdict."""
    return judged_catalogue(tmp_path / "c")


def missing(folder: Path) -> dict[str, str]:
    """What stands in the way, by finding."""
    part = opened(folder)
    return {each.finding: each.why for each in lacking(part, part.results[0])}


def decide(folder: Path, finding: str, letter: str, *, by: str = MAY_ALL, **more: object) -> None:
    """A reviewer decides about a finding."""
    decision = Decision(findings=(finding,), letter=letter, **more)  # type: ignore[arg-type]  # any field
    record(opened(folder), decision, Came(by, "meeting", "2026-03-05"))


def settle(folder: Path) -> None:
    """Every finding of the trial gets a disposition."""
    dispose(opened(folder), "rework", ("7K3F", "7K3G", "7K3H"))


def test_each_finding_without_disposition_is_named_with_what_to_do(folder: Path) -> None:
    """What conforms needs none; exit code 3."""
    ask(opened(folder), Wanted(question="Inside?", findings=("7K3G",)))
    done = typed("release", folder, "--part", PART, "--trial", "T1", "--for", "next trial", "--by", "first-engineer")
    assert done.code == 3
    assert f"{TRIAL_NAME} can't be released: 3 findings without disposition" in done.err
    assert "7K3F: does not conform, and nobody decided about it: `portal ask`, or `portal record`" in done.err
    assert "7K3G: asked, and not answered yet" in done.err
    assert "7K3H: not judged, and nobody decided about it" in done.err and "7K3J" not in done.err
    assert not opened(folder).state.released


def test_with_a_disposition_for_each_the_engineer_releases_for_the_next_trial(folder: Path) -> None:
    """Of the day on which it was entered; it came by no way."""
    settle(folder)
    came = release(opened(folder), "T1", "next trial", Came())
    says = came.logged.event.says
    assert isinstance(says, TrialReleased)
    assert (says.released_for, says.how, says.granted_by.name) == (ReleasedFor.NEXT_TRIAL, None, "F. Engineer")
    (released,) = opened(folder).state.released
    assert (released.trial, released.counts) == (TRIAL_NAME, True)
    assert came.doubts == ()


@pytest.mark.parametrize("released_for", ["samples", "production"])
def test_what_goes_to_the_customer_only_the_customer_releases(folder: Path, released_for: str) -> None:
    """Not the shop's engineer, not a reviewer who may not; one who may, with how and when it came."""
    settle(folder)
    with pytest.raises(PortalError, match=f"only the customer can release for {released_for}") as refused:
        release(opened(folder), "T1", released_for, Came())
    assert refused.value.code == 3
    with pytest.raises(PortalError, match=f"{re.escape(MAY_LITTLE)} may not release") as refused:
        release(opened(folder), "T1", released_for, Came(MAY_LITTLE, "mail", "2026-03-05"))
    assert refused.value.code == 3 and MAY_ALL in str(refused.value.hint)
    came = release(opened(folder), "T1", released_for, CALL, conditions="first 500")
    assert came.doubts == ("there is nothing in writing for it",)
    assert opened(folder).state.released[0].granted_by.name == MAY_ALL


def test_a_reviewer_who_may_releases_for_the_next_trial_too(folder: Path, tmp_path: Path) -> None:
    """With the evidence kept; a reviewer who may not is refused here as well."""
    settle(folder)
    (tmp_path / "r.txt").write_bytes(b"go on")
    with pytest.raises(PortalError, match="may not release"):
        release(opened(folder), "T1", "next trial", Came(MAY_LITTLE, "mail", "2026-03-05"))
    release(opened(folder), "T1", "next trial", Came(MAY_ALL, "mail", "2026-03-05", (tmp_path / "r.txt",)))
    (released,) = opened(folder).state.released
    assert (folder / released.evidence[0].file).read_bytes() == b"go on"


def test_why_a_decision_is_not_enough_is_told(folder: Path) -> None:
    """A bare no, a concession that lacks something, answers that disagree, a finding that was withdrawn."""
    decide(folder, "7K3G", "B")
    decide(folder, "7K3F", "C", concession=Concession(quantity="500"))
    assert "judged outside: say what becomes of it" in missing(folder)["7K3G"]
    assert missing(folder)["7K3F"] == "the concession lacks justification and reference"
    decide(folder, "7K3F", "C", concession=FULL)
    opened(folder).write(FindingWithdrawn(why="a hair"), About(trial=TRIAL_NAME, finding="7K3H"))
    decide(folder, "7K3G", "A", by=MAY_LITTLE)
    assert missing(folder) == {"7K3G": "answers disagree: have it settled, then `portal close --holds`"}


def test_two_names_are_needed_where_the_customer_asks_for_them(folder: Path) -> None:
    """For accepting; rework takes one."""
    more_names(folder)
    decide(folder, "7K3G", "A")
    assert missing(folder)["7K3G"] == f"decided by {MAY_ALL} alone, and 2 names are needed"
    decide(folder, "7K3G", "A", by=MAY_LITTLE)
    decide(folder, "7K3F", "D")
    assert set(missing(folder)) == {"7K3H"}


def test_an_answer_of_somebody_who_may_not_give_it_is_no_disposition(folder: Path) -> None:
    """It came in, stays in the log, and a trial isn't released on it."""
    ask(opened(folder), Wanted(question="Do you grant it?", findings=("7K3F",)))
    story = Story(folder, part=PART, trial=TRIAL_NAME)
    given = answer(1, "C", "7K3F", concession=FULL)
    digest = story.send(story.log.events[0])
    bound = given.model_copy(update={"findings": opened(folder).bound(("7K3F",))})
    story.receive(digest, bound, by=Party(name=MAY_LITTLE))
    assert missing(folder)["7K3F"] == f"decided by {MAY_LITTLE}, who may not decide that"
    story.receive(digest, bound, by=Party(name=MAY_ALL))
    assert "7K3F" not in missing(folder)


def test_what_changed_since_it_was_decided_has_to_be_asked_again(folder: Path) -> None:
    """A decision about what it was doesn't stand for what it is."""
    decide(folder, "7K3G", "A")
    assert "7K3G" not in missing(folder)
    change(folder, f"{TRIAL}/tags/c1_gate.jpg.yaml", 'point: "160,90"', 'point: "160,91"')
    assert missing(folder)["7K3G"] == "changed since it was decided: ask again"


def test_what_can_not_be_read_may_hide_a_finding(folder: Path) -> None:
    """A broken tag, a finding of an unknown cavity, a log that isn't whole: refused, each named."""
    settle(folder)
    tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
    whole = tag.read_text(encoding="utf-8")
    tag.write_text(whole.replace("defect: splay", "defekt: splay"), encoding="utf-8")
    with pytest.raises(PortalError, match=r"what was found can't be told: .*c1_top\.jpg\.yaml:\d+ can't be read"):
        release(opened(folder), "T1", "next trial", Came())
    tag.write_text(whole.replace('cavity: "1"\n', ""), encoding="utf-8")
    change(folder, "moulds/M-001/mould.yaml", '"2": {part: P-0001', '"2": {part: P-0002')
    with pytest.raises(PortalError, match=r"c1_top\.jpg\.yaml doesn't say of which cavity"):
        release(opened(folder), "T1", "next trial", Came())
    tag.write_text(whole, encoding="utf-8")
    (folder / "parts" / PART / "log" / "x.txt").write_bytes(b"")
    with pytest.raises(PortalError, match="the log of P-0001 isn't whole"):
        release(opened(folder), "T1", "next trial", Came())


def test_gaps_do_not_stop_a_release_and_are_told(folder: Path) -> None:
    """Released is not conforming."""
    settle(folder)
    (folder / TRIAL / "images/c1_gate.jpg").unlink()
    (folder / TRIAL / "tags/c1_gate.jpg.yaml").unlink()
    came = release(opened(folder), "T1", "next trial", Came())
    assert came.doubts == ("not all was looked at: 1 gap, which `portal check` lists",)


def test_an_inspector_releases_nothing(folder: Path) -> None:
    """And what it is for is one of three."""
    settle(folder)
    words = ("release", folder, "--part", PART, "--trial", "T1", "--for")
    assert typed(*words, "next trial", "--by", INSPECTOR).code == 3
    wrong = typed(*words, "everything", "--by", "first-engineer")
    assert wrong.code == 2 and "known: `next trial`, `samples`, `production`" in wrong.err
    done = typed(*words, "next trial", "--by", "first-engineer")
    assert done.code == 0 and f"released {TRIAL_NAME} for next trial, granted by F. Engineer (2" in done.out
