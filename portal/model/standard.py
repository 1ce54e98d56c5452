"""Defect classes, visual standards, conditions, criteria."""

from typing import Annotated

from pydantic import Field

from portal.model.base import FROM_PATH, Record
from portal.model.scalars import AngleField, AreaField, Day, Length, LengthField, Number, Text, Whole, YesNo
from portal.model.terms import SHOP, Characteristic, Concern, Decision, Edge, Prevails, Rank, Rule, Severity


class DefectClass(Record):
    """`defects/<slug>.md`: the catalogue's term for one kind of cosmetic defect."""

    format: Whole
    terms: dict[str, tuple[Text, ...]]
    """By language; the first of a language is the term, the others are synonyms."""
    edge: Edge = Edge.SHARP
    concern: Concern | None = None
    look: Text | None = None
    causes: Text | None = None
    hazards: Text | None = None
    source: Text | None = None
    checked_by: Text | None = None
    """Who checked the terms; where nobody did, a page says so."""
    prose: Annotated[str, FROM_PATH] = ""
    id: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]

    def term(self, language: str = "en") -> str:
        """The term in that language, else in English, else in the first language given."""
        words = self.terms.get(language) or self.terms.get("en") or next(iter(self.terms.values()))
        return words[0]


class Light(Record):
    """The light of a condition."""

    kind: Text
    angle: AngleField | None = None
    illuminance: Text | None = None


class Condition(Record):
    """How a piece is looked at: an agreed, named record."""

    instrument: Text
    magnification: Number | None = None
    """Total visual magnification; none where the eye is unaided."""
    light: Light
    distance: LengthField | None = None
    time: Text | None = None
    background: Text | None = None
    turn: YesNo | None = None
    state: Text | None = None


class Limit(Record):
    """An agreed limit of one characteristic."""

    characteristic: Characteristic
    max: LengthField | None = None
    min: LengthField | None = None

    def allows(self, um: float) -> bool:
        """Whether a value in µm lies within it, ends included; nothing is said of its uncertainty."""
        return (self.max is None or um <= self.max.um) and (self.min is None or um >= self.min.um)


class LimitSamples(Record):
    """The pair that a criterion points at."""

    last_good: Text | None = None
    first_bad: Text | None = None


class CountBand(Record):
    """How many are allowed in a band of sizes; both ends belong to it.

    Sizes are mean diameters (`from`, `to`) or areas (`from_area`, `to_area`). `per` is `part`, `zone`, or a circle of
    a diameter, wherever it lies.
    """

    from_: LengthField | None = Field(default=None, alias="from")
    to: LengthField | None = None
    from_area: AreaField | None = None
    to_area: AreaField | None = None
    max: Whole
    per: Text | dict[str, LengthField]
    together_with: tuple[Text, ...] = ()
    """Other defect classes whose pieces are counted in: a total over classes."""

    @property
    def circle(self) -> Length | None:
        """The diameter of the circle in which it counts; None where it counts in a zone or on the part."""
        return None if isinstance(self.per, str) else self.per.get("circle")

    @property
    def is_sized(self) -> bool:
        """Whether only pieces of certain sizes count."""
        return any(each is not None for each in (self.from_, self.to, self.from_area, self.to_area))


class Source(Record):
    """Where a criterion comes from."""

    document: Text
    revision: Text | None = None
    note: Text | None = None


class Agreement(Record):
    """Who agreed, and when."""

    party: Text
    by: Text
    date: Day


class Criterion(Record):
    """What is agreed for one defect class in one zone class (or zone) under one condition."""

    id: Text
    revision: Text
    rank: Rank | None = None
    defect: Text
    zone_class: Text | None = None
    zone: Text | None = None
    condition: Text
    severity: Severity
    rule: Rule
    limits: tuple[Limit, ...] = ()
    count: tuple[CountBand, ...] = ()
    spacing: LengthField | None = None
    smallest_counted: LengthField | None = None
    line_if_longer_than_twice_width: YesNo | None = None
    edge_drawn: Text | None = None
    limit_samples: LimitSamples | None = None
    prevails: Prevails | None = None
    decision: Decision = Decision.GUARDED
    concern: Concern | None = None
    decided_by: Text | None = None
    """The role that decides what pictures can't show, where it touches more than the look."""
    source: Source
    agreed: Agreement | None = None

    @property
    def sample_ids(self) -> tuple[str, ...]:
        """The ids of its limit samples, last good first."""
        pair = self.limit_samples
        return tuple(each for each in (pair.last_good, pair.first_bad) if each) if pair else ()

    def concerns(self, customer: str) -> bool:
        """Whether it can rule for that customer's parts: what another customer agreed is no agreement of theirs."""
        return self.agreed is None or self.agreed.party in (SHOP, customer)


class VisualStandard(Record):
    """`standards/<slug>/<revision>.yaml`: one revision; every revision stays."""

    format: Whole
    name: Text
    effective: Day
    owner: Text
    """`shop` or a customer's slug."""
    zone_classes: dict[str, Text]
    conditions: dict[str, Condition]
    criteria: tuple[Criterion, ...]
    id: Annotated[str, FROM_PATH]
    revision: Annotated[str, FROM_PATH]
    file: Annotated[str, FROM_PATH]
