"""Calibrating and checking on the bench: as on the command line, by keys of ours, told in the page's language."""

import hashlib
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from portal.bench import scales
from portal.bench.bodies import Check, Reading, WriteCalibration, WriteCheck
from portal.bench.index import NotThere, key_of
from portal.bench.micrometers import candidates
from portal.bench.state import Bench
from portal.catalog import read
from portal.model.scalars import read_length
from portal.problem import PortalError
from portal.tasks.calibrate import calibrate
from tests.bench.conftest import GATE
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.test_calibrate import picture
from tests.tasks.test_shiftcheck import graticule

SCOPE, SETTING = "bench-1", "zoom-2-adapter-0.5"
IMAGES = f"{TRIAL}/images"


def laid(bench: Bench, name: str, division: float = 25.0) -> str:
    """A graticule among the trial's pictures; its key."""
    graticule(bench.folder / IMAGES / name, division)
    bench.reread()
    fresh = Bench(bench.folder)
    bench.index = fresh.index
    return key_of(f"{IMAGES}/{name}")


def asked(key: str, **changes: Any) -> dict[str, Any]:
    """A check by the divisions of that picture."""
    body = {"scope": SCOPE, "setting": SETTING, "picture": key, "pitch": "25 um", "points": "", "length": ""}
    return body | changes


def reading(*keys: str, **changes: Any) -> dict[str, Any]:
    """A calibration by these pictures."""
    body = {"scope": SCOPE, "setting": SETTING, "pictures": list(keys), "corners": [], "pitch": "25 um", "u": "0.2 um"}
    return body | changes


def said(bench: Bench, language: str = "en") -> Any:
    """Who says it."""
    return bench.speaker(language)


def test_what_nobody_tagged_is_offered_newest_first_and_what_is_used_isnt(bench: Bench) -> None:
    """Pictures of pieces are tagged; evidence is named by the scope's file."""
    old, new = laid(bench, "a.jpg"), laid(bench, "b.jpg")
    beside = bench.folder / "scopes" / SCOPE / "loose.png"
    beside.parent.mkdir(exist_ok=True)
    shutil.copy(picture(bench.folder.parent / "x.png", 25.0, size=(240, 320)), beside)
    for number, path in enumerate((bench.folder / IMAGES / "a.jpg", beside, bench.folder / IMAGES / "b.jpg")):
        os.utime(path, (2_000_000_000 + number, 2_000_000_000 + number))
    told = scales.scales(bench, said(bench))
    names = [each["name"] for each in told["pictures"]]  # type: ignore[attr-defined]
    assert names == ["b.jpg", "loose.png", "a.jpg"]
    assert [each.key for each in candidates(bench)] == [new, key_of(f"scopes/{SCOPE}/loose.png"), old]
    with pytest.raises(NotThere):
        scales.check(bench, Check(**asked(key_of(GATE))), said(bench))
    assert [(each["scope"], each["setting"]) for each in told["settings"]] == [(SCOPE, SETTING)]  # type: ignore[attr-defined]


def test_a_reading_is_the_command_lines_own(bench: Bench) -> None:
    """The same numbers, with the term that limits them and each mark."""
    key = laid(bench, "a.jpg")
    path = bench.folder / IMAGES / "a.jpg"
    made = calibrate((path,), pitch=read_length("25 um"), u=read_length("0.2 um"))
    told = scales.read_pictures(bench, Reading(**reading(key)), said(bench))
    html = str(told["html"])
    assert f"{made.size.x_um:.4f}" in html and "pixels taken as square" in html
    assert html.count("<circle") == made.readings[0].marks
    assert "certificate of the artefact" in html and "Of the corners that says nothing" in html
    german = str(scales.read_pictures(bench, Reading(**reading(key)), said(bench, "de"))["html"])
    assert "als quadratisch angenommene Pixel" in german and f"{made.size.x_um:.4f}".replace(".", ",") in german


def test_a_calibration_is_written_with_its_evidence_and_leaves_the_trial(bench: Bench) -> None:
    """The picture's bytes are kept beside the scope's file; the trial has the pictures of pieces only."""
    key = laid(bench, "a.jpg")
    content = (bench.folder / IMAGES / "a.jpg").read_bytes()
    more: dict[str, Any] = {
        "artefact": "stage micrometer",
        "certificate": "C-7",
        "valid_until": "2027-02-19",
        "by": "first-inspector",
    }
    told = scales.write_calibration(bench, WriteCalibration(**reading(key), **more), said(bench))
    catalogue = read(bench.folder).catalogue
    assert catalogue is not None and read(bench.folder).problems == ()
    made = catalogue.scopes[SCOPE].settings[SETTING].calibrations[-1]
    assert (made.id, made.date.isoformat(), made.by) == (told["id"], "2026-02-20", "first-inspector")
    assert (bench.folder / "scopes" / made.evidence[0]).read_bytes() == content
    assert not (bench.folder / IMAGES / "a.jpg").exists()
    assert bench.catalogue.scopes[SCOPE].settings[SETTING].calibrations[-1].id == told["id"]
    assert {each.name for each in bench.catalogue.moulds["M-001"].trials["T1"].pictures} == {
        "c1_gate.jpg",
        "c1_top.jpg",
    }
    assert candidates(bench) == []


def test_a_check_passes_or_fails_and_is_written_either_way(bench: Bench) -> None:
    """At 1 um per pixel; told before it is written, and the same after."""
    good, bad = laid(bench, "a.jpg"), laid(bench, "b.jpg", 26.5)
    told = scales.check(bench, Check(**asked(good)), said(bench))
    assert told["agrees"] is True and "The scale holds." in str(told["html"])
    assert "checks" not in read(bench.folder).catalogue.scopes[SCOPE].settings[SETTING].given()  # type: ignore[union-attr]
    written = scales.write_check(bench, WriteCheck(**asked(good), by="first-inspector"), said(bench))
    assert written == {"agrees": True, "html": ""}
    failed = scales.write_check(bench, WriteCheck(**asked(bad), by="first-inspector"), said(bench))
    assert failed["agrees"] is False
    checks = bench.catalogue.scopes[SCOPE].settings[SETTING].checks
    assert [each.picture.rpartition("/")[2] for each in checks] == [f"{SETTING}-2026-02-20{n}.jpg" for n in ("", "-2")]


def test_a_failed_check_lists_what_to_look_back_at(tmp_path: Path) -> None:
    """Findings with their files, the sent review with what it showed."""
    folder = ready_catalogue(tmp_path / "c")
    assert pack(folder).code == 0
    bench = Bench(folder)
    key = laid(bench, "b.jpg", 26.5)
    html = str(scales.write_check(bench, WriteCheck(**asked(key), by="first-inspector"), said(bench))["html"])
    for part in (
        "To be looked back at: bench-1, zoom-2-adapter-0.5",
        "7K3F",
        "7K3G",
        "c1_gate.jpg",
        "review 1 (",
        "showed 7K3F, 7K3G",
        "5 January 2026",
    ):
        assert part in html.replace("\u2068", "").replace("\u2069", ""), part


def test_a_drawn_line_is_a_check_where_no_divisions_are_found(bench: Bench) -> None:
    """Over what somebody states; the very points are written."""
    key = laid(bench, "a.jpg")
    body = asked(key, pitch="", points="20.00,100.00 220.00,100.00", length="0.2 mm")
    assert scales.check(bench, Check(**body), said(bench))["agrees"] is True
    scales.write_check(bench, WriteCheck(**body, by="first-inspector"), said(bench))
    (check,) = bench.catalogue.scopes[SCOPE].settings[SETTING].checks
    assert (check.points.text, check.length.text) == ("20.00,100.00 220.00,100.00", "0.2 mm")


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"pitch": "10"}, "has no unit"),
        ({"pitch": "-10 um"}, "longer than nothing"),
        ({"scope": "../x"}, "no scope"),
        ({"setting": "zoom"}, "no setting"),
        ({"points": "1,1", "length": "1 mm"}, "between two points"),
        ({"points": "1,1 2,2 3,3", "length": "1 mm"}, "between two points"),
        ({"points": "1,1 900,2", "length": "1 mm"}, "outside of the picture"),
        ({"points": "1,1 20,2", "length": "0 mm"}, "between two points"),
        ({"points": "x", "length": "1 mm"}, "is not a point"),
    ],
)
def test_what_cant_be_checked_is_refused_with_the_reason(bench: Bench, change: dict[str, str], why: str) -> None:
    """And nothing is written."""
    key = laid(bench, "a.jpg")
    before = hashlib.sha256((bench.folder / f"scopes/{SCOPE}.yaml").read_bytes()).hexdigest()
    with pytest.raises(PortalError, match=why):
        scales.write_check(bench, WriteCheck(**asked(key, **change), by="first-inspector"), said(bench))
    assert hashlib.sha256((bench.folder / f"scopes/{SCOPE}.yaml").read_bytes()).hexdigest() == before
    assert (bench.folder / IMAGES / "a.jpg").exists()


def test_a_picture_of_something_else_is_refused_in_the_pages_language(bench: Bench) -> None:
    """An untagged picture of noise."""
    shutil.copy(bench.folder / GATE, bench.folder / IMAGES / "noise.jpg")
    bench.index = Bench(bench.folder).index
    key = key_of(f"{IMAGES}/noise.jpg")
    with pytest.raises(PortalError, match=r"noise\.jpg.* ist kein Bild eines Objektmikrometers"):
        scales.check(bench, Check(**asked(key)), said(bench, "de"))
    with pytest.raises(PortalError, match="is no picture of a graticule"):
        scales.read_pictures(bench, Reading(**reading(key)), said(bench))
    with pytest.raises(PortalError, match="named twice"):
        scales.read_pictures(bench, Reading(**reading(key, key)), said(bench))


def test_what_was_written_unheard_is_not_written_twice(bench: Bench) -> None:
    """The server ended before it took the picture out of the trial: it is sent again, and stands there once."""
    key = laid(bench, "a.jpg")
    content = (bench.folder / IMAGES / "a.jpg").read_bytes()
    check = WriteCheck(**asked(key), by="first-inspector")
    more: dict[str, Any] = {
        "artefact": "stage micrometer",
        "certificate": "C-7",
        "valid_until": "2027-02-19",
        "by": "first-inspector",
    }
    calibration = WriteCalibration(**reading(key), **more)

    def again() -> None:
        (bench.folder / IMAGES / "a.jpg").write_bytes(content)
        bench.index = Bench(bench.folder).index

    for _ in range(2):
        again()
        scales.write_check(bench, check, said(bench))
        again()
        scales.write_calibration(bench, calibration, said(bench))
    setting = bench.catalogue.scopes[SCOPE].settings[SETTING]
    assert len(setting.checks) == 1 and [bool(each.evidence) for each in setting.calibrations].count(True) == 1
    again()
    scales.write_calibration(bench, calibration.model_copy(update={"certificate": "C-8"}), said(bench))
    assert len(bench.catalogue.scopes[SCOPE].settings[SETTING].calibrations) == len(setting.calibrations) + 1


def test_what_was_written_and_taken_out_unheard_is_known_by_its_picture(bench: Bench) -> None:
    """The server ended behind all of it: nothing is left to be read in the trial, and it stands there once."""
    first, second = laid(bench, "a.jpg"), laid(bench, "b.jpg")
    content = (bench.folder / IMAGES / "a.jpg").read_bytes()
    shown = hashlib.sha256(content).hexdigest()
    check = WriteCheck(**asked(first), by="first-inspector", shown=shown)
    more: dict[str, Any] = {
        "artefact": "stage micrometer",
        "certificate": "C-7",
        "valid_until": "2027-02-19",
        "by": "first-inspector",
    }
    told = scales.write_check(bench, check, said(bench))
    again = Bench(bench.folder)
    assert scales.write_check(again, check, said(again)) == told
    of_b = hashlib.sha256((bench.folder / IMAGES / "b.jpg").read_bytes()).hexdigest()
    calibration = WriteCalibration(**reading(second), **more, shown=[of_b])
    told = scales.write_calibration(again, calibration, said(again))
    again = Bench(bench.folder)
    assert scales.write_calibration(again, calibration, said(again)) == told
    setting = read(bench.folder).catalogue.scopes[SCOPE].settings[SETTING]  # type: ignore[union-attr]
    assert len(setting.checks) == 1 and [bool(each.evidence) for each in setting.calibrations].count(True) == 1
    for other in (
        check.model_copy(update={"by": "first-engineer"}),
        check.model_copy(update={"pitch": "50 um"}),
        check.model_copy(update={"shown": "0" * 64}),
        check.model_copy(update={"shown": ""}),
    ):
        with pytest.raises(NotThere):
            scales.write_check(again, other, said(again))
    with pytest.raises(NotThere):
        scales.write_calibration(again, calibration.model_copy(update={"certificate": "C-8"}), said(again))


def test_a_picture_that_was_tagged_meanwhile_stays_where_it_is(bench: Bench) -> None:
    """Somebody else took it for one of a piece."""
    key = laid(bench, "a.jpg")
    tag = bench.folder / TRIAL / "tags/a.jpg.yaml"
    tag.write_text("format: 1\n", encoding="utf-8")
    scales.write_check(bench, WriteCheck(**asked(key), by="first-inspector"), said(bench))
    assert (bench.folder / IMAGES / "a.jpg").exists()
