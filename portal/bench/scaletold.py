"""What a calibration or a check comes to, as the page shows it."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.assess.graticule import Compared
from portal.assess.pixels import Graticule
from portal.bench.micrometers import moment
from portal.bench.state import Bench
from portal.model.result import Calibrated as ByCalibration
from portal.model.result import NoScale, Term
from portal.model.say import Figure, Say
from portal.model.scope import Calibration
from portal.site.scope import per_pixel
from portal.site.typeset import typeset
from portal.site.words import Speaker
from portal.tasks.calibrate import Calibrated, setting_of, stated_distortion

WIDE, HIGH = 320, 64
"""Of the drawing of how far each mark lies from its place."""


@dataclass(frozen=True, slots=True)
class Dots:
    """How far the marks of one picture lie from equal distances."""

    name: str
    said: Say
    most: str
    dots: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Share:
    """One term of the budget, relative to the scale, and as a share of the longest bar."""

    name: Say
    value: str
    width: float


@dataclass(frozen=True, slots=True)
class Axis:
    """Micrometres per pixel of one axis with its budget, the largest term first."""

    name: str
    value: str
    before: Say | None
    """How it differs from the calibration that was in force by now."""
    terms: tuple[Share, ...]


@dataclass(frozen=True, slots=True)
class CalibratedTold:
    """All that is shown of a calibration before it is written."""

    axes: tuple[Axis, ...]
    limit: Say
    square: bool
    pictures: tuple[Dots, ...]
    distortion: tuple[Say, ...]


def calibrated(bench: Bench, made: Calibrated, scope: str, setting: str, speaker: Speaker) -> str:
    """A calibration as markup."""
    _, known = setting_of(bench.catalogue, scope, setting)
    before = max(
        (each for each in known.calibrations if each.frame == made.frame), key=lambda each: each.date, default=None
    )
    size = made.size
    told = CalibratedTold(
        axes=(
            _axis("x", size.x_um, size.u_x_um, size.x_terms, _before(before, size.x_um, "x"), speaker),
            _axis("y", size.y_um, size.u_y_um, size.y_terms, _before(before, size.y_um, "y"), speaker),
        ),
        limit=Say.of("scale.limit", what=Say.of(f"term.{size.largest.name}")),
        square=size.square,
        pictures=tuple(
            _dots(path.name, reading, speaker) for path, reading in zip(made.pictures, made.readings, strict=True)
        ),
        distortion=tuple(_distortion(made, stated_distortion(known))),
    )
    return typeset("benchcalibrated", speaker, here="", told=told, wide=WIDE, high=HIGH).decode("utf-8")


def checked(bench: Bench, found: Compared, speaker: Speaker) -> str:
    """A check as markup: it agrees, it fails, or it says nothing with the reason."""
    against = found.found
    if isinstance(against, NoScale):
        sentence = Say.of("check.silent", why=against.reason)
    else:
        key = "scale.check_agrees" if against.agrees else "scale.check_failed"
        sentence = Say.of(
            key, measured=against.measured, stated=against.stated, apart=_percent(against.um / against.known.um - 1)
        )
    word = {True: "conforms", False: "does-not-conform", None: "not-judged"}[found.agrees]
    heading = Say.of(f"scale.{ {True: 'right', False: 'wrong', None: 'silent'}[found.agrees] }")
    where = Say.of(
        "scale.check_of", scope=found.scope.id, setting=found.setting, at=moment(found.check.at.text, speaker)
    )
    given = None if isinstance(found.scale, NoScale) else found.scale.given_by
    by = Say.of("scale.by_calibration", calibration=given.calibration) if isinstance(given, ByCalibration) else None
    return typeset(
        "benchchecked", speaker, here="", word=word, heading=heading, sentence=sentence, where=where, by=by
    ).decode("utf-8")


def _axis(name: str, um: float, u: float, terms: tuple[Term, ...], before: Say | None, speaker: Speaker) -> Axis:
    ordered = sorted((each for each in terms if each.u > 0), key=lambda each: each.u, reverse=True)
    most = ordered[0].u if ordered else 1.0
    shares = tuple(
        Share(Say.of(f"term.{each.name}"), speaker.number(_small(each.u / um)), round(100 * each.u / most, 1))
        for each in ordered
    )
    return Axis(name, speaker.number(per_pixel(um, 2 * u)), before, shares)


def _before(before: Calibration | None, um: float, axis: str) -> Say | None:
    if before is None:
        return None
    old = before.x.um if axis == "x" else before.y.um
    return Say.of("scale.before", calibration=before.id, apart=_percent(um / old - 1))


def _dots(name: str, reading: Graticule, speaker: Speaker) -> Dots:
    most = max(abs(each.left_px) for each in reading.places) or 1.0
    last = reading.places[-1].number
    dots = tuple(
        (round(6 + (WIDE - 12) * each.number / last, 2), round(HIGH / 2 - (HIGH / 2 - 6) * each.left_px / most, 2))
        for each in reading.places
    )
    said = Say.of(
        "scale.read",
        picture=name,
        marks=reading.marks,
        division=Figure(f"{reading.division_px:.3f}"),
        angle=Figure(f"{reading.angle_deg:.2f}°"),
    )
    return Dots(name, said, speaker.number(f"{most:.2g} px"), dots)


def _distortion(made: Calibrated, stated: float | None) -> Iterator[Say]:
    found = made.distortion
    yield Say.of(
        "scale.distortion",
        most=_percent(found.half_width),
        u=_percent(found.most.u),
        reach=Figure(f"{100 * found.reach:.0f} %"),
    )
    if not found.reaches_corners:
        yield Say.of("scale.no_corners")
    if found.exceeds(stated, made.size):
        yield Say.of("scale.carried" if stated is None else "scale.carried_more")
    elif stated is not None:
        yield Say.of("scale.within", stated=_percent(stated))


def _percent(share: float) -> Figure:
    return Figure(f"{'−' if share < 0 else ''}{abs(100 * share):.2f} %")


def _small(share: float) -> str:
    """A share of the scale, in percent."""
    return f"{100 * share:.3f} %" if 100 * share >= 0.0005 else "< 0.001 %"
