"""What `portal check` warns of: inspectors whose tests or training had lapsed, limit samples used after their day."""

from collections.abc import Iterator
from datetime import date

from portal.model.inspectors import lapsed
from portal.model.result import Applied
from portal.problem import FieldPath, Problem
from portal.site.words import Speaker
from portal.tasks.gather import Gathered

_SPEAKER = Speaker("en", "mm", lambda defect: defect)
_HINT = "renew the test or the training and write it here, or have somebody else look again"
_AGREE = "agree a new sample, or name the one that replaces it"


def of_people(gathered: Gathered) -> Iterator[Problem]:
    """Each lapse once for each trial, where the person stands."""
    shop = gathered.catalogue.shop
    for result in gathered.results:
        for each in lapsed(result, gathered.catalogue):
            path = ("people", each.by, each.field)
            said = _SPEAKER.say(each.said(shop.people[each.by].name))
            where = f"{result.part.id}, {result.mould} {result.trial}"
            line = gathered.reading.places.line(shop.file, path)
            yield Problem(shop.file, line, ".".join(path), f"{where}: {said}", _HINT, warning=True)


def of_samples(gathered: Gathered) -> Iterator[Problem]:
    """Each limit sample that had expired or was replaced when a finding was made, where its criterion names it."""
    days = {(each.picture.file, each.finding.id): each.finding.at.day for each in gathered.catalogue.findings()}
    used: dict[tuple[str, FieldPath, str], list[str]] = {}
    for result in gathered.results:
        for each in result.assessments:
            for name in each.applied.criterion.sample_ids if each.applied else ():
                said = _doubt(gathered, name, days[each.picture, each.finding])
                if said and each.applied:
                    at = (each.applied.file, _path(gathered, each.applied, name), said)
                    used.setdefault(at, []).append(each.finding)
    for (file, path, said), findings in used.items():
        message = f"{said}, and is used for {', '.join(dict.fromkeys(findings))} after that"
        line = gathered.reading.places.line(file, path)
        yield Problem(file, line, ".".join(path), message, _AGREE, warning=True)


def _doubt(gathered: Gathered, name: str, day: date) -> str | None:
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


def _path(gathered: Gathered, applied: Applied, sample: str) -> FieldPath:
    """Where a criterion names a sample."""
    catalogue = gathered.catalogue
    owners = {part.file: part.criteria for part in catalogue.parts.values()}
    for revisions in catalogue.standards.values():
        owners |= {standard.file: standard.criteria for standard in revisions.values()}
    number = owners[applied.file].index(applied.criterion)
    pair = applied.criterion.limit_samples
    side = "last_good" if pair and pair.last_good == sample else "first_bad"
    return ("criteria", str(number), "limit_samples", side)
