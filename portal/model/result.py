"""What was worked out: scales, measurements, verdicts, assessments, coverage, asks."""

from dataclasses import dataclass, field
from typing import Protocol, Union

from portal.model.part import Part
from portal.model.say import Quantity, Say
from portal.model.scalars import Length
from portal.model.standard import Criterion, Limit
from portal.model.terms import Answer, Characteristic, Decision, Drawn, Rank, ShapeKind, VerdictWord


@dataclass(frozen=True, slots=True)
class Calibrated:
    """The calibration of a scope's setting."""

    scope: str
    setting: str
    calibration: str


@dataclass(frozen=True, slots=True)
class FromFile:
    """What a picture's file states of its scale."""

    by: str
    """Where it stands, as in `WrittenScale`."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Micrometres per pixel of the upright picture, with standard uncertainties.

    `u_x` and `u_y` come from one artefact and are taken as fully correlated.
    `tilt_direction` is in the upright picture, degrees from x, clockwise (y down); None where unknown.
    """

    x_um: float
    y_um: float
    u_x_um: float
    u_y_um: float
    given_by: "Calibrated | Length | FromFile"
    """A calibration, the length of a reference that lies in this very picture, or what the picture's file states."""
    return_u: float | None = None
    """Relative standard uncertainty of the zoom's return; None where the scope doesn't state it."""
    distortion: float | None = None
    tilt_deg: float | None = None
    tilt_u_deg: float | None = None
    """Standard uncertainty of the tilt."""
    tilt_direction: float | None = None
    working_distance_um: float | None = None
    held: tuple[Say, ...] = field(default=(), compare=False)
    """What of known length on this picture measured right by it."""


@dataclass(frozen=True, slots=True)
class NoScale:
    """Why a picture has no scale."""

    reason: Say


class Basis:
    """Names of distributions in a budget."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"


@dataclass(frozen=True, slots=True)
class Term:
    """One line of an uncertainty budget: a contribution in the unit of the result (µm, or µm² for an area)."""

    name: str
    """Key of the message catalogue below `term.`: scale, return, parallax, perspective, distortion, pointing,
    pixel, edge, surface, base, greatest, roughness, chords, instrument, repeats; of a calibration: marks, light,
    direction, certificate, square."""
    u: float
    distribution: str = Basis.NORMAL
    dof: float = float("inf")


@dataclass(frozen=True, slots=True)
class Measurement:
    """A value of one characteristic with its uncertainty.

    `value` and `u` in µm (power 1) or µm² (power 2: area); `u` is the combined standard uncertainty,
    `expanded` is U with coverage factor `k` for 95 %.
    """

    characteristic: Characteristic
    value: float
    u: float
    k: float
    dof: float
    terms: tuple[Term, ...]
    how: str
    """`shape` or `gauge`."""
    picture: str | None = None
    """File of the picture on which it was measured."""
    shape: ShapeKind | None = None
    drawn: Drawn | None = None
    instrument: str | None = None
    power: int = 1
    correction: float = 0.0
    """What was taken off the raw value for the upward bias of a greatest-of."""
    scale: Scale | None = None
    index: int = 0
    """Which shape (or gauge reading) of the finding on that picture."""
    trace: tuple[tuple[float, float], ...] = ()
    """What to draw as the dimension, in upright pixels: two ends of the measured distance, if it has any."""

    @property
    def expanded(self) -> float:
        """U = k u."""
        return self.k * self.u

    @property
    def largest(self) -> Term:
        """The largest term of the budget."""
        return max(self.terms, key=lambda term: term.u)


@dataclass(frozen=True, slots=True)
class Unmeasured:
    """A characteristic that was drawn but can't be read, and why."""

    characteristic: Characteristic
    reason: Say
    picture: str | None = None
    shape: ShapeKind | None = None
    index: int = 0


Reading = Union[Measurement, Unmeasured]


@dataclass(frozen=True, slots=True)
class Held:
    """One limit with what was found against it."""

    limit: Limit
    word: VerdictWord
    sentence: Say
    measurement: Measurement | None = None
    probability: float | None = None
    """Conformance probability of the value on this measurement alone; None where there is none."""
    accept_min_um: float | None = None
    """Called conforming from here ..."""
    accept_max_um: float | None = None
    """... up to here."""
    reject_below_um: float | None = None
    reject_above_um: float | None = None
    decision: Decision = Decision.GUARDED
    reason: Say | None = None
    """The short reason of `not judged` or `undecided`, where it isn't the measurement's own."""


@dataclass(frozen=True, slots=True)
class CountedOn:
    """A picture on which findings were counted together, and what that rests on."""

    picture: str
    digest: str
    """Of the picture and of every finding that was counted there."""
    scale: Scale | None


@dataclass(frozen=True, slots=True)
class Applied:
    """A criterion with where it stands."""

    criterion: Criterion
    rank: Rank
    standard: str | None
    """`<slug>/<revision>`, or None for the part's own."""
    file: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict on a finding: its word, the key of its reason, and its sentence."""

    word: VerdictWord
    key: str
    sentence: Say
    reason: Say | None = None
    """Short reason, for `not judged` and `undecided`."""


@dataclass(frozen=True, slots=True)
class Ask:
    """A proposed ask: one thing, about one or more findings."""

    key: str
    """`does-not-conform`, `undecided`, `not-agreed`, `not-judged` ... decides what can be answered."""
    question: Say
    answers: tuple[Answer, ...]
    findings: tuple[str, ...]
    cavities: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Worked:
    """What stands behind a verdict: asked for where the finding itself is shown, and most of what is held of it."""

    readings: tuple[Reading, ...] = ()
    held: tuple[Held, ...] = ()
    counted_on: tuple[CountedOn, ...] = ()

    @property
    def characteristics(self) -> frozenset[Characteristic]:
        """Of what there are readings."""
        return frozenset(reading.characteristic for reading in self.readings)


class Later(Protocol):
    """The same, folded away; who asks again soon gets the very same records."""

    @property
    def characteristics(self) -> frozenset[Characteristic]:
        """Of what there are readings, told without unfolding it."""

    def unfolded(self) -> Worked:
        """It."""


@dataclass(frozen=True, slots=True)
class Assessment:
    """All that was worked out about one finding."""

    finding: str
    part: str | None
    mould: str
    trial: str
    cavity: str | None
    picture: str
    verdict: Verdict
    behind: Worked | Later = Worked()
    applied: Applied | None = None
    set_aside: tuple[Applied, ...] = ()
    concern: str | None = None
    """`function`, `contamination` or `injury` where the class, the zone or the criterion says so."""
    stricter_of: tuple[str, ...] = ()
    """Zones between which the finding lies, where it crosses a border."""

    @property
    def worked(self) -> Worked:
        """What stands behind its verdict."""
        return self.behind if isinstance(self.behind, Worked) else self.behind.unfolded()

    @property
    def readings(self) -> tuple[Reading, ...]:
        """What was measured, or why it wasn't."""
        return self.worked.readings

    @property
    def characteristics(self) -> frozenset[Characteristic]:
        """What was measured, or should have been."""
        return self.behind.characteristics

    @property
    def held(self) -> tuple[Held, ...]:
        """Each limit with what was found against it."""
        return self.worked.held

    @property
    def counted_on(self) -> tuple[CountedOn, ...]:
        """Where it was counted together with others, if its criterion counts."""
        return self.worked.counted_on

    def measured(self) -> tuple[Measurement, ...]:
        """The readings that have a value."""
        return tuple(reading for reading in self.readings if isinstance(reading, Measurement))


@dataclass(frozen=True, slots=True)
class SheetFrame:
    """One frame of the cavity × view sheet: what was looked at, what was found, what is missing."""

    cavity: str
    view: str
    required: int
    pictures: tuple[str, ...]
    looked: tuple[str, ...]
    """Files that say `looked at, nothing seen`."""
    findings: tuple[str, ...]
    missing: int
    """Shots still to be looked at."""
    reason: str = ""
    """`picture` where a view needs a picture always and has none; else empty."""


@dataclass(frozen=True, slots=True)
class Fineness:
    """What a setting of a microscope, as calibrated on some day, is expected to come to for one agreed length."""

    scope: str
    setting: str
    calibration: str
    length_um: float
    expanded_um: float | None
    """U of such a length between sharp edges; None where it doesn't fit the picture."""


@dataclass(frozen=True, slots=True)
class CheckResult:
    """What a check picture of the graticule came to."""

    scope: str
    setting: str
    index: int
    """Which of the setting's checks."""
    agrees: bool | None
    """None where it says nothing."""
    measured: Quantity | None
    reason: Say | None
    """Why it says nothing."""


@dataclass(frozen=True, slots=True)
class RollUp:
    """What a cavity or a trial comes to."""

    word: VerdictWord
    sentence: Say


@dataclass(frozen=True, slots=True)
class TrialResult:
    """A trial for one part: its sheet, its cavities, the whole."""

    part: Part
    mould: str
    trial: str
    sheet: tuple[SheetFrame, ...]
    cavities: dict[str, RollUp]
    whole: RollUp
    assessments: tuple[Assessment, ...]
    asks: tuple[Ask, ...]

    @property
    def written(self) -> frozenset[tuple[str, str]]:
        """Picture and id of each of its findings."""
        return frozenset((each.picture, each.finding) for each in self.assessments)
