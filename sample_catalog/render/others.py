"""The pictures of gear, cap and connector: what each shows, its start, and when it was taken."""

from .marks import (
    Bubble,
    Burn,
    Crack,
    Dimple,
    Drag,
    FibreShow,
    Fin,
    FlowLines,
    Grain,
    Jet,
    Line,
    Lint,
    Mark,
    Nick,
    Offset,
    Pin,
    Scar,
    Scratch,
    Stub,
    Weld,
    Whitening,
    arc,
)
from .takes import Take

TOOTH, LAND = (1000.0, 0.0), (-800.0, 0.0)
SIDE = (60.0, -150.0)
TAPER: Line = ((687.3, 620.0), (635.1, 780.0))
"""On the sealing nose's right outline, walked downwards."""
FLANGE: Line = ((1120.0, -360.0), (1120.0, -240.0))
TUBE: Line = ((470.0, -620.0), (470.0, -470.0))


def _gear(path: str, seed: int, cavity: int, taken: str, marks: tuple[Mark, ...], *, close: bool = False) -> Take:
    if close:
        return Take(path, "gear", "tooth", seed, cavity, taken, marks, "zoom-5", TOOTH)
    return Take(path, "gear", "face", seed, cavity, taken, marks)


def _cap(path: str, seed: int, cavity: int, taken: str, marks: tuple[Mark, ...], *, inside: bool = False) -> Take:
    kind, view = ("cap-inside", "inside") if inside else ("cap-outside", "outside")
    return Take(path, kind, view, seed, cavity, taken, marks, low=not inside)


def _end(path: str, seed: int, cavity: int, taken: str, marks: tuple[Mark, ...], *, close: bool = False) -> Take:
    if close:
        return Take(path, "connector-end", "land", seed, cavity, taken, marks, "zoom-5", LAND)
    return Take(path, "connector-end", "end", seed, cavity, taken, marks)


def _side(path: str, seed: int, cavity: int, taken: str, marks: tuple[Mark, ...]) -> Take:
    return Take(path, "connector-side", "side", seed, cavity, taken, marks, middle=SIDE)


def _views() -> tuple[Take, ...]:
    day = "2026:01:14 "
    gear, cap, connector = "parts/MG-0312/views/", "parts/MC-0313/views/", "parts/FC-2210/views/"
    return (
        _gear(gear + "face.jpg", 201, 1, day + "09:12:40", (Scar(-560.0, 180.0, 110.0),)),
        _gear(gear + "tooth.jpg", 202, 1, day + "09:20:05", (), close=True),
        _cap(cap + "outside.jpg", 203, 3, day + "09:41:18", ()),
        _cap(cap + "inside.jpg", 204, 3, day + "09:48:52", (), inside=True),
        _end(connector + "end.jpg", 205, 1, day + "10:22:31", ()),
        _end(connector + "land.jpg", 206, 1, day + "10:29:44", (), close=True),
        _side(connector + "side.jpg", 207, 1, day + "10:40:09", (Stub(FLANGE, 50.0),)),
    )


def _gear_trial_0() -> tuple[Take, ...]:
    at, day = "moulds/M-131/trials/T0/images/M-131_T0_", "2026:01:20 "
    return (
        _gear(
            at + "c1_s05_face.jpg",
            211,
            1,
            day + "13:05:22",
            (Fin(arc(260.0, 60.0, 15.0), 52.0), Scar(-560.0, 180.0, 120.0)),
        ),
        _gear(at + "c2_s05_tooth.jpg", 212, 2, day + "13:14:47", (Nick(1206.0, 6.0, 42.0),), close=True),
        _gear(
            at + "c1_s05_tooth.jpg",
            214,
            1,
            day + "13:22:30",
            (Scratch(((800.0, 150.0), (850.0, 240.0), (880.0, 330.0)), 10.0),),
            close=True,
        ),
        _cap(
            at + "c3_s05_outside.jpg",
            213,
            3,
            day + "13:31:10",
            (
                FlowLines(0.0, 900.0, 220.0, 1250.0, 222.0, 318.0),
                Dimple(330.0, -330.0, 380.0, 280.0, 20.0, 30.0),
                Burn(-1020.0, -330.0, 180.0, 90.0, 110.0),
                Dimple(-430.0, 330.0, 330.0, 240.0, 12.0, 140.0),
            ),
        ),
        _cap(
            at + "c4_s05_outside.jpg", 303, 4, day + "13:38:02", (Dimple(-250.0, 420.0, 430.0, 310.0, 34.0, 120.0),)
        ),
    )


def _gear_trial_1() -> tuple[Take, ...]:
    at, day = "moulds/M-131/trials/T1/images/M-131_T1_", "2026:03:10 "
    pins = (Pin(430.0, 400.0, 160.0, -14.0), Pin(430.0, -400.0, 160.0, 14.0))
    return (
        _gear(
            at + "c1_s12_face.jpg",
            221,
            1,
            day + "09:02:15",
            (
                Grain(140.0, 822.0, 64.0, True),
                Grain(-640.0, 540.0, 88.0, True),
                Grain(-600.0, -580.0, 58.0, True),
                Grain(700.0, -440.0, 22.0, True),
                Scratch(((1040.0, 34.0), (1092.0, 4.0), (1150.0, -22.0)), 7.0),
            ),
        ),
        _gear(
            at + "c2_s12_face.jpg",
            222,
            2,
            day + "09:10:33",
            (Scar(-560.0, 180.0, 130.0), *pins, Weld(((-560.0, -540.0), (-660.0, -600.0)), 3.0)),
        ),
        _gear(
            at + "c1_s12_tooth.jpg",
            223,
            1,
            day + "09:21:54",
            (
                Scratch(((790.0, -180.0), (872.0, -66.0))),
                Scratch(((1040.0, 34.0), (1092.0, 4.0), (1150.0, -22.0)), 7.0),
                FibreShow(838.0, 210.0, 190.0, 110.0, 80.0),
            ),
            close=True,
        ),
        _gear(
            at + "c2_s12_tooth.jpg",
            224,
            2,
            day + "09:29:08",
            (
                Fin(arc(1199.0, -2.4, 2.4), 26.0),
                Crack(((800.0, -250.0), (860.0, -190.0), (890.0, -110.0))),
                Grain(830.0, 260.0, 66.0, True),
            ),
            close=True,
        ),
        _cap(
            at + "c3_s12_outside.jpg",
            225,
            3,
            day + "09:44:36",
            (
                Dimple(330.0, -330.0, 380.0, 280.0, 13.0, 30.0),
                Weld(((-200.0, 480.0), (-470.0, 700.0)), 3.0),
                FibreShow(-480.0, -300.0, 400.0, 230.0, 20.0),
                FlowLines(0.0, 900.0, 220.0, 900.0, 225.0, 315.0),
                Grain(520.0, 460.0, 70.0, True),
            ),
        ),
        _cap(
            at + "c3_s12_inside.jpg",
            226,
            3,
            day + "09:58:01",
            (
                Pin(-560.0, 150.0, 180.0, 12.0),
                Pin(560.0, 150.0, 180.0, -9.0),
                Whitening(-560.0, 150.0, 270.0, 250.0),
                Jet(400.0, 560.0, 420.0, 230.0, -28.0),
            ),
            inside=True,
        ),
    )


def _gear_trial_2() -> tuple[Take, ...]:
    at, day = "moulds/M-131/trials/T2/images/M-131_T2_", "2026:03:24 "
    return (
        _gear(at + "c1_s20_face.jpg", 231, 1, day + "10:01:12", (Fin(arc(260.0, 200.0, 160.0), 19.0),)),
        _gear(at + "c2_s20_face.jpg", 232, 2, day + "10:08:47", (Scar(-560.0, 180.0, 118.0),)),
        _cap(
            at + "c3_s20_outside.jpg",
            233,
            3,
            day + "10:20:29",
            (Scratch(((120.0, 260.0), (190.0, 330.0), (240.0, 350.0)), 8.0, 2.0), Grain(-360.0, 210.0, 34.0, True)),
        ),
    )


def _connector_trial_1() -> tuple[Take, ...]:
    at, day = "moulds/M-126/trials/T1/images/M-126_T1_", "2026:02:24 "
    return (
        _end(
            at + "c1_s09_end.jpg",
            241,
            1,
            day + "08:31:50",
            (
                Bubble(-1010.0, 120.0, 92.0),
                Bubble(-760.0, -660.0, 64.0),
                Bubble(330.0, 960.0, 76.0),
                Burn(1010.0, 420.0, 170.0, 90.0, 65.0),
            ),
        ),
        _end(
            at + "c2_s09_end.jpg",
            242,
            2,
            day + "08:39:12",
            (
                Lint(((-60.0, 690.0), (40.0, 760.0), (150.0, 770.0), (230.0, 740.0), (300.0, 760.0))),
                Scratch(((-800.0, 60.0), (-770.0, 190.0), (-700.0, 330.0)), 9.0),
            ),
        ),
        _side(at + "c1_s09_side.jpg", 243, 1, day + "08:52:26", (Fin(TAPER, 55.0), Stub(FLANGE, 88.0))),
        _side(
            at + "c2_s09_side.jpg",
            244,
            2,
            day + "08:59:41",
            (Offset(400.0, 2000.0, 33.0), Drag(-220.0, 760.0, 400.0, 240.0)),
        ),
        _end(
            at + "c1_s09_land.jpg",
            245,
            1,
            day + "09:14:05",
            (
                Crack(((-690.0, -150.0), (-760.0, -90.0), (-790.0, 10.0))),
                Scratch(((-780.0, 160.0), (-742.0, 240.0)), 6.0),
                Grain(-1000.0, 260.0, 72.0),
                Grain(-920.0, 350.0, 58.0),
            ),
            close=True,
        ),
    )


def _connector_trial_2() -> tuple[Take, ...]:
    at, day = "moulds/M-126/trials/T2/images/M-126_T2_", "2026:03:17 "
    swarm = (
        Grain(-960.0, -300.0, 90.0),
        Grain(-1000.0, 120.0, 70.0),
        Grain(-860.0, -520.0, 60.0),
        Grain(-330.0, -960.0, 85.0),
        Grain(420.0, 900.0, 64.0),
        Grain(880.0, 520.0, 72.0),
        Grain(640.0, 780.0, 58.0),
        Grain(1120.0, -90.0, 66.0),
    )
    return (
        _end(
            at + "c1_s16_end.jpg",
            251,
            1,
            day + "13:02:37",
            (
                Grain(-1000.0, -180.0, 72.0),
                Grain(520.0, 870.0, 84.0),
                Grain(-420.0, 920.0, 101.0),
                Grain(700.0, -700.0, 122.0),
            ),
        ),
        _end(
            at + "c2_s16_end.jpg",
            252,
            2,
            day + "13:10:05",
            (
                Grain(-900.0, 420.0, 58.0),
                Grain(-820.0, 520.0, 66.0),
                Weld(((462.0, 462.0), (530.0, 540.0), (605.0, 608.0))),
                Bubble(1010.0, -120.0, 70.0),
                Bubble(1180.0, 90.0, 54.0),
            ),
        ),
        _side(at + "c1_s16_side.jpg", 253, 1, day + "13:24:58", (Stub(FLANGE, 62.0), Fin(TUBE, 24.0))),
        _side(at + "c2_s16_side.jpg", 254, 2, day + "13:33:14", (Offset(400.0, 2000.0, 18.0),)),
        Take(
            at + "c2_s16_land.jpg",
            "connector-end",
            "land",
            255,
            2,
            day + "13:45:20",
            (
                Scratch(((-790.0, 40.0), (-762.0, 134.0)), 6.0),
                Grain(-735.0, -150.0, 36.0),
                Grain(-1260.0, -40.0, 138.0),
                Grain(-870.0, -440.0, 126.0),
                Grain(-920.0, 430.0, 98.5),
                Grain(-1010.0, -390.0, 49.5),
            ),
            "zoom-5",
            LAND,
            bar_um=500,
        ),
        _end(
            at + "c1_s17_land.jpg",
            302,
            1,
            day + "13:52:40",
            (Grain(-765.0, -482.0, 60.0), Grain(-1005.2, 488.7, 60.0), Grain(-1028.75, -310.0, 68.0)),
            close=True,
        ),
        Take(
            at + "c1_s17_end.jpg",
            "connector-end",
            "end",
            256,
            1,
            day + "14:02:03",
            (Burn(620.0, 960.0, 120.0, 74.0, 30.0), Burn(520.0, 880.0, 80.0, 56.0, 70.0)),
            resized=(1280, 960),
        ),
        _end(at + "c2_s17_end.jpg", 257, 2, day + "14:11:46", swarm),
        _side(at + "c2_s17_side.jpg", 258, 2, day + "14:19:30", (Stub(FLANGE, 70.0),)),
    )


SMALL = (800, 600)


def _gear_on_the_side() -> tuple[Take, ...]:
    """What was taken with settings that nobody calibrated, with a telephone, by a turned or cropping camera."""
    first, day0 = "moulds/M-131/trials/T0/images/M-131_T0_", "2026:01:20 "
    second, day1 = "moulds/M-131/trials/T1/images/M-131_T1_", "2026:03:10 "
    speck = (Grain(60.0, 830.0, 92.0, True),)
    crack = (Crack(((1010.0, 40.0), (1080.0, 20.0), (1130.0, -30.0))),)
    return (
        Take(first + "c1_s06_face.jpg", "gear", "face", 281, 1, day0 + "15:02:20", speck, "zoom-1-binned", size=SMALL),
        _gear(
            first + "c2_s06_face.jpg",
            282,
            2,
            day0 + "15:10:41",
            (
                Pin(430.0, 400.0, 160.0, -5.0),
                Pin(0.0, 350.0, 90.0, 3.0),
                Scratch(((800.0, -250.0), (880.0, -290.0), (960.0, -330.0))),
            ),
        ),
        Take(
            first + "c3_s06_outside.jpg",
            "cap-outside",
            "outside",
            283,
            3,
            day0 + "15:21:13",
            (FibreShow(-380.0, 300.0, 420.0, 240.0, 150.0),),
            "zoom-2-binned",
            low=True,
            size=SMALL,
        ),
        Take(
            first + "c3_s06_inside.jpg",
            "cap-inside",
            "inside",
            284,
            3,
            day0 + "15:26:58",
            (Pin(560.0, 150.0, 180.0, 11.0),),
            "zoom-2-binned",
            size=SMALL,
        ),
        Take(
            first + "c1_s06_tooth.jpg",
            "gear",
            "tooth",
            285,
            1,
            day0 + "15:34:07",
            (Nick(1207.0, -4.0, 34.0),),
            "zoom-5-binned",
            TOOTH,
            size=SMALL,
        ),
        Take(
            first + "c2_s06_tooth.jpg",
            "gear",
            "tooth",
            286,
            2,
            day0 + "15:40:50",
            crack,
            "zoom-5-binned",
            TOOTH,
            size=SMALL,
        ),
        Take(
            second + "c3_s13_inside.jpg",
            "cap-inside",
            "inside",
            287,
            3,
            day1 + "11:12:26",
            (Pin(-560.0, 150.0, 180.0, 10.0),),
            "zoom-2-binned",
            size=(600, 800),
        ),
        Take(
            second + "c1_s13_face.jpg",
            "gear",
            "face",
            288,
            1,
            day1 + "11:20:44",
            (Scratch(((-880.0, 60.0), (-830.0, 130.0), (-800.0, 220.0)), 10.0),),
            "zoom-2-binned",
            size=(800, 540),
        ),
        Take(
            second + "c2_s13_face.jpg",
            "gear",
            "face",
            289,
            2,
            day1 + "11:25:02",
            (Scratch(((-800.0, -330.0), (-770.0, -260.0), (-790.0, -160.0)), 10.0),),
            "zoom-2-binned",
            size=(640, 480),
        ),
    )


def _connector_on_the_side() -> tuple[Take, ...]:
    at, day = "moulds/M-126/trials/T1/images/M-126_T1_", "2026:02:24 "
    spots = ((-1000.0, 180.0), (-930.0, -420.0), (-330.0, -960.0), (420.0, 900.0), (880.0, 520.0), (1180.0, -90.0))
    sizes = (70.0, 58.0, 82.0, 64.0, 76.0, 88.0)
    bubbles = tuple(Bubble(x, y, size) for (x, y), size in zip(spots, sizes, strict=True))
    return (
        _end(
            at + "c1_s10_end.jpg",
            291,
            1,
            day + "09:41:33",
            (*bubbles, Scratch(((-560.0, 60.0), (-540.0, 130.0), (-500.0, 190.0)), 8.0)),
        ),
        Take(
            at + "c2_s10_side.jpg",
            "connector-side",
            "side",
            292,
            2,
            day + "09:50:17",
            (Bubble(-300.0, -300.0, 120.0),),
            "zoom-2-binned",
            SIDE,
            size=SMALL,
        ),
    )


def _kept() -> tuple[Take, ...]:
    at, early, late = "limit-samples/", "2026:01:15 ", "2026:02:20 "
    radial: Line = ((-470.0, 454.0), (-540.0, 531.0), (-612.0, 602.0))
    return (
        _cap(
            at + "LS-0021/outside.jpg", 261, 3, early + "15:10:22", (Dimple(330.0, -330.0, 380.0, 280.0, 12.0, 30.0),)
        ),
        _cap(
            at + "LS-0022/outside.jpg", 262, 3, early + "15:16:40", (Dimple(330.0, -330.0, 380.0, 280.0, 22.0, 30.0),)
        ),
        _end(at + "LS-0031/end.jpg", 263, 2, late + "11:05:09", (Weld(radial, 1.4),)),
        _end(at + "LS-0032/end.jpg", 264, 2, late + "11:11:55", (Weld(radial, 4.5), Weld(radial, 3.0))),
    )


def _graticules() -> tuple[Take, ...]:
    at, grid = "scopes/stereo-2/", "graticule"
    moved, right, day = "2026:02:05 13:02:11", "2026:02:05 13:31:45", "2026:03:10 "
    return (
        Take(at + "zoom-2-2026-03-10.jpg", grid, grid, 271, 0, day + "07:48:02"),
        Take(at + "zoom-5-2026-03-10.jpg", grid, grid, 272, 0, day + "07:55:31", setting="zoom-5"),
        Take(at + "zoom-5-2026-02-05-a.jpg", grid, grid, 273, 0, moved, setting="zoom-5-moved"),
        Take(at + "zoom-5-2026-02-05-b.jpg", grid, grid, 274, 0, right, setting="zoom-5"),
    )


TAKES: tuple[Take, ...] = (
    _views()
    + _gear_trial_0()
    + _gear_trial_1()
    + _gear_trial_2()
    + _connector_trial_1()
    + _connector_trial_2()
    + _gear_on_the_side()
    + _connector_on_the_side()
    + _kept()
    + _graticules()
)
