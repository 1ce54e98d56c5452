"""What the inspectors found on the pictures of gear, cap and connector; numbers refer to the picture's truth."""

from .cases import HEIGHT, SPECK, Case, Shape

LENGTH: Shape = ("length", "line", "sharp")
WIDTH: Shape = ("width", "line", "sharp")
EXTENT: Shape = ("length", "outline", "soft")
FLASH: Shape = ("projection", "base-and-point", "torn")
STEP: Shape = ("step", "base-and-point", "sharp")
ROUND: Shape = ("diameter", "ellipse", "sharp")
FOOT: Shape = ("diameter", "outline", "torn")
SPOT: Shape = ("count", "point", "sharp")
ATTACHED = {"attached": "true"}
T = "t-orlevin"


def _gauge(characteristic: str, readings: str, u: str, instrument: str = "focus height") -> dict[str, str]:
    what = f"characteristic: {characteristic}, readings: [{readings}], instrument: {instrument}, u: {u}"
    return {"gauge": f"[{{{what}}}]"}


_G0, _G1, _G2 = "M-131_T0_", "M-131_T1_", "M-131_T2_"
_C1, _C2 = "M-126_T1_", "M-126_T2_"

FOUND: dict[str, tuple[Case, ...]] = {
    _G0 + "c1_s05_face.jpg": (
        Case("8R0A", "flash", "H", 0, (FLASH,), more=ATTACHED),
        Case("8R0B", "gate-vestige", "W", 1, (FOOT,)),
    ),
    _G0 + "c2_s05_tooth.jpg": (
        Case("8R0C", "nick", "T", 0, (LENGTH,), more={"note": "Tip of one tooth bitten off, glossy at its ends"}),
    ),
    _G0 + "c1_s05_tooth.jpg": (Case("8R0D", "scratch", "R", 0, (LENGTH,)),),
    _G0 + "c3_s05_outside.jpg": (
        Case("8S0A", "flow-line", "S", 0, (EXTENT,)),
        Case("8S0B", "sink-mark", "S", 1, (EXTENT,), more={"compared": "worse"}),
        Case("8S0C", "burn-mark", "S", 2, (("length", "outline", "sharp"),)),
        Case("8S0D", "sink-mark", "S", 3, (EXTENT,)),
    ),
    _G0 + "c4_s05_outside.jpg": (
        Case(
            "8S0G", "sink-mark", "S", 0, (EXTENT,), more={"compared": "worse", "note": "Over the gate of this insert"}
        ),
    ),
    _G1 + "c1_s12_face.jpg": (
        Case("8R1A", "black-speck", "R", 0, (SPECK,)),
        Case("8R1B", "black-speck", "R", 1, (SPECK,)),
        Case("8R1C", "black-speck", "R", 2, (SPECK,)),
        Case("8R1D", "black-speck", "R", 3, (SPECK,)),
    ),
    _G1 + "c2_s12_face.jpg": (
        Case("8R1E", "gate-vestige", "W", 0, more=_gauge("height", "42 um, 46 um, 45 um", "3 um")),
        Case("8R1F", "ejector-pin-mark", "W", 1, (ROUND,), more=_gauge("step", "-13 um, -15 um", "1.5 um")),
        Case("8R1G", "ejector-pin-mark", "W", 2, (ROUND,), more=_gauge("step", "14 um, 15 um", "1.5 um")),
        Case("8R1H", "weld-line", "R", 3, (LENGTH,), by=T),
    ),
    _G1 + "c1_s12_tooth.jpg": (
        Case("8R1J", "scratch", "R", 0, (LENGTH, WIDTH)),
        Case(
            "8R1K",
            "scratch",
            "T",
            1,
            (LENGTH,),
            more={"checks": "[{what: fingernail, result: yes, method: drawn across once}]"},
        ),
        Case("8R1M", "glass-fibre-show", "R", 2, (EXTENT,), more={"compared": "better"}),
    ),
    _G1 + "c2_s12_tooth.jpg": (
        Case("8R1N", "flash", "T", 0, (FLASH,), more=ATTACHED),
        Case("8R1P", "crazing", "R", 1, (LENGTH,), by=T, seen="no"),
        Case("8R1Q", "black-speck", "R", 2, (SPECK,)),
    ),
    _G1 + "c3_s12_outside.jpg": (
        Case(
            "8S1A",
            "sink-mark",
            "S",
            0,
            (EXTENT,),
            more={"compared": "same", **_gauge("depth", "13 um, 14 um", "1.5 um")},
        ),
        Case("8S1B", "weld-line", "S", 1, (LENGTH,)),
        Case("8S1C", "glass-fibre-show", "S", 2, (EXTENT,), by=T),
        Case("8S1D", "flow-line", "S", 3, (EXTENT,), seen="no"),
        Case("8S1J", "black-speck", "S", 4, more={"note": "Seen, not drawn yet"}),
    ),
    _G1 + "c3_s12_inside.jpg": (
        Case("8S1E", "ejector-pin-mark", "I", 0, (ROUND,)),
        Case("8S1F", "ejector-pin-mark", "I", 1, (ROUND,), more=_gauge("step", "-9 um, -8 um", "1.5 um")),
        Case("8S1G", "stress-whitening", "I", 2, (EXTENT,)),
        Case("8S1H", "jetting", "I", 3, (EXTENT,)),
    ),
    _G2 + "c1_s20_face.jpg": (Case("8R2A", "flash", "H", 0, (FLASH,), more=ATTACHED),),
    _G2 + "c2_s20_face.jpg": (
        Case("8R2B", "gate-vestige", "W", 0, more=_gauge("height", "49 um, 47 um, 50 um", "3 um")),
    ),
    _G2 + "c3_s20_outside.jpg": (
        Case("8S2A", "scratch", "S", 0, (LENGTH, WIDTH)),
        Case("8S2B", "black-speck", "S", 1, (SPECK,), seen="no"),
    ),
    _C1 + "c1_s09_end.jpg": (
        Case("5V1A", "bubble", "E", 0, (ROUND,)),
        Case("5V1B", "bubble", "E", 1, (ROUND,)),
        Case("5V1C", "bubble", "E", 2, (ROUND,)),
        Case("5V1D", "burn-mark", "E", 3, (("length", "outline", "sharp"),)),
    ),
    _C1 + "c2_s09_end.jpg": (
        Case("5V1E", "surface-residue", "L", 0, (LENGTH,), more={"note": "Faser, bleibt nach dem Abblasen"}),
        Case("5V1F", "scratch", "L", 1, (LENGTH,)),
    ),
    _C1 + "c1_s09_side.jpg": (
        Case("5V1G", "flash", "N", 0, (FLASH,), more=ATTACHED),
        Case("5V1H", "gate-vestige", "G", 1, (HEIGHT,)),
    ),
    _C1 + "c2_s09_side.jpg": (
        Case("5V1J", "mismatch", "N", 0, (STEP,)),
        Case("5V1K", "drag-mark", "N", 1, (EXTENT,), more={"question": "Dürfen Riefen bis auf die Dichtnase reichen?"}),
    ),
    _C1 + "c1_s09_land.jpg": (
        Case("5V1M", "crazing", "L", 0, (LENGTH,)),
        Case("5V1N", "scratch", "L", 1, (LENGTH,), seen="not checked", by=T),
        Case("5V1T", "black-speck", "E", 2, (SPECK,), by=T),
        Case("5V1V", "black-speck", "E", 3, (SPECK,), seen="not checked", by=T),
    ),
    _C2 + "c1_s16_end.jpg": (
        Case("5V2A", "black-speck", "E", 0, (SPECK,)),
        Case("5V2B", "black-speck", "E", 1, (SPECK,)),
        Case("5V2C", "black-speck", "E", 2, (SPECK,)),
        Case("5V2D", "black-speck", "E", 3, (SPECK,)),
    ),
    _C2 + "c2_s16_end.jpg": (
        Case("5V2E", "black-speck", "E", 0, (SPECK,)),
        Case("5V2F", "black-speck", "E", 1, (SPECK,)),
        Case("5V2G", "weld-line", "L", 2, (LENGTH,), more={"compared": "worse"}),
        Case("5V2H", "bubble", "E", 3, (SPOT,), by=T),
    ),
    _C2 + "c1_s16_side.jpg": (
        Case("5V2K", "gate-vestige", "G", 0, (HEIGHT,)),
        Case("5V2M", "flash", "G", 1, (FLASH,), more={"attached": "false", "note": "Bewegt sich beim Anblasen"}),
    ),
    _C2 + "c2_s16_side.jpg": (Case("5V2N", "mismatch", "N", 0, (STEP,)),),
    _C2 + "c2_s16_land.jpg": (
        Case("5V2P", "scratch", "L", 0, (LENGTH,)),
        Case("5V2T", "black-speck", "L", 1, (SPECK,), seen="no"),
        Case("5V2Y", "black-speck", "E", 2, (SPECK,)),
        Case("5V2Z", "black-speck", "E", 3, (SPECK,)),
        Case("5V30", "black-speck", "E", 4, (SPECK,)),
        Case("5V31", "black-speck", "E", 5, (SPECK,)),
    ),
    _C2 + "c1_s17_land.jpg": (
        Case("5V2X", "black-speck", "E", 0, (SPECK,)),
        Case("5V2V", "black-speck", "E", 1, (SPECK,)),
        Case("5V2W", "black-speck", "E", 2, (SPECK,)),
    ),
    _C2 + "c1_s17_end.jpg": (
        Case("5V2Q", "burn-mark", "E", 0, (("length", "outline", "sharp"),), by=T),
        Case("5V32", "burn-mark", "E", 1, (("length", "outline", "torn"),), by=T),
    ),
    _C2 + "c2_s17_end.jpg": (Case("5V2R", "black-speck", "E", 0, (SPOT,), by="s-vrondel"),),
    _C2 + "c2_s17_side.jpg": (
        Case(
            "5V2S",
            "gate-vestige",
            "G",
            0,
            (HEIGHT,),
            more={"checks": "[{what: sharp tip, result: yes, method: Wattestäbchen darübergezogen}]"},
        ),
    ),
    _G0 + "c1_s06_face.jpg": (Case("8R0E", "black-speck", "R", 0, (SPECK,)),),
    _G0 + "c2_s06_face.jpg": (
        Case("8R0F", "ejector-pin-mark", "W", 0, (ROUND,), more=_gauge("step", "-4 um, -6 um", "9 um", "drop gauge")),
        Case("8R0G", "ejector-pin-mark", "H", 1, more=_gauge("step", "2 um, 3 um", "1.5 um")),
        Case("8R0H", "scratch", "R/T", 2, (LENGTH,)),
    ),
    _G0 + "c3_s06_outside.jpg": (Case("8S0E", "glass-fibre-show", "S", 0, (EXTENT,)),),
    _G0 + "c3_s06_inside.jpg": (Case("8S0F", "ejector-pin-mark", "I", 0, (ROUND,)),),
    _G0 + "c1_s06_tooth.jpg": (Case("8R0J", "nick", "T", 0, (LENGTH,)),),
    _G0 + "c2_s06_tooth.jpg": (Case("8R0K", "crazing", "T", 0, (LENGTH,)),),
    _G1 + "c3_s13_inside.jpg": (Case("8S1K", "ejector-pin-mark", "I", 0, (ROUND,)),),
    _G1 + "c2_s13_face.jpg": (Case("8R1S", "scratch", "R", 0, (LENGTH,)),),
    _G1 + "c1_s13_face.jpg": (Case("8R1R", "scratch", "R", 0, (LENGTH,)),),
    _C1 + "c1_s10_end.jpg": (
        Case("5V1P", "bubble", "E", 0, (SPOT,)),
        Case("5V1Q", "bubble", "E", 5, more={"note": "Weitere in der anderen Lasche, nicht gezeichnet"}),
        Case("5V1R", "scratch", "K", 6, (LENGTH,)),
    ),
    _C1 + "c2_s10_side.jpg": (Case("5V1S", "bubble", "E", 0, (ROUND,)),),
}

WHOLE = ("8R1A", "8R1B", "8R1C", "8R1D", "8S1J", "5V1P", "5V2A", "5V2B", "5V2C", "5V2D", "5V2H", "5V2R")
"""Findings of which the inspector said that the picture shows all of their zone."""

MADE = {
    _G0 + "c3_s06_outside.jpg": "phone",
    _C1 + "c2_s10_side.jpg": "phone",
    _C2 + "c2_s16_side.jpg": "stacked",
    _C2 + "c1_s17_end.jpg": "phone",
    _C2 + "c2_s17_end.jpg": "stitched",
}
UNPLACED = (_G0 + "c1_s05_tooth.jpg",)
"""Of these nobody noted the cavity."""
SCOPELESS = (_G0 + "c2_s06_tooth.jpg",)
"""Of these nobody noted the microscope."""
TOGETHER = {"5V1P": 6, "5V2H": 2, "5V2R": 8}
"""Findings whose one shape has the middles of several faults, from their own on."""
UNSET = (_C2 + "c2_s17_side.jpg",)
"""Of these nobody noted the setting."""
CAPTIONS = {
    _G0 + "c1_s05_tooth.jpg": "From the bag without a label",
    _G0 + "c1_s05_face.jpg": "Gear, cavity 1, fifth shot",
    _C2 + "c1_s17_end.jpg": "Mit dem Telefon durch das Okular",
    _C2 + "c2_s17_end.jpg": "Vom Kameraprogramm aus vier Bildern zusammengesetzt",
}
KNOWN = {
    _G1 + "c1_s12_face.jpg": ("known", "feature: bore", ((-260.0, 0.0), (260.0, 0.0))),
    _C2 + "c1_s17_end.jpg": ("reference", "length: 1.720 mm, u: 2 um", ((-860.0, 0.0), (860.0, 0.0))),
    _C2 + "c2_s16_end.jpg": ("reference", "length: 1.720 mm, u: 2 um", ((0.0, -860.0), (0.0, 860.0))),
}
"""What of known size was drawn: which key, what it says, and both ends on the piece."""
ALSO = {_G1 + "c1_s12_face.jpg": (Case("8R1K", "scratch", "T", 4, (LENGTH,)),)}
"""More of findings that are written under another picture of the same piece."""
LOOKED: tuple[tuple[str, str, str, int, str, str], ...] = (
    ("M-131", "T2", "1", 20, "tooth", "10:40"),
    ("M-131", "T2", "2", 20, "tooth", "10:44"),
    ("M-131", "T2", "3", 20, "inside", "10:52"),
    ("M-126", "T1", "2", 9, "land", "09:30"),
    ("M-126", "T2", "1", 16, "land", "14:02"),
)
"""Mould, trial, cavity, shot, view, and when nothing was seen."""
