"""What one file says of another, beyond the planted faults."""

from pathlib import Path

from portal.catalog.links import looked_name
from portal.problem import Problem
from tests.catalog import good as g
from tests.catalog.good import T2, Tree, good, picture, sha256
from tests.catalog.reads import only, read_tree, with_change

PART = "parts/LC-0440/part.yaml"
TAG = f"{T2}/tags/cam-1.png.yaml"
MORE = f"{T2}/tags/cam-2.png.yaml"
STANDARD = "standards/small-clear/3.yaml"
LS_7, LS_8 = "limit-samples/LS-0007/sample.yaml", "limit-samples/LS-0008/sample.yaml"


def problem_of(root: Path, file: str, old: str, new: str) -> Problem:
    """The only problem that a change makes."""
    problem = only(read_tree(root, with_change(file, old, new)))
    assert problem.file == file
    return problem


def test_a_zone_class_is_told_with_standard_and_revision(tmp_path: Path) -> None:
    """The person sees what would have been right."""
    problem = problem_of(tmp_path, PART, "B: {class: B", "B: {class: C")
    assert str(problem) == (
        "parts/LC-0440/part.yaml:9: zones.B.class: `C` is not a zone class of standard `small-clear` rev 3 (A, B, D)"
    )


def test_the_class_may_stand_in_any_revision(tmp_path: Path) -> None:
    """A trial is judged by the revision that was in force, which may be an older one."""
    older = g.STANDARD.replace("D: hidden", "C: hidden").replace("2026-01-12", "2025-01-12")
    tree = with_change(PART, "B: {class: B", "B: {class: C") | {"standards/small-clear/2.yaml": older}
    assert read_tree(tmp_path, tree).problems == ()


def test_a_person_is_trained_on_a_revision_that_is_there(tmp_path: Path) -> None:
    """Both the standard and its revision."""
    problem = problem_of(tmp_path / "a", "catalog.yaml", 'revision: "3"', 'revision: "4"')
    assert (problem.line, "no revision `4` (3)" in problem.message) == (9, True)
    assert problem_of(tmp_path / "b", "catalog.yaml", "standard: small-clear", "standard: small").line == 9


def test_components_are_those_of_the_part(tmp_path: Path) -> None:
    """Where the part lists any."""
    free = with_change(PART, "kind: functional}", "kind: functional, component: lens}")
    assert read_tree(tmp_path / "free", free).problems == ()
    listed = free | {PART: str(free[PART]) + "components: [collar]\n"}
    assert only(read_tree(tmp_path / "listed", listed)).field == "zones.A.component"


def test_own_criteria_of_a_part_are_checked_like_a_standards(tmp_path: Path) -> None:
    """Zone, class, condition, defect class, agreement."""
    own = (
        "criteria:\n  - {id: P-1, revision: '1', defect: flesh, zone: Q, condition: none, severity: minor, "
        "rule: none, source: {document: x}, agreed: {party: nobody, by: x, date: 2026-01-01}}\n"
    )
    reading = read_tree(tmp_path, good() | {PART: g.PART + own})
    assert [problem.field.removeprefix("criteria.0.") for problem in reading.problems] == [
        "agreed.party",
        "condition",
        "defect",
        "zone",
    ]


def test_a_zone_in_a_standard_is_one_of_a_part_that_goes_by_it(tmp_path: Path) -> None:
    """A standard made for one part may name its zones."""
    assert read_tree(tmp_path / "a", with_change(STANDARD, "zone_class: B", "zone: B")).problems == ()
    assert problem_of(tmp_path / "b", STANDARD, "zone_class: B", "zone: Q").field == "criteria.0.zone"


def test_a_trial_names_standards_of_its_parts_only(tmp_path: Path) -> None:
    """One that exists and isn't the part's."""
    other = {"standards/other/1.yaml": g.STANDARD}
    tree = with_change(f"{T2}/trial.yaml", '{small-clear: "3"}', '{small-clear: "3", other: "1"}') | other
    assert only(read_tree(tmp_path, tree)).field == "standards.other"


def test_a_misspelt_standard_of_a_trial_is_one_problem(tmp_path: Path) -> None:
    """That the right one is missing follows from it."""
    problem = problem_of(tmp_path, f"{T2}/trial.yaml", "small-clear:", "small-claer:")
    assert problem.hint == "did you mean `small-clear`?"


def test_a_piece_belongs_to_its_cavity_and_shot(tmp_path: Path) -> None:
    """A tag that says otherwise is about another piece."""
    assert problem_of(tmp_path / "a", TAG, "shot: 12", "shot: 13").field == "piece"
    tree = with_change(TAG, 'cavity: "1"', 'cavity: "2"')
    tree[MORE] = str(tree[MORE]).replace('cavity: "1"', 'cavity: "2"')
    assert only(read_tree(tmp_path / "b", tree)).field == "piece"


def test_shapes_of_a_finding_lie_on_pictures_of_its_piece(tmp_path: Path) -> None:
    """Another cavity or another shot can't show the same case."""
    problem = problem_of(tmp_path / "a", MORE, 'cavity: "1"', 'cavity: "2"')
    assert (problem.field, "cavity `1`" in problem.message) == ("also.0.finding", True)
    assert problem_of(tmp_path / "b", MORE, 'cavity: "1"\n', 'cavity: "1"\nshot: 13\n').field == "also.0.finding"


def test_more_of_a_finding_is_not_written_under_its_own_picture(tmp_path: Path) -> None:
    """Its shapes belong to the finding itself."""
    more = g.ALSO[g.ALSO.index("also:") :]
    tree = good()
    tree[TAG] = str(tree[TAG]) + more
    assert only(read_tree(tmp_path, tree)).field == "also.0.finding"


def test_a_finding_under_a_broken_tag_may_be_the_one_that_is_meant(tmp_path: Path) -> None:
    """Nothing is said of it twice."""
    assert problem_of(tmp_path, TAG, "seen: yes", "seen: maybe").field == "findings.0.seen"


def test_a_finding_may_lie_across_a_border(tmp_path: Path) -> None:
    """Each of the zones has to be there."""
    assert read_tree(tmp_path / "a", with_change(TAG, "zone: B", "zone: A/B")).problems == ()
    assert "`C`" in problem_of(tmp_path / "b", TAG, "zone: B", "zone: B/C").message


def test_an_id_is_used_once_in_a_part_and_may_be_used_in_another(tmp_path: Path) -> None:
    """Two parts have their own ids."""
    other: Tree = {
        "parts/LC-2/part.yaml": g.PART,
        "parts/LC-2/views/gate.png": picture(4),
        "moulds/M-2/mould.yaml": g.MOULD.replace("LC-0440", "LC-2"),
        "moulds/M-2/trials/T2/trial.yaml": g.TRIAL,
        "moulds/M-2/trials/T2/images/cam-1.png": picture(1),
        "moulds/M-2/trials/T2/tags/cam-1.png.yaml": g.TAG.replace("SHA", sha256(picture(1))),
    }
    assert read_tree(tmp_path, good() | other).problems == ()


def test_an_id_twice_in_one_tag_names_the_first_place(tmp_path: Path) -> None:
    """With file and line."""
    tree = good()
    finding = g.TAG[g.TAG.index("  - id:") :]
    tree[TAG] = str(tree[TAG]) + finding
    problem = only(read_tree(tmp_path, tree))
    assert (problem.field, f"{TAG}:11" in problem.message) == ("findings.1.id", True)


def test_a_pair_is_a_last_good_and_a_first_bad_of_each_other(tmp_path: Path) -> None:
    """Sides differ, and each names the other or none."""
    problem = problem_of(tmp_path / "a", LS_8, "pair: LS-0007", "pair: LS-0008")
    assert "itself" in problem.message
    third: Tree = {
        "limit-samples/LS-0009/sample.yaml": str(good()[LS_7]),
        "limit-samples/LS-0009/gate.png": picture(7),
    }
    assert only(read_tree(tmp_path / "b", good() | third)).file == "limit-samples/LS-0009/sample.yaml"


def test_a_setting_without_a_scope_is_a_problem(tmp_path: Path) -> None:
    """There is nothing that it could be a setting of."""
    assert problem_of(tmp_path, TAG, "scope: stereo-1", "x-scope: stereo-1").field == "setting"


def test_a_known_feature_needs_its_view(tmp_path: Path) -> None:
    """It is the view that knows how large it is."""
    assert problem_of(tmp_path, TAG, "view: gate-profile", "x-view: gate-profile").field == "known"


def test_a_picture_is_named_with_slashes_within_the_catalogue(tmp_path: Path) -> None:
    """Backslashes, drives and roots work on one system only."""
    for number, name in enumerate(("views\\gate.png", "C:/gate.png", "/gate.png", "../../../gate.png")):
        problem = problem_of(tmp_path / str(number), PART, "views/gate.png", name)
        assert problem.field == "views.gate-profile.reference"


def test_the_name_of_a_looked_at_file_is_made_of_slugs() -> None:
    """So that it can be written on every system."""
    assert looked_name("3", "gate-profile", 14) == "3-gate-profile-14.yaml"
    assert looked_name("3", "a/b", 14).startswith("3-a-b-") and "/" not in looked_name("3", "a/b", 14)
