"""A scale that a guard found wrong: told at its line by `portal check`, and nothing is measured by it."""

import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from portal.assess.scales import scales
from portal.model.basis import basis_of
from portal.model.result import Measurement, Scale, Unmeasured
from portal.problem import Problem
from portal.resources import sample
from portal.site.words import Speaker
from portal.tasks.build import build
from portal.tasks.check import check
from portal.tasks.gather import Gathered, gather
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.two import change

TOP = f"{TRIAL}/tags/c1_top.jpg.yaml"
SCOPE = "scopes/bench-1.yaml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The small catalogue with a pin of 0.200 mm in the view from the top; a pixel is 1 µm ± 0.002 µm."""
    made = small_catalogue(tmp_path / "catalogue")
    feature = "    known_feature: {name: pin, length: 0.200 mm, u: 0.5 um}\n"
    change(made, "parts/P-0001/part.yaml", "  gate-profile:\n", f"{feature}  gate-profile:\n")
    for key in ("u_x", "u_y"):
        change(made, SCOPE, f"{key}: 0.01 um", f"{key}: 0.001 um")
    return made


def draw(folder: Path, line: str) -> None:
    """Write a line into the tag of the picture from the top."""
    change(folder, TOP, "setting: zoom-2-adapter-0.5\n", f"setting: zoom-2-adapter-0.5\n{line}\n")


def line_of(folder: Path, path: str, needle: str) -> int:
    """The line on which a text stands."""
    lines = (folder / path).read_text(encoding="utf-8").splitlines()
    return next(number for number, text in enumerate(lines, start=1) if needle in text)


def told(folder: Path) -> list[Problem]:
    """Problems, without warnings."""
    return [each for each in check(folder).problems if not each.warning]


def measured(gathered: Gathered) -> list[Measurement | Unmeasured]:
    """The readings of the speck."""
    return [
        reading
        for result in gathered.results
        for each in result.assessments
        if each.finding == "7K3F"
        for reading in each.readings
    ]


def add_check(folder: Path, pixels: int, *, at: str, name: str = "") -> None:
    """A check picture whose graticule of 0.200 mm is so many pixels long."""
    picture = folder / f"scopes/bench/{name or at[:10]}.png"
    picture.parent.mkdir(exist_ok=True)
    Image.fromarray(np.full((240, 320), pixels % 256, np.uint8)).save(picture)
    text = (folder / SCOPE).read_text(encoding="utf-8").rstrip()
    text += "" if "    checks:" in text else "\n    checks:"
    text += f'\n      - {{picture: bench/{picture.name}, points: "10,9 {10 + pixels},9", length: 0.200 mm, at: {at}, '
    (folder / SCOPE).write_text(f"{text}by: first-engineer}}\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("written", "field", "said"),
    [
        (
            'known: {feature: pin, points: "20,20 230,20"}',
            "known",
            "not measured: the known feature pin measures 0.210 mm ± 0.004 mm, drawn 0.2000 mm ± 0.0010 mm",
        ),
        (
            'burned_in_bar: {length: 0.1 mm, points: "20,20 123,20"}',
            "burned_in_bar",
            "not measured: the scale bar in the picture measures 0.103 mm ± 0.004 mm, its label says 0.1 mm",
        ),
        (
            'reference: {length: 0.1 mm, u: 0.1 um, points: "20,20 20,124"}',
            "reference",
            "not measured: the reference in the picture measures 0.104 mm ± 0.004 mm, stated 0.10000 mm ± 0.00020 mm",
        ),
    ],
)
def test_a_failed_guard_is_a_problem_and_stops_measuring(folder: Path, written: str, field: str, said: str) -> None:
    """Told at its line, in the words in which the page tells it."""
    assert not told(folder) and isinstance(measured(gather(folder))[0], Measurement)
    draw(folder, written)
    (problem,) = told(folder)
    assert (problem.file, problem.line, problem.field) == (TOP, line_of(folder, TOP, f"{field}:"), field)
    assert problem.message == said
    (reading,) = measured(gather(folder))
    assert isinstance(reading, Unmeasured)
    assert Speaker("en", "mm", str).say(reading.reason) == said


@pytest.mark.parametrize(
    "written",
    [
        'known: {feature: pin, points: "20,20 221,20"}',
        'burned_in_bar: {length: 0.1 mm, points: "20,20 121,20"}',
        'reference: {length: 0.1 mm, u: 0.1 um, points: "20,20 20,121"}',
    ],
)
def test_a_guard_that_holds_changes_nothing(folder: Path, written: str) -> None:
    """Within its ±, or within 2 %."""
    before = measured(gather(folder))
    draw(folder, written)
    assert not told(folder)
    assert measured(gather(folder)) == before


def test_a_guard_drawn_beyond_the_picture_is_told_once(folder: Path) -> None:
    """At its points; the picture is 320 pixels wide."""
    draw(folder, 'known: {feature: pin, points: "200,20 400,20"}')
    (problem,) = told(folder)
    assert (problem.file, problem.field) == (TOP, "known.points") and "outside the picture" in problem.message
    assert isinstance(measured(gather(folder))[0], Unmeasured)


def test_a_failed_check_of_the_graticule_stops_its_setting(folder: Path) -> None:
    """At the line of the check; pictures of its day and later aren't measured, until a check is good again."""
    add_check(folder, 201, at="2026-02-10T08:00")
    assert not told(folder) and isinstance(measured(gather(folder))[0], Measurement)
    add_check(folder, 210, at="2026-02-12T08:00")
    (problem,) = told(folder)
    assert (problem.file, problem.line) == (SCOPE, line_of(folder, SCOPE, "2026-02-12T08:00"))
    assert problem.message == "failed: the graticule measures 0.210 mm ± 0.004 mm, stated 0.200 mm"
    (reading,) = measured(gather(folder))
    assert isinstance(reading, Unmeasured) and reading.reason.key == "measure.no-scale.check-failed"
    add_check(folder, 200, at="2026-02-12T08:30", name="again")
    assert not told(folder) and isinstance(measured(gather(folder))[0], Measurement)
    assert [each.message for each in check(folder).problems if each.warning and each.file == SCOPE] == [problem.message]


def test_a_failed_check_says_nothing_of_days_before(folder: Path) -> None:
    """It was good then, for all that is known; those pictures are listed, not stopped."""
    add_check(folder, 210, at="2026-02-13T08:00")
    assert len(told(folder)) == 1
    assert isinstance(measured(gather(folder))[0], Measurement)


def test_a_calibration_of_a_later_day_takes_a_failed_check_away(folder: Path) -> None:
    """What was wrong is a warning from then on."""
    add_check(folder, 210, at="2026-02-10T08:00")
    assert isinstance(measured(gather(folder))[0], Unmeasured)
    text = (folder / SCOPE).read_text(encoding="utf-8")
    start = text.index("      - id: EXAMPLE")
    again = text[start : text.index("    # return_u")].replace("EXAMPLE", "AGAIN").replace("2026-01-05", "2026-02-11")
    (folder / SCOPE).write_text(text[:start] + again.replace("1.00 um", "0.95 um") + text[start:], encoding="utf-8")
    assert not told(folder)
    (reading,) = measured(gather(folder))
    assert isinstance(reading, Measurement) and reading.scale and reading.scale.x_um == 0.95


def test_a_check_that_fits_no_calibration_only_warns(folder: Path) -> None:
    """It says nothing about the scale."""
    add_check(folder, 200, at="2025-12-01T08:00")
    (told_of,) = [each for each in check(folder).problems if each.file == SCOPE]
    assert told_of.warning
    assert told_of.message.startswith("this check says nothing: no scale: calibration EXAMPLE is of")


def test_a_reference_gives_a_telephones_picture_a_scale(folder: Path, tmp_path: Path) -> None:
    """For this picture only; card and page say so, and the finding's basis holds the reference."""
    draw(folder, 'made: phone\nreference: {length: 0.2 mm, u: 0.1 um, points: "20,20 120,20"}')
    gathered = gather(folder)
    (reading,) = measured(gathered)
    assert isinstance(reading, Measurement) and reading.scale and reading.scale.x_um == pytest.approx(2.0)
    found = next(each for each in gathered.catalogue.findings() if each.finding.id == "7K3F")
    assessment = next(each for result in gathered.results for each in result.assessments if each.finding == "7K3F")
    basis = basis_of(found, assessment, gathered.catalogue)
    assert basis["place"]["made"] == "phone" and basis["place"]["reference"]["length"] == "0.2 mm"
    assert "calibrations" not in basis
    build(folder, out=tmp_path / "site", as_of=date(2026, 3, 1), processes=1)
    site = sorted((tmp_path / "site").rglob("*.html"))
    pages = [re.sub("&nbsp;|\u00a0", " ", path.read_text(encoding="utf-8")) for path in site]
    assert any("by a reference of known size in this picture" in page for page in pages)
    assert any("from a reference of 0.2 mm in this picture" in page for page in pages)


def test_a_telephones_picture_has_no_calibration(folder: Path) -> None:
    """However well the setting was calibrated."""
    draw(folder, "made: phone")
    (reading,) = measured(gather(folder))
    assert isinstance(reading, Unmeasured) and reading.reason.key == "measure.no-scale.phone"


def test_a_plain_picture_that_says_so_has_the_same_basis(folder: Path) -> None:
    """`single` is what a picture is where nothing is said."""

    def basis() -> dict[str, object]:
        gathered = gather(folder)
        found = next(each for each in gathered.catalogue.findings() if each.finding.id == "7K3F")
        assessment = next(each for one in gathered.results for each in one.assessments if each.finding == "7K3F")
        return basis_of(found, assessment, gathered.catalogue)

    before = basis()
    draw(folder, "made: single")
    assert basis() == before


@pytest.mark.parametrize("audience", ["shop", "vellorin"])
def test_the_scopes_page_tells_what_each_check_came_to(folder: Path, tmp_path: Path, audience: str) -> None:
    """The customer, who sees no check picture, reads the same."""
    add_check(folder, 201, at="2026-02-10T08:00")
    add_check(folder, 210, at="2026-02-20T08:00")
    add_check(folder, 200, at="2025-12-01T08:00")
    build(folder, out=tmp_path / "site", as_of=date(2026, 3, 1), processes=1, audience=audience)
    text = (tmp_path / "site/scopes/bench-1.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert text.count("Checked against 0.200 mm of the graticule by F. Engineer") == 3
    assert "It measured 0.201 mm ± 0.004 mm, and agrees." in text
    assert "It measured 0.210 mm ± 0.004 mm, and does not agree: the scale" in text
    assert "It says nothing: no scale: calibration EXAMPLE is of" in text
    assert "measures nothing: a check failed since" in text and "valid on this day" not in text
    assert text.index("20 February 2026") < text.index("10 February 2026") < text.index("1 December 2025")


@pytest.mark.parametrize("audience", ["shop", "vellorin"])
def test_a_setting_whose_last_check_failed_is_fine_enough_for_nothing(
    folder: Path, tmp_path: Path, audience: str
) -> None:
    """Until a later check agrees: the customer, who sees no check picture, reads the same."""
    change(
        folder,
        "standards/looks/1.yaml",
        "rule: no-worse-than",
        "rule: limits\n    limits: [{characteristic: height, max: 0.150 mm}]",
    )

    def grades() -> list[tuple[str, str]]:
        build(folder, out=tmp_path / "site", as_of=date(2026, 3, 1), processes=1, audience=audience)
        text = (tmp_path / "site/scopes/bench-1.html").read_text(encoding="utf-8")
        cell = r'<td class="grade-([a-z-]+)"><span class="head">.*?</span>(?:<b>)?([^<]+)'
        found: list[tuple[str, str]] = re.findall(cell, text)
        return found

    assert grades() == [("fine", "fine")]
    add_check(folder, 210, at="2026-02-20T08:00")
    assert grades() == [("none", "its last check failed")]
    add_check(folder, 200, at="2026-02-21T08:00")
    assert grades() == [("fine", "fine")]


def test_the_samples_known_features_measure_right() -> None:
    """The bore was drawn on every picture that shows it at the stored size; nothing is wrong in the sample."""
    gathered = gather(sample())
    known = [each for _, trial in gathered.catalogue.trials() for each in trial.pictures if each.tag and each.tag.known]
    assert len(known) >= 12
    found = scales(gathered.catalogue, gathered.facts)
    assert all(isinstance(found[each.file], Scale) for each in known)
    assert [str(each) for each in check(sample()).problems if not each.warning] == []
