"""A small catalogue with a finding of every verdict, and two reviewers of whom one may do little.

7K3F does not conform, 7K3G is undecided, for 7K3H nothing is agreed, 7K3J conforms.
"""

from pathlib import Path

from portal.tasks.opened import Opened, open_part
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.two import change

PART, TRIAL_NAME = "P-0001", "M-001/T1"
ENGINEER, INSPECTOR = "first-engineer", "first-inspector"
MAY_ALL, MAY_LITTLE = "R. Reviewer", "L. Lookalong"


def judged_catalogue(folder: Path) -> Path:
    """Write it and give its folder."""
    small_catalogue(folder)
    standard = folder / "standards/looks/1.yaml"
    before, criteria, _ = standard.read_text(encoding="utf-8").partition("\ncriteria:\n")
    standard.write_text(before + criteria + _AGREED, encoding="utf-8")
    reviewer = f"  - {{name: {MAY_LITTLE}, role: design, may: [accept]}}\n"
    customer = folder / "customers/vellorin.yaml"
    customer.write_text(customer.read_text(encoding="utf-8").rstrip() + f"\n{reviewer}", encoding="utf-8")
    tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8") + _SPLAY, encoding="utf-8")
    return folder


def opened(folder: Path, *, by: str = ENGINEER, to: str = "ask", engineer: bool = True) -> Opened:
    """The part with its log, as it stands now."""
    return open_part(folder, PART, by=by, to=to, engineer=engineer)


def more_names(folder: Path) -> None:
    """From now on the customer asks for two names."""
    change(folder, "customers/vellorin.yaml", "names_needed: 1", "names_needed: 2")


_SPLAY = """  - id: 7K3J
    defect: splay
    zone: B
    seen: yes
    by: first-inspector
    at: 2026-02-12T10:30
"""
_AGREED = """  - id: GV-B
    revision: "1"
    defect: gate-vestige
    zone_class: B
    condition: stereo-20-ring
    severity: minor
    rule: limits
    limits: [{characteristic: height, max: 0.112 mm}]
    decision: guarded
    source: {document: drawing P-0001}
    agreed: {party: vellorin, by: R. Reviewer, date: 2026-01-20}
  - id: BS-B
    revision: "1"
    defect: black-speck
    zone_class: B
    condition: stereo-20-ring
    severity: minor
    rule: none
    source: {document: drawing P-0001}
    agreed: {party: vellorin, by: R. Reviewer, date: 2026-01-20}
  - id: SP-B
    revision: "1"
    defect: splay
    zone_class: B
    condition: stereo-20-ring
    severity: minor
    rule: allowed
    source: {document: drawing P-0001}
    agreed: {party: vellorin, by: R. Reviewer, date: 2026-01-20}
"""
