"""Small records for the tests of judging: each maker takes only what a test wants to be different."""

from datetime import date
from typing import Any

from portal.judge.case import Case
from portal.judge.criteria import Choice
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.result import Applied, Measurement, Term
from portal.model.sample import LimitSample
from portal.model.standard import Criterion, DefectClass, VisualStandard
from portal.model.tag import Finding
from portal.model.terms import Characteristic, Rank, ShapeKind

AGREED = {"party": "brindelaar", "by": "K. Ammerlund", "date": "2026-02-11"}
DAY = date(2026, 3, 4)
ZONES = {
    "A": {"class": "A", "kind": "functional"},
    "B": {"class": "B", "kind": "appearance"},
    "C": {"class": "B", "kind": "hidden"},
}
VIEWS = {
    "gate-profile": {"picture": "always", "sees": {"B": {"as": "profile"}}},
    "top": {"picture": "if found", "sees": {"A": {"as": "face"}, "B": {"as": "face"}}},
}


def a_defect(id: str = "gate-vestige", **other: Any) -> DefectClass:
    """A defect class with a sharp edge and no concern."""
    record = {"format": "1", "terms": {"en": [id.replace("-", " ")]}, "id": id, "file": f"defects/{id}.md"}
    return DefectClass.model_validate(record | other)


def a_criterion(**other: Any) -> Criterion:
    """Gate vestige in class B, height at most 0.150 mm, agreed."""
    record = {
        "id": "GV-B",
        "revision": "4",
        "defect": "gate-vestige",
        "zone_class": "B",
        "condition": "stereo-20-ring",
        "severity": "minor",
        "rule": "limits",
        "limits": [{"characteristic": "height", "max": "0.150 mm"}],
        "source": {"document": "agreement"},
        "agreed": AGREED,
    }
    merged = record | other
    if "zone" in other:
        merged.pop("zone_class")
    return Criterion.model_validate({key: value for key, value in merged.items() if value is not None})


def a_standard(*criteria: Criterion, id: str = "small", revision: str = "3", **other: Any) -> VisualStandard:
    """The shop's standard, in force since January 2026."""
    record = {
        "format": "1",
        "name": id,
        "effective": "2026-01-12",
        "owner": "shop",
        "zone_classes": {"A": "clear", "B": "visible"},
        "conditions": {},
        "criteria": criteria,
        "id": id,
        "revision": revision,
        "file": f"standards/{id}/{revision}.yaml",
    }
    return VisualStandard.model_validate(record | other)


def a_part(**other: Any) -> Part:
    """A lens collar with zones A (class A), B and C (both class B), and two views."""
    record = {
        "format": "1",
        "customer": "brindelaar",
        "name": "Lens collar",
        "numbers": {"shop": "LC-0440", "customer": "88-1203-04"},
        "drawing": {"number": "LC-0440", "revision": "C"},
        "material": "POM natural",
        "zones": ZONES,
        "views": VIEWS,
        "standards": ["small"],
        "precedence": ["drawing", "customer-standard", "part", "shop-standard"],
        "id": "LC-0440",
        "file": "parts/LC-0440/part.yaml",
    }
    return Part.model_validate(record | other)


def a_trial(**other: Any) -> Trial:
    """Trial T2 of mould M-118, judged by revision 3 of the shop's standard."""
    record = {
        "format": "1",
        "stage": "First-off",
        "date": DAY,
        "standards": {"small": "3"},
        "shots": {"kept": ["12", "13"]},
        "id": "T2",
        "mould": "M-118",
        "file": "moulds/M-118/trials/T2/trial.yaml",
    }
    return Trial.model_validate(record | other)


def a_mould(**other: Any) -> Mould:
    """A mould with cavities 1 and 2 running and 3 blocked."""
    record = {
        "format": "1",
        "customer_tool_number": "T-77",
        "revision": "3",
        "cavities": {
            "1": {"part": "LC-0440", "status": "running"},
            "2": {"part": "LC-0440", "status": "running"},
            "3": {"part": "LC-0440", "status": "blocked", "reason": "core broken"},
        },
        "id": "M-118",
        "file": "moulds/M-118/mould.yaml",
    }
    return Mould.model_validate(record | other)


def a_finding(**other: Any) -> Finding:
    """A gate vestige in zone B, seen at the set condition."""
    record = {
        "id": "7K3F",
        "defect": "gate-vestige",
        "zone": "B",
        "seen": "yes",
        "by": "k-ammer",
        "at": "2026-03-04T15:12",
    }
    return Finding.model_validate(record | other)


def a_sample(id: str = "LS-0007", **other: Any) -> LimitSample:
    """A last good piece that both sides signed."""
    record = {
        "format": "1",
        "kind": "piece",
        "part": "LC-0440",
        "defect": "gate-vestige",
        "zone_class": "B",
        "side": "last good",
        "condition": "stereo-20-ring",
        "agreed": {"shop": {"by": "k-ammer", "date": DAY}, "customer": {"by": "K. Ammerlund", "date": DAY}},
        "id": id,
        "folder": f"limit-samples/{id}",
        "file": f"limit-samples/{id}/sample.yaml",
    }
    return LimitSample.model_validate(record | other)


def measured(
    value: float,
    u: float = 3.0,
    *,
    characteristic: str = "height",
    dof: float = float("inf"),
    shape: ShapeKind | None = ShapeKind.BASE_AND_POINT,
) -> Measurement:
    """A measurement in µm with k = 2."""
    return Measurement(
        characteristic=Characteristic(characteristic),
        value=value,
        u=u,
        k=2.0,
        dof=dof,
        terms=(Term("edge", u),),
        how="shape" if shape else "gauge",
        shape=shape,
        power=2 if characteristic == "area" else 1,
    )


def applied(criterion: Criterion, rank: Rank = Rank.SHOP_STANDARD) -> Applied:
    """A criterion where it stands."""
    return Applied(criterion, rank, "small/3", "standards/small/3.yaml")


def a_case(criterion: Criterion | None = None, *readings: Measurement, **other: Any) -> Case:
    """A gate vestige with what was measured, under that criterion."""
    values: dict[str, Any] = {
        "finding": a_finding(),
        "defect": a_defect(),
        "zone_name": "B",
        "zone": a_part().zones["B"],
        "choice": Choice(applied(criterion)) if criterion else Choice(),
        "readings": readings,
        "customer": "brindelaar",
        "day": DAY,
        "samples": {},
        "broken": {},
    }
    return Case(**(values | other))
