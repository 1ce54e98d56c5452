"""What a new picture probably shows: by the pattern of file names, else as the picture before it."""

from pathlib import Path

import pytest

from portal.bench.index import key_of
from portal.bench.propose import proposed
from portal.bench.state import Bench
from tests.bench.conftest import GATE
from tests.tasks.small import TRIAL


def place(bench: Bench, name: str, pattern: str | None) -> dict[str, str]:
    """The place that is proposed for a new picture of that name."""
    file = f"{TRIAL}/images/{name}"
    (bench.folder / file).write_bytes((bench.folder / GATE).read_bytes())
    return proposed(Bench(bench.folder).index.spot(key_of(file)), pattern)


PATTERN = "{mould}_{trial}_c{cavity}_s{shot}_{view}"


def test_the_files_name_says_cavity_shot_and_view(bench: Bench) -> None:
    """Setting and scope are those of the picture before; the piece is the only one of that cavity and shot."""
    found = place(bench, "M-001_T1_c1_s011_gate-profile.jpg", PATTERN)
    assert (found["cavity"], found["shot"], found["view"]) == ("1", "11", "gate-profile")
    assert (found["scope"], found["setting"]) == ("bench-1", "zoom-2-adapter-0.5")
    assert found["piece"] == "T1-1-11-1"


@pytest.mark.parametrize(
    ("name", "pattern"),
    [
        ("IMG_0001.jpg", PATTERN),
        ("M-002_T1_c1_s11_top.jpg", PATTERN),
        ("M-001_T1_c9_s11_top.jpg", "{mould}_{trial}_c{cavity}_s{shot}_{camera}"),
        ("x.jpg", None),
        ("x.jpg", "{cavity}{cavity}(.*"),
    ],
)
def test_what_the_name_doesnt_say_is_as_in_the_picture_before(bench: Bench, name: str, pattern: str | None) -> None:
    """Another mould's name says nothing, nor does a cavity that the mould hasn't."""
    found = place(bench, name, pattern)
    assert found["cavity"] == "1" and found["view"] in {"top", "gate-profile"}


def test_the_first_picture_of_a_trial_has_nothing_to_go_by(bench: Bench) -> None:
    """Nothing is made up."""
    for tag in (bench.folder / TRIAL / "tags").glob("*.yaml"):
        Path(tag).unlink()
    found = place(bench, "IMG_0001.jpg", None)
    assert set(found.values()) == {""}
