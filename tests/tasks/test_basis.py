"""What changes the digest to which an answer is bound, and what doesn't."""

from pathlib import Path

import pytest

from portal.tasks.basis import bases
from portal.tasks.gather import gather
from tests.tasks.small import SPECK, TRIAL, small_catalogue


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return small_catalogue(tmp_path / "c")


def _bases(folder: Path) -> dict[str, str]:
    return {finding: digest for (_, finding), digest in bases(gather(folder)).items()}


def _edit(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def test_every_finding_has_a_basis_of_its_own(folder: Path) -> None:
    """Three findings, three digests."""
    found = _bases(folder)
    assert set(found) == {"7K3F", "7K3G", "7K3H"}
    assert len(set(found.values())) == 3


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("    seen: yes\n    shapes:", "    shop_note: press 4 again\n    seen: yes\n    shapes:"),
        ("    seen: yes\n    shapes:", "    # looked twice\n    seen: yes\n    shapes:"),
        ("    defect: black-speck\n    zone: B\n", "    zone: B\n    defect: black-speck\n"),
    ],
    ids=["shop-only note", "comment", "order of keys"],
)
def test_what_the_customer_never_sees_leaves_the_basis_as_it_was(folder: Path, old: str, new: str) -> None:
    """A shop-only note, a comment, another order of keys."""
    before = _bases(folder)
    _edit(folder / TRIAL / "tags/c1_top.jpg.yaml", old, new)
    assert _bases(folder) == before


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("100,100 120,100", "100,100 121,100"),
        ("seen: yes", "seen: no"),
        ("    by: first-inspector", "    note: beside the rib\n    by: first-inspector"),
        ('cavity: "1"', 'cavity: "2"'),
    ],
)
def test_another_tag_entry_is_another_basis_of_that_finding_alone(folder: Path, old: str, new: str) -> None:
    """A moved point, another answer, a note that is shown, another cavity."""
    before = _bases(folder)
    _edit(folder / TRIAL / "tags/c1_top.jpg.yaml", old, new)
    after = _bases(folder)
    assert after["7K3F"] != before["7K3F"]
    assert after["7K3G"] == before["7K3G"]


def test_another_calibration_is_another_basis_of_what_was_measured_with_it(folder: Path) -> None:
    """Both measured findings change, the one without shapes doesn't."""
    before = _bases(folder)
    scope = folder / "scopes/bench-1.yaml"
    text = scope.read_text(encoding="utf-8")
    field = next(line for line in text.splitlines() if line.strip().startswith("u_x:"))
    _edit(scope, field, field.replace(field.strip(), "u_x: 0.0125 um"))
    after = _bases(folder)
    assert after["7K3F"] != before["7K3F"]
    assert after["7K3G"] != before["7K3G"]
    assert after["7K3H"] == before["7K3H"]


CRITERION = """
criteria:
  - id: BS-B
    revision: "1"
    defect: black-speck
    zone: B
    condition: unaided
    severity: minor
    rule: limits
    limits: [{characteristic: diameter, max: 0.150 mm}]
    source: {document: P-0001}
"""


def test_another_limit_is_another_basis_of_what_it_judges(folder: Path) -> None:
    """The criterion that applied is part of what was shown."""
    part = folder / "parts/P-0001/part.yaml"
    part.write_text(part.read_text(encoding="utf-8") + CRITERION, encoding="utf-8")
    before = _bases(folder)
    _edit(part, "0.150 mm", "0.15 mm")
    after = _bases(folder)
    assert after["7K3F"] != before["7K3F"]
    assert after["7K3G"] == before["7K3G"]


COUNTING = """
criteria:
  - id: BS-B
    revision: "1"
    defect: black-speck
    zone: B
    condition: unaided
    severity: minor
    rule: limits
    count: [{max: 3, per: zone}]
    source: {document: P-0001}
"""


def test_a_count_rests_on_every_finding_that_is_counted(folder: Path) -> None:
    """A speck more in another finding is another basis of the first; a note for the shop is none."""
    part = folder / "parts/P-0001/part.yaml"
    part.write_text(part.read_text(encoding="utf-8") + COUNTING, encoding="utf-8")
    tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
    second = SPECK.replace("7K3F", "7K3J")
    tag.write_text(tag.read_text(encoding="utf-8") + second, encoding="utf-8")
    before = _bases(folder)
    text = tag.read_text(encoding="utf-8")
    changed = text[: text.index("7K3J")] + text[text.index("7K3J") :].replace("100,100 120,100", "100,100 121,100")
    tag.write_text(changed, encoding="utf-8")
    after = _bases(folder)
    assert after["7K3F"] != before["7K3F"] and after["7K3J"] != before["7K3J"]
    assert after["7K3G"] == before["7K3G"]
    noted = text.replace("    by: first-inspector", "    shop_note: again\n    by: first-inspector")
    tag.write_text(noted, encoding="utf-8")
    assert _bases(folder) == before
