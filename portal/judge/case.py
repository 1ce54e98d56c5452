"""What is known of one finding in one zone when it is judged, and what comes out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from portal.judge.criteria import Broken, Choice
from portal.model.part import Zone
from portal.model.result import Held, Reading, Verdict
from portal.model.sample import LimitSample
from portal.model.say import Say
from portal.model.standard import Criterion, DefectClass
from portal.model.tag import Finding
from portal.model.terms import VerdictWord


@dataclass(frozen=True, slots=True)
class Case:
    """A finding in one zone, with the criterion chosen for it and what was measured."""

    finding: Finding
    defect: DefectClass
    zone_name: str
    zone: Zone | None
    choice: Choice
    readings: tuple[Reading, ...]
    customer: str
    """Slug of the part's customer."""
    day: date
    """The trial's date: what had expired by then is warned of."""
    samples: Mapping[str, LimitSample] = field(default_factory=dict)
    broken: Broken = field(default_factory=dict)
    counted: tuple[Held, ...] = ()
    """What the criterion's counts and spacing come to for the group that the finding belongs to."""


@dataclass(frozen=True, slots=True)
class Judged:
    """The verdict on a case, each limit with what was held against it, and what else it may touch."""

    verdict: Verdict
    held: tuple[Held, ...] = ()
    concern: str | None = None


@dataclass(frozen=True, slots=True)
class Ruling:
    """A case with its criterion at hand, agreed by somebody."""

    case: Case
    criterion: Criterion
    concern: str | None


def decided(word: VerdictWord, sentence: Say, *, reason: Say | None = None) -> Verdict:
    """A verdict whose key is the stem of its sentence's key: `verdict.undecided` of `verdict.undecided.even`."""
    return Verdict(word, ".".join(sentence.key.split(".")[:2]), sentence, reason)


def not_judged(sentence: Say, reason: Say) -> Verdict:
    """No verdict, with its reason."""
    return decided(VerdictWord.NOT_JUDGED, sentence, reason=reason)
