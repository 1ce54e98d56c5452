"""What `portal check` lists as work, and what it says of a part's log."""

from pathlib import Path

import pytest

from portal.model.answer import AgreedLimit, HoldsFrom
from portal.tasks.check import check
from portal.tasks.close import close
from portal.tasks.record import Came, Decision, record
from tests.tasks.judged import MAY_ALL, PART, opened
from tests.tasks.packing import ready_catalogue
from tests.tasks.small import TRIAL, small_catalogue


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue with a checked trial and a log."""
    return ready_catalogue(tmp_path_factory.mktemp("ready") / "catalogue")


def test_a_trial_with_findings_that_nobody_checked_blocks_sending(tmp_path: Path) -> None:
    """It is work, not a problem; a checked one isn't listed."""
    folder = small_catalogue(tmp_path / "catalogue")
    said = "P-0001, M-001 T1: nobody has marked it checked, so that no review of it can be sent"
    assert said in check(folder).gaps and check(folder).exit_code == 0
    with (folder / TRIAL / "trial.yaml").open("a", encoding="utf-8") as file:
        file.write("checked: {by: first-engineer, at: 2026-02-13T09:00}\n")
    assert said not in check(folder).gaps


def test_a_trial_without_findings_is_not_waited_for(tmp_path: Path) -> None:
    """There is nothing to be sent."""
    folder = small_catalogue(tmp_path / "catalogue")
    for name in ("c1_top.jpg", "c1_gate.jpg"):
        path = folder / f"{TRIAL}/tags/{name}.yaml"
        path.write_text(path.read_text(encoding="utf-8").partition("findings:")[0], encoding="utf-8")
    assert not any("checked" in each for each in check(folder).gaps)


def test_a_limit_that_was_agreed_is_listed_until_it_is_a_criterion(ready: Path) -> None:
    """In the words in which it was agreed, and the other gaps with it."""
    before = check(ready).gaps
    assert before == ()
    limit = AgreedLimit(limit="height up to 0.12 mm", condition="stereo-20-ring", holds=HoldsFrom.NOW)
    came = Came(MAY_ALL, "telephone", "2026-03-05T14:20")
    logged = record(opened(ready), Decision(findings=("7K3H",), letter="A", limit=limit), came).logged
    told = "P-0001: the shop has to enter a limit that was agreed as a criterion: height up to 0.12 mm, from now"
    assert check(ready).gaps == (f"{told} [{logged.hash[:8]}:criterion]",)
    close(opened(ready), (f"{logged.hash[:8]}:criterion",), why="entered as revision 4")
    assert check(ready).gaps == ()


def test_what_is_wrong_with_a_log_is_told(ready: Path) -> None:
    """A changed event is a problem, a write that was cut off a warning."""
    log = ready / f"parts/{PART}/log"
    event = sorted(log.glob("*.json"))[0]
    was = event.read_bytes()
    try:
        event.write_bytes(was + b" ")
        (log / ".rest.tmp").write_bytes(b"{")
        problems = check(ready).problems
        wrong = [each for each in problems if not each.warning]
        assert [(each.file, each.message[:29]) for each in wrong] == [
            (f"parts/{PART}/log/{event.name}", "changed since it was written,")
        ]
    finally:
        event.write_bytes(was)
        (log / ".rest.tmp").unlink()
