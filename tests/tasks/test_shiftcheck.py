"""A setting is checked by a picture of the graticule: found by itself or drawn, told, written, looked back from."""

import math
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from portal.assess.graticule import Compared, comparisons
from portal.catalog import read
from portal.measure.known import Against
from portal.model.result import NoScale
from portal.model.scalars import read_length, read_points
from portal.problem import PortalError
from portal.tasks.check import check
from portal.tasks.gather import survey
from portal.tasks.lookback import look_backs
from portal.tasks.micrometer import read_picture
from portal.tasks.recorded import recorded
from portal.tasks.shiftcheck import Line, Wanted, compare, found_line, write_check
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import small_catalogue
from tests.tasks.test_calibrate import picture

SCOPE, SETTING = "bench-1", "zoom-2-adapter-0.5"
PITCH = read_length("25 um")


def graticule(path: Path, division: float, *, taken: str = "2026:02:20 08:00:00") -> Path:
    """A picture in the calibrated frame, 1 um per pixel, taken at that time."""
    made = picture(path.with_suffix(".png"), division, size=(240, 320))
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = taken
    Image.open(made).save(path, quality=95, exif=exif)
    made.unlink()
    return path


def wanted(at: Path, line: Line | None = None) -> Wanted:
    """A check by that picture, its line found by itself unless it is given."""
    return Wanted(SCOPE, SETTING, at, line or found_line(at, PITCH), "first-inspector")


def told(folder: Path, asked: Wanted) -> Compared:
    """What it would say."""
    gathered = survey(folder)
    return compare(gathered.catalogue, asked)


def test_a_graticule_that_measures_right_passes_and_one_of_a_moved_zoom_fails(tmp_path: Path) -> None:
    """25 px for 25 um at 1 um per pixel; 26.5 px are 6 % too long, and U is some 2 %."""
    folder = small_catalogue(tmp_path / "c")
    good = told(folder, wanted(graticule(tmp_path / "a.jpg", 25.0)))
    assert good.agrees is True and isinstance(good.found, Against)
    assert good.found.um == pytest.approx(good.check.length.um, rel=2e-3)
    bad = told(folder, wanted(graticule(tmp_path / "b.jpg", 26.5)))
    assert bad.agrees is False and isinstance(bad.found, Against)
    assert bad.found.um / bad.check.length.um == pytest.approx(1.06, rel=5e-3)


@pytest.mark.parametrize("division", [10.0, 11.0, 15.0])
def test_a_turned_graticule_that_reaches_over_the_edge_is_measured_as_far_as_it_is_seen(
    tmp_path: Path, division: float
) -> None:
    """The line from its first mark to its last would leave the picture: the last is seen only above or below it."""
    at = picture(tmp_path / "a.png", division, size=(480, 640))
    frame, reading = read_picture(at)
    assert reading.ends[1][0] > frame.width, "it has to reach over"
    line = found_line(at, PITCH)
    (x, y), (a, b) = line.points.xy
    assert all(0 <= each <= frame.width for each in (x, a)) and all(0 <= each <= frame.height for each in (y, b))
    count = round(line.length.um / PITCH.um)
    assert reading.divisions - 3 <= count < reading.divisions
    assert math.hypot(a - x, b - y) == pytest.approx(count * reading.division_px, abs=0.02)


def test_a_line_drawn_over_a_stated_length_is_a_check_too(tmp_path: Path) -> None:
    """Where the graticule has no divisions that could be found: 200 px over 0.2 mm, then over 0.22 mm."""
    folder = small_catalogue(tmp_path / "c")
    at = graticule(tmp_path / "a.jpg", 25.0)
    points = read_points("20,100 220,100")
    assert told(folder, wanted(at, Line(points, read_length("0.2 mm")))).agrees is True
    assert told(folder, wanted(at, Line(points, read_length("0.22 mm")))).agrees is False


def test_what_is_written_says_the_same_and_the_rest_of_the_file_stays(tmp_path: Path) -> None:
    """The picture lies beside the scope's file; a second check of that day has a name of its own."""
    folder = small_catalogue(tmp_path / "c")
    file = folder / "scopes/bench-1.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "    x-mine: kept  # a comment\n", encoding="utf-8")
    before = file.read_text(encoding="utf-8")
    asked = wanted(graticule(tmp_path / "a.jpg", 26.5))
    first = told(folder, asked)
    assert [write_check(folder, asked), write_check(folder, asked)] == [0, 1]
    after = file.read_text(encoding="utf-8").splitlines()
    assert [line for line in before.splitlines() if line not in after] == []
    gathered = survey(folder)
    one, two = comparisons(gathered.catalogue.scopes[SCOPE], SETTING, gathered.facts, gathered.catalogue)
    assert one.check.at.text == "2026-02-20T08:00"
    assert isinstance(first.found, Against) and isinstance(one.found, Against)
    assert (one.found.um, one.agrees) == (first.found.um, first.agrees)
    names = (one.check.picture, two.check.picture)
    assert names == (f"{SCOPE}/{SETTING}-2026-02-20.jpg", f"{SCOPE}/{SETTING}-2026-02-20-2.jpg")
    assert all((folder / "scopes" / name).read_bytes() == asked.picture.read_bytes() for name in names)
    assert {each.field for each in check(folder).problems if not each.warning} == {
        f"settings.{SETTING}.checks.0",
        f"settings.{SETTING}.checks.1",
    }


def test_a_picture_without_a_time_is_of_now(tmp_path: Path) -> None:
    """By the shop's clock."""
    folder = small_catalogue(tmp_path / "c")
    at = picture(tmp_path / "a.png", 25.0, size=(240, 320))
    day = told(folder, wanted(at)).check.at.day
    assert abs((day - datetime.now().date()).days) <= 1


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"scope": "bench-2"}, "no scope `bench-2`"),
        ({"setting": "zoom-3"}, "no setting `zoom-3`"),
        ({"by": "nobody"}, "not among `people`"),
    ],
)
def test_refusals_have_their_reason_and_write_nothing(tmp_path: Path, change: dict[str, Any], why: str) -> None:
    """Before anything is copied."""
    folder = small_catalogue(tmp_path / "c")
    asked = replace(wanted(graticule(tmp_path / "a.jpg", 25.0)), **change)
    files = sorted(folder.rglob("*"))
    with pytest.raises(PortalError, match=why):
        write_check(folder, asked)
    assert [each for each in sorted(folder.rglob("*")) if not each.name.endswith(".held")] == files


def test_before_any_calibration_or_in_another_frame_it_says_nothing(tmp_path: Path) -> None:
    """With the reason, neither pass nor fail."""
    folder = small_catalogue(tmp_path / "c")
    early = told(folder, wanted(graticule(tmp_path / "a.jpg", 25.0, taken="2025:02:20 08:00:00")))
    assert early.agrees is None and isinstance(early.found, NoScale)
    other = picture(tmp_path / "b.png", 25.0, size=(480, 640))
    found = told(folder, wanted(other))
    assert found.agrees is None and isinstance(found.found, NoScale)


def test_a_failed_check_gives_the_findings_and_reviews_to_look_back_at(tmp_path: Path) -> None:
    """What was measured on 12 February, and the review that showed it; calibrated on 5 January."""
    folder = ready_catalogue(tmp_path / "c")
    assert pack(folder).code == 0
    number = write_check(folder, wanted(graticule(tmp_path / "b.jpg", 26.5)))
    gathered = survey(folder)
    (back,) = look_backs(gathered, recorded(gathered))
    assert (back.doubt.field, back.doubt.since) == (("checks", str(number)), date(2026, 1, 5))
    assert {each.finding for each in back.findings} == {"7K3F", "7K3G"}
    assert [each.findings for each in back.reviews] == [("7K3F", "7K3G")]
    reading = read(folder)
    assert reading.catalogue is not None
    lines = (folder / back.findings[0].file).read_text(encoding="utf-8").splitlines()
    assert back.findings[0].finding in lines[back.findings[0].line - 1]
