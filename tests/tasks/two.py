"""A small catalogue of two customers who share a family mould: the small one, and a part of Ommerwick's in cavity 3."""

import hashlib
from pathlib import Path

from tests.tasks.small import TRIAL, add_picture, small_catalogue

OURS, THEIRS = "vellorin", "ommerwick"


def two_customers(folder: Path) -> Path:
    """Write it and give its folder."""
    small_catalogue(folder)
    for path, text in _FILES.items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    change(folder, "moulds/M-001/mould.yaml", '  "2": {part', '  "3": {part: Q-7707, status: running}\n  "2": {part')
    change(folder, f"{TRIAL}/trial.yaml", "pieces:\n", 'pieces:\n  - {id: T1-3-11-1, cavity: "3", shot: 11}\n')
    change(folder, "standards/looks/1.yaml", "criteria:\n", f"criteria:\n{_CRITERION}")
    theirs = add_picture(folder, "c3_top.jpg", view="top", findings=_FINDING, seed=7)
    theirs.write_text(theirs.read_text(encoding="utf-8").replace('cavity: "1"', 'cavity: "3"').replace("T1-1", "T1-3"))
    both = add_picture(folder, "whole_shot.jpg", view="top", findings=" []", seed=8)
    lines = both.read_text(encoding="utf-8").splitlines()
    both.write_text("\n".join(line for line in lines if not line.startswith(("cavity", "shot", "piece"))) + "\n")
    sample = folder / "limit-samples/LS-0901"
    (sample / "low.jpg").write_bytes((folder / TRIAL / "images/c3_top.jpg").read_bytes() + b"\0")
    digest = hashlib.sha256((sample / "low.jpg").read_bytes()).hexdigest()
    change(folder, "limit-samples/LS-0901/sample.yaml", "DIGEST", digest)
    return folder


def change(folder: Path, path: str, old: str, new: str) -> None:
    """Replace a text that stands in a file."""
    file = folder / path
    text = file.read_text(encoding="utf-8")
    assert old in text, f"{old!r} is not in {path}"
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


_CRITERION = """  - id: SP-A
    revision: "1"
    defect: black-speck
    zone_class: A
    condition: stereo-20-ring
    severity: minor
    rule: no-worse-than
    limit_samples: {last_good: LS-0901}
    source: {document: drawing DQ-7707}
    agreed: {party: ommerwick, by: S. Tellekamp, date: 2026-01-20}
"""
_FINDING = """  - id: 7K3F
    defect: black-speck
    zone: A
    seen: yes
    compared: worse
    note: Seen by Ommerwick too
    by: first-engineer
    at: 2026-02-12T11:00
"""
_FILES = {
    "customers/ommerwick.yaml": """format: 1
name: Ommerwick Medical
other_names: [Omwick Care]
unit: inch
language: en
reviewers:
  - {name: S. Tellekamp, mail: s.tellekamp@ommerwick.example, role: quality, may: [accept]}
""",
    "parts/Q-7707/part.yaml": """format: 1
customer: ommerwick
name: Dosing cap
numbers: {shop: Q-7707, customer: 55-9901-02}
drawing: {number: DQ-7707, revision: B}
material: PP natural
zones:
  A: {class: A, kind: appearance}
views:
  top: {picture: always, sees: {A: {as: face}}}
standards: [looks]
precedence: [drawing, customer-standard, part, shop-standard]
""",
    "limit-samples/LS-0901/sample.yaml": """format: 1
kind: piece
part: Q-7707
defect: black-speck
zone_class: A
side: last good
condition: stereo-20-ring
pieces:
  - {serial: LS-0901-a, holder: Ommerwick Medical, place: incoming}
pictures:
  - {file: low.jpg, sha256: DIGEST, stored: 320x240}
agreed:
  shop: {by: first-engineer, date: 2026-01-20}
  customer: {by: S. Tellekamp, date: 2026-01-20}
""",
}
