"""What `portal check` warns of: inspectors whose tests or training had lapsed, limit samples that no longer fit."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.assess.finding import applied_to
from portal.assess.placed import cavity_of, every_placed
from portal.model.catalogue import Catalogue, Found
from portal.model.inspectors import lapsed
from portal.model.otherwise import agreed_otherwise
from portal.model.part import Part, Zone
from portal.model.result import Applied
from portal.problem import FieldPath, Problem
from portal.site.words import Speaker
from portal.tasks.gather import Surveyed

_SPEAKER = Speaker("en", "mm", lambda defect: defect)
_HINT = "renew the test or the training and write it here, or have somebody else look again"
_AGREE = "agree a new sample, or name the one that replaces it"


@dataclass(frozen=True, slots=True)
class _Doubt:
    """What is said of a limit sample, and where it was agreed otherwise, for what its criterion judges."""

    sample: str
    judged_for: str = ""


def of_people(gathered: Surveyed) -> Iterator[Problem]:
    """Each lapse once for each trial, where the person stands."""
    shop = gathered.catalogue.shop
    for here in every_placed(gathered.catalogue, gathered.facts):
        for each in lapsed(here.part, here.trial, here.written, gathered.catalogue):
            path = ("people", each.by, each.field)
            said = _SPEAKER.say(each.said(shop.people[each.by].name))
            where = f"{here.part.id}, {here.mould.id} {here.trial.id}"
            line = gathered.reading.places.line(shop.file, path)
            yield Problem(shop.file, line, ".".join(path), f"{where}: {said}", _HINT, warning=True)


def of_samples(gathered: Surveyed) -> Iterator[Problem]:
    """Each limit sample that had expired, was replaced or was agreed otherwise, where a used criterion names it."""
    used: dict[tuple[str, FieldPath, _Doubt], list[str]] = {}
    catalogue = gathered.catalogue
    for found in catalogue.findings() if _may_be_doubtful(catalogue) else ():
        applied = applied_to(found, gathered.facts, catalogue)
        if applied is None:
            continue
        for name in applied.criterion.sample_ids:
            for said in _doubts(gathered, name, found, applied):
                at = (applied.file, _path(gathered, applied, name), said)
                used.setdefault(at, []).append(found.finding.id)
    for (file, path, said), findings in used.items():
        told = ", ".join(dict.fromkeys(findings))
        message = (
            f"{said.sample}, and is used for {told}, judged for `{said.judged_for}`"
            if said.judged_for
            else f"{said.sample}, and is used for {told} after that"
        )
        line = gathered.reading.places.line(file, path)
        yield Problem(file, line, ".".join(path), message, _AGREE, warning=True)


def _may_be_doubtful(catalogue: Catalogue) -> bool:
    """Whether any sample can be doubtful for anything: only then it is worth asking which criteria apply."""
    samples = catalogue.limit_samples
    if any(each.expires or each.replaced_by for each in samples.values()):
        return True
    parts = (each for part in catalogue.parts.values() for each in part.criteria)
    standards = (one for known in catalogue.standards.values() for each in known.values() for one in each.criteria)
    named = ((one, samples[name]) for one in (*parts, *standards) for name in one.sample_ids if name in samples)
    return any(one.zone or any(agreed_otherwise(sample, one, None)) for one, sample in named)


def _doubts(gathered: Surveyed, name: str, found: Found, applied: Applied) -> Iterator[_Doubt]:
    """What makes a limit sample doubtful for a finding."""
    said = _doubt(gathered, name, found.finding.at.day)
    if said:
        yield _Doubt(said)
    sample = gathered.catalogue.limit_samples.get(name)
    part = gathered.catalogue.parts.get(gathered.catalogue.part_of(found.mould, cavity_of(found)) or "")
    for other in agreed_otherwise(sample, applied.criterion, _zone(part, found)) if sample else ():
        what = "condition" if other.what == "condition" else "zone class"
        said = f"limit sample `{name}` was agreed for {what} `{other.sample}`"
        yield _Doubt(said, other.criterion)


def _zone(part: Part | None, found: Found) -> Zone | None:
    return part.zones.get(found.finding.zone) if part else None


def _doubt(gathered: Surveyed, name: str, day: date) -> str | None:
    """What made a limit sample doubtful on that day."""
    samples = gathered.catalogue.limit_samples
    sample = samples.get(name)
    if sample and sample.expires and sample.expires < day:
        return f"limit sample `{name}` expired on {sample.expires}"
    other = samples.get(sample.replaced_by or "") if sample else None
    if other is not None:
        since = max(other.agreed.shop.date, other.agreed.customer.date)
        return f"limit sample `{name}` was replaced by `{other.id}` on {since}" if since <= day else None
    return None


def _path(gathered: Surveyed, applied: Applied, sample: str) -> FieldPath:
    """Where a criterion names a sample."""
    catalogue = gathered.catalogue
    owners = {part.file: part.criteria for part in catalogue.parts.values()}
    for revisions in catalogue.standards.values():
        owners |= {standard.file: standard.criteria for standard in revisions.values()}
    number = owners[applied.file].index(applied.criterion)
    pair = applied.criterion.limit_samples
    side = "last_good" if pair and pair.last_good == sample else "first_bad"
    return ("criteria", str(number), "limit_samples", side)
