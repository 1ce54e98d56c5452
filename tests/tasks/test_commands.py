"""The commands as a user types them; where it is about what a shell sees of the program, in a process of its own."""

import csv
import json
import subprocess
import sys
from pathlib import Path

from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.typed import typed


def run(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """`portal …` in a process of its own."""
    command = [sys.executable, "-m", "portal.cli", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False)


def test_a_new_catalogue_has_no_problem_but_is_not_yet_looked_at(tmp_path: Path) -> None:
    """`portal new` then `portal check` exits 0 and lists the gaps."""
    assert run("new", tmp_path / "ours").returncode == 0
    checked = run("check", tmp_path / "ours")
    assert checked.returncode == 0, checked.stdout
    assert "0 problems" in checked.stdout
    assert "gap: P-0001, M-001 T1: cavity 1, view top" in checked.stdout


def test_problems_come_before_what_only_warns(tmp_path: Path) -> None:
    """A person's test that ended, in a file that is read first, and a misspelt key in one that is read last."""
    folder = small_catalogue(tmp_path / "c")
    shop = folder / "catalog.yaml"
    text = shop.read_text(encoding="utf-8")
    assert text.count("roles: [inspector]") == 1
    ended = "roles: [inspector]\n    near_vision_until: 2020-01-31"
    shop.write_text(text.replace("roles: [inspector]", ended), encoding="utf-8")
    (folder / "scopes/other.yaml").write_text("format: 1\ntipe: none\nsettings: {}\n", encoding="utf-8")
    said = [line for line in typed("check", folder).out.splitlines() if not line.startswith(" ")]
    problems = [line.startswith("scopes/other.yaml:") for line in said]
    warnings = [line.startswith("warning: catalog.yaml:") for line in said]
    assert problems[0] and any(warnings)
    assert len(problems) - problems[::-1].index(True) <= warnings.index(True)


def test_new_refuses_a_folder_that_holds_something(tmp_path: Path) -> None:
    """Nothing of a person's is overwritten."""
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    refused = run("new", tmp_path)
    assert refused.returncode == 3
    assert "not empty" in refused.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_a_folder_that_is_no_catalogue_is_named(tmp_path: Path) -> None:
    """Wrong use is exit 2, in a sentence."""
    wrong = run("build", tmp_path)
    assert wrong.returncode == 2
    assert "there is no catalog.yaml in it" in wrong.stderr
    assert "Traceback" not in wrong.stderr


def test_findings_come_as_rows_with_their_verdicts(tmp_path: Path) -> None:
    """JSON and CSV hold the same rows; a finding without a reading still has one."""
    folder = small_catalogue(tmp_path / "c")
    listed = typed("findings", folder, "--json", "--csv", tmp_path / "f.csv")
    assert listed.code == 0, listed.err
    rows = json.loads(listed.out)
    assert [row["id"] for row in rows] == ["7K3G", "7K3H", "7K3F"] or {row["id"] for row in rows} == {
        "7K3F",
        "7K3G",
        "7K3H",
    }
    by_id = {row["id"]: row for row in rows}
    assert by_id["7K3G"]["characteristic"] == "height"
    assert abs(float(by_id["7K3G"]["value"]) - 0.110) < 0.002
    assert by_id["7K3H"]["value"] == ""
    assert {row["verdict"] for row in rows} == {"not judged"}
    with (tmp_path / "f.csv").open(encoding="utf-8-sig", newline="") as file:
        assert list(csv.DictReader(file)) == [{name: str(value) for name, value in row.items()} for row in rows]


def test_check_names_a_point_outside_its_picture_at_its_line(tmp_path: Path) -> None:
    """A check that needs the tag and the picture."""
    folder = small_catalogue(tmp_path / "c")
    tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8").replace("125,110", "325,110"), encoding="utf-8")
    checked = typed("check", folder)
    assert checked.code == 1
    assert f"{TRIAL}/tags/c1_top.jpg.yaml:16: findings.0.shapes.0.points: 325,110 is outside" in checked.out


def test_check_names_a_picture_that_was_replaced(tmp_path: Path) -> None:
    """Nothing is measured on other pixels than those that were tagged."""
    folder = small_catalogue(tmp_path / "c")
    image = folder / TRIAL / "images/c1_top.jpg"
    image.write_bytes(image.read_bytes() + b"\0")
    checked = typed("check", folder)
    assert checked.code == 1
    assert f"{TRIAL}/tags/c1_top.jpg.yaml:2: picture.sha256: `c1_top.jpg` was replaced" in checked.out


def test_help_shows_an_example_for_every_command() -> None:
    """What it loads for that is `tests/tasks/test_loads.py`'s to say."""
    for command in ("demo", "new", "check", "build", "findings"):
        assert f"Example: portal {command}" in typed(command, "--help").out
