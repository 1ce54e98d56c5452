"""Inspectors whose tests or training had lapsed, limit samples past their day: told where they stand and used."""

from datetime import date
from pathlib import Path

import pytest

from portal.problem import Problem
from portal.tasks.build import build
from portal.tasks.check import check
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_guards import line_of
from tests.tasks.two import change, two_customers

SHOP = "catalog.yaml"
WHO = "people.first-inspector"
TRAINED = '# trained: [{standard: looks, revision: "1", date: 2026-01-12}]'

UNAIDED = "  unaided: {instrument: unaided eye, light: {kind: diffuse}, turn: true}\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The small catalogue: findings of 12 February."""
    return small_catalogue(tmp_path / "catalogue")


def write(folder: Path, line: str) -> None:
    """Write a line about the inspector."""
    change(folder, SHOP, "    # near_vision_until", f"    {line}\n    # near_vision_until")


def warned(folder: Path) -> list[Problem]:
    """Warnings about people and limit samples."""
    return [each for each in check(folder).problems if each.warning and each.file.startswith((SHOP, "standards"))]


@pytest.mark.parametrize(
    ("line", "field", "said"),
    [
        (
            "near_vision_until: 2026-02-11",
            "near_vision_until",
            "F. Inspector's test of near vision ended on 11 February 2026; looked after that: 7K3F, 7K3G and 7K3H",
        ),
        (
            "colour_vision_until: 2026-02-11",
            "colour_vision_until",
            "F. Inspector's test of colour vision ended on 11 February 2026; looked after that: 7K3F, 7K3G and 7K3H",
        ),
        (
            'trained: [{standard: looks, revision: "1", date: 2026-02-13}]',
            "trained",
            "F. Inspector wasn't trained on revision 1 of looks at the time of 7K3F, 7K3G and 7K3H",
        ),
        ("trained: []", "trained", "F. Inspector wasn't trained on revision 1 of looks at the time of 7K3F, 7K3G and"),
    ],
)
def test_what_had_lapsed_on_the_day_of_a_finding_is_named(folder: Path, line: str, field: str, said: str) -> None:
    """At the person's line, once for the trial."""
    assert not warned(folder)
    write(folder, line)
    (warning,) = warned(folder)
    assert (warning.file, warning.line, warning.field) == (SHOP, line_of(folder, SHOP, line), f"{WHO}.{field}")
    assert warning.message.startswith(f"P-0001, M-001 T1: {said}")
    assert check(folder).exit_code == 0


@pytest.mark.parametrize(
    "line",
    [
        "near_vision_until: 2026-02-12",
        "colour_vision_until: 2026-02-12",
        'trained: [{standard: looks, revision: "1", date: 2026-02-12}]',
    ],
)
def test_the_last_day_and_the_first_are_included(folder: Path, line: str) -> None:
    """A test is valid on its last day, a training on its day."""
    write(folder, line)
    assert not warned(folder)


def test_frames_without_a_finding_count_as_work(folder: Path) -> None:
    """Whoever saw nothing may not have seen well."""
    looked = folder / f"{TRIAL}/looked/2-top-11.yaml"
    looked.parent.mkdir(exist_ok=True)
    looked.write_text(
        'format: 1\ncavity: "2"\nview: top\nshot: 11\ncondition: stereo-20-ring\n'
        "by: first-engineer\nat: 2026-02-12T11:00\n",
        encoding="utf-8",
    )
    change(folder, SHOP, "    roles: [engineer]", "    roles: [engineer]\n    near_vision_until: 2026-01-31")
    (warning,) = warned(folder)
    assert warning.field == "people.first-engineer.near_vision_until"
    assert warning.message.endswith("looked after that: 1 frame without a finding")


def test_the_review_and_its_packing_say_what_had_lapsed(tmp_path: Path) -> None:
    """In the same words; it stops nothing."""
    folder = ready_catalogue(tmp_path / "catalogue")
    write(folder, "near_vision_until: 2026-01-31")
    said = "F. Inspector's test of near vision ended on 31 January 2026; looked after that: 7K3F, 7K3G, 7K3H and 7K3J"
    build(folder, out=tmp_path / "site", as_of=date(2026, 3, 1), processes=1)
    page = (tmp_path / "site/parts/P-0001/M-001-T1.html").read_text(encoding="utf-8")
    assert said.replace("'", "&#39;") in page.replace("&nbsp;", " ")
    packed = pack(folder)
    assert packed.code == 0 and said in packed.err + packed.out
    (shown,) = folder.glob("parts/P-0001/reviews/*/shown.json")
    assert said in shown.read_text(encoding="utf-8")


def test_a_limit_sample_past_its_day_is_told_where_its_criterion_names_it(tmp_path: Path) -> None:
    """Expired the day before, or replaced by one agreed on that day; on its last day it is good."""
    folder = two_customers(tmp_path / "catalogue")
    sample = folder / "limit-samples/LS-0901/sample.yaml"
    text = sample.read_text(encoding="utf-8")
    sample.write_text(text + "expires: 2026-02-12\n", encoding="utf-8")
    assert not warned(folder)
    sample.write_text(text + "expires: 2026-02-11\n", encoding="utf-8")
    (warning,) = warned(folder)
    assert warning.message == "limit sample `LS-0901` expired on 2026-02-11, and is used for 7K3F after that"
    standard = "standards/looks/1.yaml"
    assert (warning.file, warning.line) == (standard, line_of(folder, standard, "LS-0901"))
    for day, told in (("2026-02-12", 1), ("2026-02-13", 0)):
        other = folder / "limit-samples/LS-0902/sample.yaml"
        other.parent.mkdir(exist_ok=True)
        other.write_text(text.replace("2026-01-20}\n  cust", f"{day}}}\n  cust"), encoding="utf-8")
        (other.parent / "low.jpg").write_bytes((sample.parent / "low.jpg").read_bytes())
        sample.write_text(text + "replaced_by: LS-0902\n", encoding="utf-8")
        assert [each.message for each in warned(folder)] == [
            "limit sample `LS-0901` was replaced by `LS-0902` on 2026-02-12, and is used for 7K3F after that"
        ][:told]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("condition: stereo-20-ring", "condition: unaided", "condition `unaided`, and is used for 7K3F, judged for"),
        ("zone_class: A", "zone_class: B", "zone class `B`, and is used for 7K3F, judged for `A`"),
    ],
)
def test_a_limit_sample_that_was_agreed_otherwise_is_told_where_its_criterion_names_it(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    """It is judged beside all the same: the warning says what to look at."""
    folder = two_customers(tmp_path / "catalogue")
    assert not warned(folder)
    change(folder, "standards/looks/1.yaml", "conditions:\n", f"conditions:\n{UNAIDED}")
    change(folder, "limit-samples/LS-0901/sample.yaml", old, new)
    (warning,) = warned(folder)
    assert warning.message.startswith("limit sample `LS-0901` was agreed for ") and said in warning.message
    standard = "standards/looks/1.yaml"
    assert (warning.file, warning.line) == (standard, line_of(folder, standard, "LS-0901"))
