"""What pages are made from, and what a page is."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from portal.model.catalogue import Catalogue
from portal.model.picture import Facts
from portal.model.result import Fineness, NoScale, Scale, TrialResult
from portal.problem import Problem


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


@dataclass(frozen=True, slots=True)
class Page:
    """One file of the site: its path below the site's folder, and its bytes."""

    path: str
    body: bytes
