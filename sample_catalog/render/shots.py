"""The sample's pictures: what each shows, its seed, and when it was taken."""

from .defects import Flash, Pluck, ShortShot, Sink, Speck, Splay, Vestige
from .scenes import Scene

_T1 = "moulds/M-118/trials/T1/images/M-118_T1_"
_T2 = "moulds/M-118/trials/T2/images/M-118_T2_"
_DAY1, _DAY2, _LIMITS, _VIEWS = "2026:02:12 ", "2026:03:04 ", "2026:02:11 ", "2026:01:22 "


def _views() -> tuple[Scene, ...]:
    at = "parts/LC-0440/views/"
    return (
        Scene(
            at + "gate-profile.jpg",
            "gate-profile",
            101,
            1,
            _VIEWS + "10:14:07",
            (Vestige(104.0, 214.0, 176.0),),
        ),
        Scene(at + "top-face.jpg", "top-face", 102, 1, _VIEWS + "10:02:31"),
        Scene(at + "low-angle.jpg", "low-angle", 103, 1, _VIEWS + "10:05:48"),
    )


def _trial_1() -> tuple[Scene, ...]:
    leaning = Vestige(236.0, 240.0, 180.0, lean=0.20, string=True)
    return (
        Scene(_T1 + "c1_s08_gate-profile.jpg", "gate-profile", 111, 1, _DAY1 + "14:02:11", (Vestige(212.0),)),
        Scene(_T1 + "c3_s08_gate-profile.jpg", "gate-profile", 112, 3, _DAY1 + "14:09:40", (leaning,)),
        Scene(
            _T1 + "c2_s08_top-face.jpg",
            "top-face",
            113,
            2,
            _DAY1 + "14:21:05",
            (Flash("bore", 95.0, 500.0, 215.0),),
            gate_um=190.0,
        ),
        Scene(
            _T1 + "c4_s08_top-face.jpg",
            "top-face",
            114,
            4,
            _DAY1 + "14:26:52",
            (ShortShot(150.0),),
            gate_um=180.0,
        ),
        Scene(
            _T1 + "c1_s08_low-angle.jpg",
            "low-angle",
            115,
            1,
            _DAY1 + "14:33:19",
            (Sink(18.0, 1045.0, 33.0),),
            gate_um=212.0,
        ),
        Scene(_T1 + "c3_s08_low-angle.jpg", "low-angle", 116, 3, _DAY1 + "14:38:44", gate_um=236.0),
        Scene(
            _T1 + "c4_s08_overview.jpg",
            "overview",
            117,
            4,
            _DAY1 + "14:47:30",
            (Splay(34.0, 820.0, 0.5),),
            gate_um=180.0,
        ),
    )


def _trial_2() -> tuple[Scene, ...]:
    plucked = (Vestige(96.0, 190.0, 160.0), Pluck(64.0, 150.0, -196.0))
    return (
        Scene(
            _T2 + "c1_s14_gate-profile.jpg",
            "gate-profile",
            121,
            1,
            _DAY2 + "09:11:02",
            (Vestige(118.0, 220.0, 180.0),),
        ),
        Scene(
            _T2 + "c2_s14_gate-profile.jpg",
            "gate-profile",
            122,
            2,
            _DAY2 + "09:15:27",
            (Vestige(148.0, 226.0, 182.0),),
        ),
        Scene(_T2 + "c3_s14_gate-profile.jpg", "gate-profile", 123, 3, _DAY2 + "09:19:58", plucked),
        Scene(
            _T2 + "c1_s14_top-face.jpg",
            "top-face",
            124,
            1,
            _DAY2 + "09:31:13",
            (Speck(62.0, 1012.0, 152.0), Speck(142.0, 1056.0, 62.0)),
        ),
        Scene(
            _T2 + "c2_s14_top-face.jpg",
            "top-face",
            125,
            2,
            _DAY2 + "09:36:40",
            (Flash("rim", 44.0, 600.0, 140.0),),
        ),
        Scene(
            _T2 + "c3_s14_top-face.jpg",
            "top-face",
            126,
            3,
            _DAY2 + "09:41:22",
            (Speck(98.0, 1062.0, 205.0), Speck(28.0, 1000.0, 24.0)),
            gate_um=96.0,
        ),
        Scene(_T2 + "c4_s14_top-face.jpg", "top-face", 127, 4, _DAY2 + "09:46:09", (Splay(36.0, 860.0),)),
        Scene(_T2 + "c1_s14_low-angle.jpg", "low-angle", 128, 1, _DAY2 + "09:58:51"),
        Scene(
            _T2 + "c2_s14_low-angle.jpg",
            "low-angle",
            129,
            2,
            _DAY2 + "10:04:16",
            (Sink(7.0, 1040.0, 36.0),),
            orientation=6,
        ),
        Scene(
            _T2 + "c3_s14_low-angle.jpg",
            "low-angle",
            130,
            3,
            _DAY2 + "10:08:33",
            (Sink(5.0, 1040.0, 30.0),),
            gate_um=96.0,
        ),
        Scene(
            _T2 + "c4_s14_low-angle.jpg", "low-angle", 131, 4, _DAY2 + "10:12:57", (Sink(9.0, 1048.0, 34.0),)
        ),
        Scene(
            _T2 + "c2_s15_top-face.jpg",
            "top-face",
            132,
            2,
            _DAY2 + "10:26:45",
            (Speck(84.0, 1040.0, 118.0),),
            resized=(1280, 960),
        ),
    )


def _limits() -> tuple[Scene, ...]:
    at = "limit-samples/"
    return (
        Scene(
            at + "LS-0007/gate-profile.jpg",
            "gate-profile",
            141,
            2,
            _LIMITS + "16:03:12",
            (Vestige(146.0, 230.0, 184.0),),
        ),
        Scene(
            at + "LS-0008/gate-profile.jpg",
            "gate-profile",
            142,
            2,
            _LIMITS + "16:08:50",
            (Vestige(173.0, 232.0, 184.0),),
        ),
        Scene(
            at + "LS-0011/low-angle.jpg",
            "low-angle",
            143,
            3,
            _LIMITS + "16:20:37",
            (Sink(8.0, 1044.0, 35.0),),
        ),
        Scene(
            at + "LS-0012/low-angle.jpg",
            "low-angle",
            144,
            3,
            _LIMITS + "16:25:09",
            (Sink(14.0, 1044.0, 35.0),),
        ),
    )


SHOTS: tuple[Scene, ...] = _views() + _trial_1() + _trial_2() + _limits()
