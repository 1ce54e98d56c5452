"""Once a check or a calibration disagrees, what was measured since the last good one is listed, and who saw it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from portal.problem import Problem
from portal.tasks.check import check
from portal.tasks.gather import survey
from portal.tasks.recorded import recorded
from tests.tasks.judged import PART
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.test_guards import SCOPE, add_check, line_of
from tests.tasks.two import change

AGAIN = """      - id: AGAIN
        frame: 320x240
        x: {x} um
        u_x: 0.001 um
        y: 1.00 um
        u_y: 0.001 um
        artefact: stage micrometer
        date: {day}
        valid_until: 2027-01-04
        by: first-engineer
"""


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue from which a review was sent; its pictures are of 12 February, its calibration of 5 January."""
    folder = ready_catalogue(tmp_path_factory.mktemp("sent") / "catalogue")
    packed = pack(folder)
    assert packed.code == 0, packed.err
    return folder


@pytest.fixture
def scope(sent: Path) -> Iterator[None]:
    """The scope's file is put back after each test."""
    text = (sent / SCOPE).read_text(encoding="utf-8")
    yield
    (sent / SCOPE).write_text(text, encoding="utf-8")


def listed(folder: Path) -> list[Problem]:
    """What the look-back lists."""
    return [each for each in check(folder).problems if "last known to be right" in each.message]


def recalibrate(folder: Path, x: str, day: str) -> None:
    """A second calibration of the setting."""
    change(folder, SCOPE, "    # return_u", AGAIN.format(x=x, day=day) + "    # return_u")


@pytest.mark.usefixtures("scope")
def test_findings_and_reviews_since_the_last_good_check_are_listed(sent: Path) -> None:
    """Good on the 10th, failed on the 20th: what was measured on the 12th is in doubt, each finding at its line."""
    assert not listed(sent)
    add_check(sent, 200, at="2026-02-10T08:00")
    add_check(sent, 215, at="2026-02-20T08:00")
    speck, vestige = (f"{TRIAL}/tags/c1_{name}.jpg.yaml" for name in ("top", "gate"))
    found = listed(sent)
    assert all(each.warning for each in found)
    at = {(each.file, each.line): each.message for each in found}
    assert at[speck, line_of(sent, speck, "id: 7K3F")].startswith("7K3F was measured by bench-1, zoom-2-adapter-0.5, ")
    assert at[vestige, line_of(sent, vestige, "id: 7K3G")].endswith("last known to be right on 2026-02-10")
    (review,) = (each for each in found if each.file.endswith("shown.json"))
    code = review.file.split("/")[3].removeprefix("T1-")
    assert review.file == f"parts/{PART}/reviews/T1-{code}/shown.json"
    assert review.message.startswith(f"review 1 ({code}) showed 7K3F, 7K3G, measured by bench-1")
    assert review.hint and f"{SCOPE}:{line_of(sent, SCOPE, '2026-02-20T08')}" in review.hint
    assert len(found) == 3, "7K3H and 7K3J weren't measured"


@pytest.mark.usefixtures("scope")
def test_what_was_measured_before_the_last_good_check_is_not_in_doubt(sent: Path) -> None:
    """Good on the 13th: whatever went wrong went wrong after."""
    add_check(sent, 200, at="2026-02-13T08:00")
    add_check(sent, 215, at="2026-02-20T08:00")
    assert not listed(sent)


@pytest.mark.usefixtures("scope")
def test_without_a_good_check_doubt_reaches_back_to_the_calibration(sent: Path) -> None:
    """That is when it was last known to be right."""
    add_check(sent, 215, at="2026-02-20T08:00")
    assert {each.message[-10:] for each in listed(sent)} == {"2026-01-05"}


@pytest.mark.usefixtures("scope")
@pytest.mark.parametrize(("x", "doubtful"), [("1.015", False), ("1.025", True)])
def test_a_calibration_that_disagrees_with_the_one_before_is_looked_back_from(
    sent: Path, x: str, doubtful: bool
) -> None:
    """Both 1 µm ± 0.02 µm and ± 0.002 µm: 0.015 µm apart is within both, 0.025 µm is not."""
    recalibrate(sent, x, "2026-03-01")
    found = listed(sent)
    assert len(found) == (3 if doubtful else 0)
    assert not doubtful or "calibration of 2026-03-01" in (found[0].hint or "")


@pytest.mark.usefixtures("scope")
def test_somebody_who_looked_back_ends_the_list(sent: Path) -> None:
    """The check stays on record."""
    add_check(sent, 215, at="2026-02-20T08:00")
    at = "at: 2026-02-20T08:00,"
    change(sent, SCOPE, at, f"{at} looked_back: {{by: nobody, at: 2026-02-21T09:00}},")
    assert not listed(sent)
    (problem,) = (each for each in check(sent).problems if "looked_back" in each.field)
    assert "none of the `people`" in problem.message


@pytest.mark.usefixtures("scope")
def test_a_review_that_showed_a_finding_which_is_gone_is_listed_still(sent: Path) -> None:
    """The customer has seen it."""
    tag = sent / f"{TRIAL}/tags/c1_top.jpg.yaml"
    text = tag.read_text(encoding="utf-8")
    try:
        tag.write_text(text[: text.index("findings:")] + "caption: withdrawn\n", encoding="utf-8")
        add_check(sent, 215, at="2026-02-20T08:00")
        (review,) = (each for each in listed(sent) if each.file.endswith("shown.json"))
        assert "showed 7K3F, 7K3G" in review.message
    finally:
        tag.write_text(text, encoding="utf-8")


@pytest.mark.usefixtures("scope")
def test_a_review_of_doubtful_findings_is_not_sent(sent: Path) -> None:
    """Until somebody has looked back."""
    add_check(sent, 215, at="2026-02-20T08:00")
    refused = pack(sent)
    assert refused.code == 3
    assert "7K3G, 7K3F: measured by bench-1, zoom-2-adapter-0.5, which a check or calibration of" in refused.err
    at = "at: 2026-02-20T08:00,"
    change(sent, SCOPE, at, f"{at} looked_back: {{by: first-engineer, at: 2026-02-21T09:00}},")
    assert pack(sent).code == 0


AT = "at: 2026-02-20T08:00,"
SAME = "{{part: P-0001, finding: {id}, result: {result}, by: {by}, at: 2026-02-21T09:00}}"


def looked_again(folder: Path, *many: str) -> None:
    """Say so of findings, beside the check that failed."""
    change(folder, SCOPE, AT, f"{AT} looked_again: [{', '.join(many)}],")


@pytest.mark.usefixtures("scope")
def test_a_finding_that_was_looked_at_again_leaves_the_list(sent: Path) -> None:
    """The others stay on it, and the review; the finding's basis is what it was, so nobody is asked anew."""
    before = recorded(survey(sent)).bases
    add_check(sent, 215, at="2026-02-20T08:00")
    looked_again(sent, SAME.format(id="7K3F", result="same", by="first-inspector"))
    assert not [each for each in check(sent).problems if not each.warning and "looked_again" in each.field]
    left, review = listed(sent)
    assert left.message.startswith("7K3G was measured") and review.message.startswith("review 1")
    assert recorded(survey(sent)).bases == before


@pytest.mark.usefixtures("scope")
def test_once_all_are_looked_at_again_it_is_told_where_to_write_so(sent: Path) -> None:
    """At the check itself; a review can't be sent until then."""
    add_check(sent, 215, at="2026-02-20T08:00")
    looked_again(sent, *(SAME.format(id=each, result="same", by="first-inspector") for each in ("7K3F", "7K3G")))
    _, done = listed(sent)
    assert (done.file, done.line) == (SCOPE, line_of(sent, SCOPE, "2026-02-20T08"))
    assert done.message.startswith("7K3G, 7K3F: looked at again") or done.message.startswith("7K3F, 7K3G: looked at")
    assert pack(sent).code == 3


@pytest.mark.usefixtures("scope")
def test_what_changed_is_left_until_it_is_measured_anew(sent: Path) -> None:
    """Written after somebody said so; the same moment is before it."""
    tag = f"{TRIAL}/tags/c1_top.jpg.yaml"
    text = (sent / tag).read_text(encoding="utf-8")
    add_check(sent, 215, at="2026-02-20T08:00")
    looked_again(sent, SAME.format(id="7K3F", result="changed", by="first-inspector"))
    assert any(each.message.startswith("7K3F was measured") for each in listed(sent))
    at = text[text.index("at: 2026-02-12") :].splitlines()[0]
    try:
        change(sent, tag, at, "at: 2026-02-21T09:00:01")
        assert not any(each.message.startswith("7K3F was measured") for each in listed(sent))
    finally:
        (sent / tag).write_text(text, encoding="utf-8")


@pytest.mark.usefixtures("scope")
def test_who_looked_again_and_at_what_has_to_be_known(sent: Path) -> None:
    """Each at its line, with what may have been meant."""
    add_check(sent, 215, at="2026-02-20T08:00")
    wrong = SAME.format(id="7K3F", result="same", by="nobody").replace("P-0001", "P-0002")
    looked_again(sent, wrong, SAME.format(id="7K3G", result="fine", by="first-inspector"))
    found = [each for each in check(sent).problems if "looked_again" in each.field]
    assert any("`fine` is not one of `same`, `changed`" in each.message for each in found)
    change(sent, SCOPE, "result: fine", "result: same")
    said = [each.message for each in check(sent).problems if "looked_again" in each.field]
    assert len(said) == 2 and "there is no part `P-0002`" in said[0] + said[1]
