"""What the sample's inspectors found on which picture; shapes refer to the picture's truth by the defect's number."""

from dataclasses import dataclass, field

Shape = tuple[str, str, str]
"""Characteristic, shape, edge."""

HEIGHT: Shape = ("height", "base-and-point", "torn")
SPECK: Shape = ("diameter", "outline", "sharp")


@dataclass(frozen=True)
class Case:
    """One finding as it will be written."""

    id: str
    defect: str
    zone: str
    index: int = 0
    shapes: tuple[Shape, ...] = ()
    seen: str = "yes"
    more: dict[str, str] = field(default_factory=dict)
    by: str = "k-ammer"
    caption: str = ""
    from_above: bool = False
    """The gate drawn where it shows on the face, from where no height can be read."""


T1, T2 = "M-118_T1_", "M-118_T2_"

CASES: dict[str, tuple[Case, ...]] = {
    T1 + "c1_s08_gate-profile.jpg": (Case("4Q2D", "gate-vestige", "C", shapes=(HEIGHT,)),),
    T1 + "c3_s08_gate-profile.jpg": (
        Case("4Q2E", "gate-vestige", "C", shapes=(HEIGHT,), more={"note": "Leans, with a short string"}),
    ),
    T1 + "c2_s08_top-face.jpg": (
        Case(
            "4Q2F",
            "flash",
            "A",
            shapes=(("projection", "base-and-point", "torn"),),
            more={"attached": "true"},
        ),
    ),
    T1 + "c4_s08_top-face.jpg": (
        Case(
            "4Q2H",
            "short-shot",
            "B",
            shapes=(("missing-length", "base-and-point", "sharp"),),
            more={"note": "Corner of the tab, glossy and rounded"},
        ),
    ),
    T1 + "c1_s08_low-angle.jpg": (
        Case("4Q2J", "sink-mark", "B", shapes=(("length", "outline", "soft"),), more={"compared": "worse"}),
    ),
    T1 + "c4_s08_overview.jpg": (
        Case(
            "4Q2K",
            "splay",
            "B",
            shapes=(("length", "outline", "soft"),),
            by="t-orlevin",
            caption="Overview of cavity 4 on the stage",
        ),
    ),
    T2 + "c1_s14_gate-profile.jpg": (Case("6M3A", "gate-vestige", "C", shapes=(HEIGHT,)),),
    T2 + "c2_s14_gate-profile.jpg": (Case("6M3B", "gate-vestige", "C", shapes=(HEIGHT,)),),
    T2 + "c3_s14_gate-profile.jpg": (
        Case("6M3C", "gate-vestige", "C", shapes=(HEIGHT,)),
        Case("6M3D", "gate-vestige", "C", index=1, shapes=(HEIGHT,), more={"note": "Plucked beside the stub"}),
    ),
    T2 + "c1_s14_top-face.jpg": (
        Case("6M3E", "black-speck", "B", index=0, shapes=(SPECK,)),
        Case("6M3F", "black-speck", "B", index=1, shapes=(SPECK,)),
    ),
    T2 + "c2_s14_top-face.jpg": (
        Case(
            "6M3G",
            "flash",
            "C",
            shapes=(("projection", "base-and-point", "torn"),),
            more={"attached": "true"},
        ),
    ),
    T2 + "c3_s14_top-face.jpg": (
        Case("6M3J", "black-speck", "B", index=0, shapes=(SPECK,)),
        Case("6M3K", "black-speck", "B", index=1, shapes=(SPECK,), seen="no"),
    ),
    T2 + "c4_s14_top-face.jpg": (
        Case(
            "6M3M",
            "splay",
            "B",
            shapes=(("length", "outline", "soft"),),
            more={"question": "Is this splay acceptable on the ring face, and up to which extent?"},
        ),
        Case("6M3H", "gate-vestige", "C", shapes=(HEIGHT,), by="t-orlevin", from_above=True),
    ),
    T2 + "c3_s14_low-angle.jpg": (
        Case(
            "6M3N",
            "sink-mark",
            "B",
            shapes=(("length", "outline", "soft"),),
            more={
                "compared": "better",
                "gauge": "[{characteristic: depth, readings: [5 um, 7 um], instrument: focus height, u: 2 um}]",
            },
        ),
    ),
    T2 + "c4_s14_low-angle.jpg": (
        Case(
            "6M3P",
            "sink-mark",
            "B",
            shapes=(("length", "outline", "soft"),),
            more={"compared": "cannot tell"},
        ),
    ),
    T2 + "c2_s14_low-angle.jpg": (
        Case(
            "6M3Q",
            "sink-mark",
            "B",
            shapes=(("length", "outline", "soft"),),
            seen="not checked",
            more={"compared": "same"},
        ),
    ),
    T2 + "c2_s15_top-face.jpg": (
        Case("6M3R", "black-speck", "B", shapes=(SPECK,), by="t-orlevin", caption="Copy that came by mail"),
    ),
}


def _looked(trial: str, day: str, shot: int, pairs: tuple[tuple[str, str, str], ...]) -> tuple[tuple[str, str], ...]:
    conditions = {"top-face": "stereo-20-ring", "low-angle": "low-angle-10", "gate-profile": "stereo-20-ring"}
    return tuple(
        (
            f"moulds/M-118/trials/{trial}/looked/{cavity}-{view}-{shot}.yaml",
            f'format: 1\ncavity: "{cavity}"\nview: {view}\nshot: {shot}\npiece: {trial}-{cavity}-{shot}-1\n'
            f"condition: {conditions[view]}\nby: k-ammer\nat: {day}T{clock}\n",
        )
        for cavity, view, clock in pairs
    )


LOOKED = _looked(
    "T1",
    "2026-02-12",
    8,
    (
        ("1", "top-face", "15:02"),
        ("3", "top-face", "15:06"),
        ("2", "low-angle", "15:11"),
        ("4", "low-angle", "15:15"),
    ),
)
