"""What pages are made from, and what a page is."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from portal.model.catalogue import Catalogue
from portal.model.logstate import LogState, ReviewState
from portal.model.picture import Facts
from portal.model.result import CheckResult, Fineness, NoScale, Scale, TrialResult
from portal.model.shown import Sent, Shown
from portal.problem import Problem
from portal.site.paper import Paper


class Harm(StrEnum):
    """What became of a file of a sent review."""

    GONE = "isn't there"
    CHANGED = "was changed since it was sent"
    UNREADABLE = "can't be read by this version"
    ANOTHER = "isn't the picture that was sent"


@dataclass(frozen=True, slots=True)
class Stored:
    """A sent review with what is kept of all that it showed."""

    state: ReviewState
    sent: Sent
    shown: Shown | None
    """None where it isn't there as it was sent."""
    pictures: Mapping[str, str]
    """Its pictures that are there as they were sent: path within the catalogue by SHA-256."""
    wrong: tuple[tuple[str, Harm], ...] = ()
    """Each file that isn't there as it was sent, and what became of it."""


@dataclass(frozen=True)
class SiteInput:
    """All that a site says: the records, what was worked out from them, and the day it is read on."""

    catalogue: Catalogue
    audience: str
    """`shop` or a customer's slug."""
    results: tuple[TrialResult, ...]
    """Every part's every trial, from old to new."""
    facts: Mapping[str, Facts]
    scales: Mapping[str, Scale | NoScale]
    problems: tuple[Problem, ...]
    as_of: date
    version: str
    fineness: tuple[Fineness, ...] = ()
    """What the microscopes' settings come to on that day."""
    checks: tuple[CheckResult, ...] = ()
    """What their check pictures came to."""
    logs: Mapping[str, LogState] = field(default_factory=dict)
    """What each part's log comes to, as far as this audience sees it."""
    stored: Mapping[str, tuple[Stored, ...]] = field(default_factory=dict)
    """Each part's sent reviews, in the order in which they were sent."""
    closed: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """By part: the asks for which nobody owes anything any more."""
    bases: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """By part and finding: the digest of what it rests on today, of parts with a log."""


@dataclass(frozen=True, slots=True)
class Page:
    """One file of the site: its path below the site's folder, and its bytes."""

    path: str
    paper: Paper
    pieces: tuple["Piece", ...] = ()
    """The cards in it, which may be used again."""
    parts: frozenset[str] | None = None
    """The parts that hang together of which it tells; None where it tells of the catalogue as a whole."""

    @property
    def body(self) -> bytes:
        """Its bytes, all at once: those who look at large pages take `paper` a run of lines at a time."""
        return self.paper.read()


@dataclass(frozen=True, slots=True)
class Piece:
    """The card of a finding within a page, in bytes."""

    picture: str
    finding: str
    start: int
    length: int
