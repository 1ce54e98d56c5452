"""What a new picture probably shows: by the pattern of file names, else as the picture before it."""

import re
from pathlib import Path

import pytest
from PIL import Image

from portal.bench.index import key_of
from portal.bench.propose import proposed
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.catalog import read
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


def test_the_setting_is_that_of_the_picture_before_of_the_same_view(bench: Bench) -> None:
    """The picture right before it shows another view at another zoom: its scale would be wrong by that much."""
    tags = bench.folder / TRIAL / "tags"
    (bench.folder / f"{TRIAL}/images/c1_near.jpg").write_bytes((bench.folder / GATE).read_bytes())
    text = (tags / "c1_gate.jpg.yaml").read_text(encoding="utf-8").partition("findings:")[0]
    other = text.replace("view: gate-profile", "view: top").replace("zoom-2-adapter-0.5", "zoom-9-adapter-0.5")
    (tags / "c1_near.jpg.yaml").write_text(other, encoding="utf-8")
    name = "c1_s11_{}_{}.jpg".format
    found = [place(bench, name(view, "x"), "c{cavity}_s{shot}_{view}_{x}") for view in ("gate-profile", "top")]
    assert [each["view"] for each in found] == ["gate-profile", "top"]
    assert [each["setting"] for each in found] == ["zoom-2-adapter-0.5", "zoom-9-adapter-0.5"]


def test_the_picture_before_is_the_one_before_it_not_the_last_of_all(bench: Bench) -> None:
    """By name: between one of cavity 1 and a later one of cavity 2, it is as the former."""
    tags = bench.folder / TRIAL / "tags"
    later = f"{TRIAL}/images/z2_gate.jpg"
    (bench.folder / later).write_bytes((bench.folder / GATE).read_bytes())
    text = (tags / "c1_gate.jpg.yaml").read_text(encoding="utf-8").partition("findings:")[0]
    (tags / "z2_gate.jpg.yaml").write_text(re.sub('cavity: "?1"?', 'cavity: "2"', text), encoding="utf-8")
    assert place(bench, "m.jpg", None)["cavity"] == "1"
    assert place(bench, "zz.jpg", None)["cavity"] == "2"


def alone(bench: Bench, **fields: str) -> Bench:
    """The bench over a trial of which nothing is tagged, its record with other fields."""
    for tag in (bench.folder / TRIAL / "tags").glob("*.yaml"):
        Path(tag).unlink()
    file = bench.folder / TRIAL / "trial.yaml"
    text = file.read_text(encoding="utf-8")
    for name, value in fields.items():
        text = re.sub(rf"(?m)^{name}:.*\n(?:[ #-].*\n)*", f"{name}: {value}\n", text)
    file.write_text(text, encoding="utf-8")
    return Bench(bench.folder)


def test_the_first_picture_of_a_trial_has_nothing_to_go_by(bench: Bench) -> None:
    """Nothing is made up where there is a choice."""
    mould = bench.folder / "moulds/M-001/mould.yaml"
    text = mould.read_text(encoding="utf-8").replace(
        "status: blocked, reason: example of a blocked cavity", "status: running"
    )
    mould.write_text(text, encoding="utf-8")
    fresh = alone(bench, shots="{kept: [11, 12]}")
    found = place(fresh, "IMG_0001.jpg", None)
    assert set(found.values()) == {""}


def test_what_there_is_only_one_of_is_proposed(bench: Bench) -> None:
    """The only kept shot of the only running cavity, with its piece; a name that says otherwise counts before."""
    fresh = alone(bench, shots="{kept: [11]}")
    found = place(fresh, "IMG_0001.jpg", None)
    assert (found["shot"], found["cavity"], found["piece"]) == ("11", "1", "T1-1-11-1")
    assert place(fresh, "s12.jpg", "s{shot}")["shot"] == "12"


def test_a_piece_in_the_name_says_cavity_and_shot_too(bench: Bench) -> None:
    """As the trial's record has it; one that the trial hasn't says nothing."""
    pieces = '[{id: A-1, cavity: "1", shot: 11}, {id: A-2, cavity: "1", shot: 11}]'
    fresh = alone(bench, shots="{kept: [11, 12]}", pieces=pieces)
    found = place(fresh, "A-2_top.jpg", "{piece}_{view}")
    assert (found["piece"], found["cavity"], found["shot"], found["view"]) == ("A-2", "1", "11", "top")
    assert place(fresh, "A-9_top.jpg", "{piece}_{view}")["piece"] == ""


@pytest.mark.parametrize(
    ("camera", "wanted"),
    [
        ("CX-5", ("second", "only")),
        ("MICROSCOPE CAMERA", ("bench-1", "zoom-2-adapter-0.5")),
        ("something else", ("bench-1", "zoom-2-adapter-0.5")),
        (None, ("bench-1", "zoom-2-adapter-0.5")),
    ],
)
def test_the_camera_that_took_it_says_which_microscope(
    bench: Bench, camera: str | None, wanted: tuple[str, str]
) -> None:
    """The picture before was of another camera; a camera that nobody names says nothing."""
    first = (bench.folder / "scopes/bench-1.yaml").read_text(encoding="utf-8")
    second = first.replace("zoom-2-adapter-0.5:", "only:").replace("microscope camera", "Orrisview CX-5")
    (bench.folder / "scopes/second.yaml").write_text(second, encoding="utf-8")
    image = Image.open(bench.folder / GATE)
    exif = Image.Exif()
    exif[0x0110] = camera or ""
    image.save(bench.folder / f"{TRIAL}/images/new.jpg", exif=exif)
    fresh = Bench(bench.folder)
    assert read(fresh.folder).problems == ()
    told = sight(fresh, key_of(f"{TRIAL}/images/new.jpg"), fresh.speaker())["place"]
    assert (told["scope"], told["setting"]) == wanted  # type: ignore[index]
