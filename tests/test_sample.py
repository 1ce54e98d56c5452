"""The sample is whole: parts, customers, classes, pictures, findings; and all that a clean catalogue can come to.

What is judged otherwise than before shows here first: every sentence and reason of judging and measuring that the
sample doesn't come to is listed, with why.
"""

import dataclasses
import html
import json
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from portal.assess.finding import assess
from portal.assess.placed import cavity_of
from portal.assess.scales import scales
from portal.log import fold, verify
from portal.log import read as read_log
from portal.model.result import Assessment, Measurement
from portal.model.say import Say
from portal.model.terms import Rule, VerdictWord
from portal.tasks.build import build
from portal.tasks.check import check
from portal.tasks.findings import findings
from portal.tasks.gather import Gathered, gather
from render.found import ALSO, FOUND
from render.others import TAKES

TOP = Path(__file__).parent.parent
SAMPLE = TOP / "sample_catalog"
LARGEST, LARGEST_SENT = 11_000_000, 5_000_000
"""Bytes of all but sent reviews with their logs, and of those."""

OF_A_FAULT = {
    # Told by `portal check` as a problem, with the file and the line.
    "measure.base-points", "measure.crosses-itself", "measure.gauge-gives-no", "measure.guard.bar",
    "measure.guard.check", "measure.guard.known-feature", "measure.guard.reference", "measure.no-area",
    "measure.no-base", "measure.no-direction", "measure.no-length", "measure.no-readings", "measure.no-scale.bar",
    "measure.no-scale.check-failed", "measure.no-scale.file", "measure.no-scale.file-contradicts",
    "measure.no-scale.guard-no-length", "measure.no-scale.guard-outside",
    "measure.no-scale.known-feature", "measure.no-scale.reference", "measure.no-scale.replaced",
    "measure.no-scale.scope-broken", "measure.no-scale.scope-unknown", "measure.no-scale.setting-unknown",
    "measure.outside", "measure.shape-gives-no", "measure.three-points", "measure.three-points-at-least",
    "reason.cavity-unknown", "reason.defect-broken", "reason.defect-unknown", "reason.equal-rank",
    "reason.no-limits", "reason.part-broken", "reason.part-unknown", "reason.picture-unreadable",
    "reason.picture-untagged", "reason.sample-broken", "reason.sample-unknown", "reason.standard-broken",
    "reason.standard-unknown", "reason.standard-unnamed", "reason.tag-broken", "reason.zone-unknown",
    "rollup.broken-tags", "rollup.replaced", "rollup.unreadable", "verdict.no-limits",
}  # fmt: skip
"""What only a faulty catalogue comes to."""
OF_PAGES = {
    "ask.where.zone", "measure.sign", "missing.picture", "missing.shots", "rule.allowed", "rule.limits",
    "rule.no-worse-than", "rule.none",
}  # fmt: skip
"""Said by pages, and not by what is worked out."""
_FIRST_BAD = "judge/test_verdict.py::test_beside_a_first_bad_sample_alone_nothing_conforms"
_OTHERWISE = "judge/test_verdict.py::test_a_limit_sample_that_was_agreed_otherwise_warns_beside_the_verdict"
NOT_SHOWN = {
    # Only a TIFF states a scale of itself, and one is too large for the sample.
    "measure.held.file": "tasks/test_filescale.py::test_a_calibration_that_the_file_bears_out_holds",
    # A limit is a length, so that no area is held against one.
    "reason.area": "judge/test_words.py::test_every_way_out_can_be_said",
    "verdict.area": "judge/test_limits.py::test_areas_are_not_judged",
    # An agreement with a hole in it: a first bad sample alone.
    "verdict.compared-first-bad.better": _FIRST_BAD,
    "verdict.compared-first-bad.same": _FIRST_BAD,
    "verdict.compared-first-bad.worse": _FIRST_BAD,
    "verdict.compared-first-bad.cannot-tell": _FIRST_BAD,
    "reason.no-last-good": _FIRST_BAD,
    # Every sample of it was agreed as its criterion is.
    "verdict.sample.condition": _OTHERWISE,
    "verdict.sample.zone-class": _OTHERWISE,
}
"""What a clean catalogue can't come to, or the sample has no agreement for, each with the test that shows it."""
WARNINGS = (
    "test of near vision ended",
    "test of colour vision ended",
    "wasn't trained on revision 1 of technical-small",
    "limit sample `LS-0032` expired on 2026-03-14",
    "limit sample `LS-0031` was replaced by `LS-0033`",
    "failed: the graticule measures",
    "which was last known to be right on",
)
BRINDELAAR = (
    "Brindelaar", "Ammerlund", "Oostervald", "LC-0440", "MG-0312", "MC-0313", "88-12", "M-118", "M-131", "LS-0007",
    "LS-0021", "6M3A", "8R1A", "lc-agreement", "Lens collar", "Focus gear", "BT-0093", "BT-0107",
)  # fmt: skip
DRELVANNE = (
    "Drelvanne", "Tessarow", "Quindemar", "FC-2210", "DF-51", "M-126", "LS-0031", "5V1A", "fc-agreement",
    "Kupplungsstecker", "W-3309", "26-1184",
)  # fmt: skip


@pytest.fixture(scope="module")
def whole() -> Gathered:
    """The sample, read and judged once."""
    return gather(SAMPLE)


def keys_in(thing: Any) -> Iterator[str]:
    """The keys of all sentences in a record, however deep."""
    if isinstance(thing, Say):
        yield thing.key
    if isinstance(thing, Assessment):
        yield from keys_in(thing.worked)  # also where it lies folded
    if dataclasses.is_dataclass(thing):
        for field in dataclasses.fields(thing):
            yield from keys_in(getattr(thing, field.name))
    elif isinstance(thing, tuple | list):
        for each in thing:
            yield from keys_in(each)
    elif isinstance(thing, dict):
        yield from keys_in(tuple(thing.values()))


def test_the_sample_has_no_problem_and_every_kind_of_warning() -> None:
    """`portal check` exits 0, and warns of people, limit samples, and a scale that was wrong for half an hour."""
    checked = check(SAMPLE)
    assert [str(problem) for problem in checked.problems if not problem.warning] == []
    assert checked.exit_code == 0
    said = "\n".join(str(problem) for problem in checked.problems)
    assert [warning for warning in WARNINGS if warning not in said] == []
    assert any("a picture is required" in gap for gap in checked.gaps)


def test_it_holds_as_much_as_a_shop_has(whole: Gathered) -> None:
    """Three kinds of part, a family mould, two customers, fourteen classes, forty pictures, sixty findings."""
    it = whole.catalogue
    assert set(it.parts) == {"LC-0440", "MG-0312", "MC-0313", "FC-2210"}
    assert {part.customer for part in it.parts.values()} == set(it.customers) == {"brindelaar", "drelvanne"}
    assert {cavity.part for cavity in it.moulds["M-131"].cavities.values()} == {"MG-0312", "MC-0313"}
    assert sum(len(revisions) > 1 for revisions in it.standards.values()) >= 2
    assert sum(len(scope.settings) > 1 for scope in it.scopes.values()) >= 2
    pictures = [each for mould in it.moulds.values() for trial in mould.trials.values() for each in trial.pictures]
    findings = [finding for each in pictures if each.tag for finding in each.tag.findings]
    assert len(pictures) >= 40 and len(findings) >= 60
    assert len(it.defects) >= 14
    assert {finding.defect for finding in findings} == set(it.defects), "a class that nobody found"


def test_limit_samples_come_in_pairs(whole: Gathered) -> None:
    """Each names the other one, of the other side; one that was replaced names who took its place."""
    samples = whole.catalogue.limit_samples
    replaced = {sample.id: str(sample.replaced_by) for sample in samples.values() if sample.replaced_by}
    assert len(samples) - len(replaced) >= 6
    assert {samples[new].side is samples[old].side for old, new in replaced.items()} == {True}
    for sample in (each for each in samples.values() if each.id not in replaced):
        other = samples[str(sample.pair)]
        assert (other.pair, other.side is sample.side, other.defect) == (sample.id, False, sample.defect)


def test_every_class_has_its_terms_in_five_languages_and_says_who_checked_them() -> None:
    """Nobody has: the file says so instead of a name."""
    for file in (SAMPLE / "defects").glob("*.md"):
        text = file.read_text(encoding="utf-8")
        assert re.findall(r"^  (\w\w): \[", text, re.MULTILINE)[:2] == ["en", "de"], file.name
        assert re.search(r"^checked_by: |Nobody has checked these yet", text, re.MULTILINE), file.name


def test_every_guard_of_a_scale_is_there_and_holds(whole: Gathered) -> None:
    """Check pictures of the graticule, a known feature, a reference in a picture that has no other scale."""
    it = whole.catalogue
    checked = [setting for scope in it.scopes.values() for setting in scope.settings.values() if setting.checks]
    assert len(checked) == 2
    tags = [each.tag for mould in it.moulds.values() for t in mould.trials.values() for each in t.pictures if each.tag]
    assert [tag for tag in tags if tag.known] and [tag for tag in tags if tag.reference]


def test_every_rule_and_every_verdict_occurs(whole: Gathered) -> None:
    """For findings, for cavities, and for trials as a whole."""
    every = set(VerdictWord)
    assert {each.verdict.word for result in whole.results for each in result.assessments} == every
    assert {each.word for result in whole.results for each in result.cavities.values()} == every
    assert {result.whole.word for result in whole.results} == every
    applied = [each.applied for result in whole.results for each in result.assessments]
    assert {each.criterion.rule for each in applied if each} == set(Rule)


def test_every_sentence_that_a_clean_catalogue_can_come_to_occurs(whole: Gathered) -> None:
    """Or stands on the list of those that it can't hold, each once and with a test that is there."""
    it = whole.catalogue
    in_no_part = [found for found in it.findings() if it.part_of(found.mould, cavity_of(found)) is None]
    said = {
        *keys_in([assess(found, whole.facts, it) for found in in_no_part]),
        *keys_in([(each.assessments, each.cavities, each.whole, each.asks) for each in whole.results]),
        *keys_in(tuple(scales(it, whole.facts).values())),
    }
    assert said - _sentences(every_room=True) == set()
    assert said & (OF_A_FAULT | OF_PAGES | NOT_SHOWN.keys()) == set()
    assert _sentences() - said - OF_A_FAULT - OF_PAGES == NOT_SHOWN.keys()
    for shown_by in NOT_SHOWN.values():
        file, _, name = shown_by.partition("::")
        assert f"def {name}(" in (TOP / "tests" / file).read_text(encoding="utf-8"), shown_by


def test_every_finding_is_told_on_the_command_line_and_in_a_table() -> None:
    """Each with its reason in words, also where a spacing leaves no verdict."""
    rows = findings(SAMPLE).rows
    assert {row.id for row in rows} >= {"6M3P", "5V2G"}
    assert all(row.reason for row in rows)


def _sentences(*, every_room: bool = False) -> set[str]:
    folder = TOP / "site_templates/locale/en"
    rooms = sorted(folder.glob("*.po")) if every_room else [folder / "judge.po", folder / "measure.po"]
    keys = {key for room in rooms for key in re.findall(r'^msgid "([^"]+)"', room.read_text("utf-8"), re.MULTILINE)}
    return {key for key in keys if every_room or not key.startswith(("characteristic.", "shape.", "term."))}


TOLD = {
    "length": ("length_um", "largest_calliper_um"),
    "width": ("width_um",),
    "projection": ("projection_um",),
    "height": ("height_um",),
    "step": ("step_um",),
}
"""Where a picture's truth has what was measured."""


def test_what_was_measured_is_what_was_rendered(whole: Gathered) -> None:
    """Of gear, cap and connector, nineteen in twenty values hold what the renderer calls true within their ±."""
    true = dict(_true_values())
    measured = {
        (reading.picture, each.finding, reading.characteristic.value): reading
        for result in whole.results
        for each in result.assessments
        for reading in each.readings
        if isinstance(reading, Measurement) and reading.instrument is None
    }
    both = measured.keys() & true.keys()
    beyond = [key for key in both if abs(measured[key].value - true[key]) > measured[key].k * measured[key].u]
    assert len(both) > 50
    assert len(beyond) <= 0.05 * len(both), beyond


def _true_values() -> Iterator[tuple[tuple[str | None, str, str], float]]:
    paths = {take.path.rpartition("/")[2]: take.path for take in TAKES}
    for name, cases in (*FOUND.items(), *ALSO.items()):
        file = (SAMPLE / "render/truth" / paths[name]).with_suffix(".json")
        faults = json.loads(file.read_text(encoding="utf-8"))["defects"]
        for case in cases:
            for characteristic, _, _ in case.shapes:
                fault = faults[case.index]
                if characteristic == "diameter":
                    value = (fault["largest_calliper_um"] + fault["smallest_calliper_um"]) / 2
                else:
                    value = next((fault[key] for key in TOLD.get(characteristic, ()) if key in fault), None)
                if value is not None:
                    yield (paths[name], case.id, characteristic), value


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """What each customer is given, one in English and one in German."""
    left_out = shutil.ignore_patterns("render", "site")
    folder = Path(shutil.copytree(SAMPLE, tmp_path_factory.mktemp("sites") / "c", ignore=left_out))
    out = {}
    for customer in ("brindelaar", "drelvanne"):
        made = build(folder, out=None, as_of=date(2026, 4, 1), processes=1, audience=customer)
        assert made.exit_code == 0, made.said
        out[customer] = made.out
    return out


@pytest.mark.parametrize(
    ("customer", "others", "own"), [("brindelaar", DRELVANNE, BRINDELAAR), ("drelvanne", BRINDELAAR, DRELVANNE)]
)
def test_a_customers_site_names_nothing_of_the_other(
    sites: dict[str, Path], customer: str, others: tuple[str, ...], own: tuple[str, ...]
) -> None:
    """Names, people, parts, moulds, limit samples, findings and standards of the other are in no file."""
    files = [file for file in sorted(sites[customer].rglob("*")) if file.is_file()]
    texts = [file.read_text(encoding="utf-8") for file in files if file.suffix not in (".jpg", ".mp4", ".woff2")]
    site = "\n".join([*(file.name for file in files), *texts])
    assert [word for word in others if word.casefold() in site.casefold()] == []
    agreed_nothing_yet = {"Quindemar"}
    assert {word for word in own if word not in site} <= agreed_nothing_yet


@pytest.mark.parametrize("customer", ["brindelaar", "drelvanne"])
def test_no_value_is_parted_from_its_unit(sites: dict[str, Path], customer: str) -> None:
    """No line can end between the two, nor between a sign and its number, on any page in either language."""
    parted = re.compile(r".{0,20}(?:[0-9] (?:mm|µm|in|lx|deg|%|px)(?![\w²])|[±<>≤≥=] [0-9−]).{0,20}")
    whole = 0
    for file in sorted(sites[customer].rglob("*.html")):
        text = file.read_text(encoding="utf-8")
        for name in ("script", "style", "title", "svg", "svg"):  # a drawing may hold one of its own, the inner first
            text = re.sub(rf"<{name}\b(?:(?!<{name}\b).)*?</{name}>", " ", text, flags=re.DOTALL)
        read = html.unescape(re.sub(r"<[^>]*>", "", text))
        whole += len(re.findall("[0-9]\u00a0mm", read))
        assert parted.findall(read) == [], file.name
    assert whole > 300


@pytest.mark.parametrize("page", ["M-131-T2.html", "reviews/T2-*/index.html"])
def test_a_large_picture_is_there_in_small_too(sites: dict[str, Path], page: str) -> None:
    """On a trial's page and on that of what was sent: half as many pixels to a side, far fewer bytes."""
    (file,) = (sites["brindelaar"] / "parts/MG-0312").glob(page)
    pairs = re.findall(r'srcset="(?:\.\./)+(\S+) (\d+)w, (?:\.\./)+(\S+) (\d+)w"', file.read_text(encoding="utf-8"))
    assert pairs
    for smaller, narrow, larger, wide in pairs:
        assert int(narrow) == -(-int(wide) // 2)
        small, large = (sites["brindelaar"] / each for each in (smaller, larger))
        assert small.stat().st_size < 0.6 * large.stat().st_size


def test_the_sample_stays_small() -> None:
    """The repository has to stay small: what was sent in reviews has a room of its own."""
    files = [file for file in SAMPLE.rglob("*") if file.is_file() and "__pycache__" not in file.parts]
    there = {file: file.stat().st_size for file in files if not file.is_relative_to(SAMPLE / "site")}
    sent = sum(size for file, size in there.items() if {"reviews", "log", "evidence"} & set(file.parts))
    assert sum(there.values()) - sent < LARGEST
    assert sent < LARGEST_SENT


def test_a_review_is_sent_one_is_answered_and_one_is_closed() -> None:
    """Each on record with its store, without what went out, and on what the findings are today."""
    told = {}
    for part in ("MG-0312", "MC-0313"):
        assert verify(SAMPLE, part).is_whole
        state = fold(part, read_log(SAMPLE, part).events)
        for review in state.reviews.values():
            asks = [state.asks[each] for each in review.asks]
            owed = [each for each in state.owed if each.trial == review.trial]
            told[part, review.trial] = (bool(review.received), any(each.status.is_open() for each in asks), bool(owed))
    assert told == {
        ("MC-0313", "M-131/T1"): (True, False, False),
        ("MG-0312", "M-131/T1"): (True, True, True),
        ("MG-0312", "M-131/T2"): (False, True, True),
    }
    assert list(SAMPLE.glob("parts/*/reviews/*/carriers")) == []
    assert not [each for each in check(SAMPLE).problems if "/log/" in each.file or "/reviews/" in each.file]
