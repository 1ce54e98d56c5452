"""What `portal check` warns of: inspectors whose tests or training had lapsed, limit samples used after their day."""

from collections.abc import Iterator
from datetime import date

from portal.assess.finding import applied_to
from portal.assess.placed import every_placed
from portal.model.inspectors import lapsed
from portal.model.result import Applied
from portal.problem import FieldPath, Problem
from portal.site.words import Speaker
from portal.tasks.gather import Surveyed

_SPEAKER = Speaker("en", "mm", lambda defect: defect)
_HINT = "renew the test or the training and write it here, or have somebody else look again"
_AGREE = "agree a new sample, or name the one that replaces it"


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
    """Each limit sample that had expired or was replaced when a finding was made, where its criterion names it."""
    used: dict[tuple[str, FieldPath, str], list[str]] = {}
    catalogue = gathered.catalogue
    doubtful = {each.id for each in catalogue.limit_samples.values() if each.expires or each.replaced_by}
    for found in catalogue.findings() if doubtful else ():
        applied = applied_to(found, gathered.facts, catalogue)
        for name in applied.criterion.sample_ids if applied else ():
            said = _doubt(gathered, name, found.finding.at.day)
            if said and applied:
                at = (applied.file, _path(gathered, applied, name), said)
                used.setdefault(at, []).append(found.finding.id)
    for (file, path, said), findings in used.items():
        message = f"{said}, and is used for {', '.join(dict.fromkeys(findings))} after that"
        line = gathered.reading.places.line(file, path)
        yield Problem(file, line, ".".join(path), message, _AGREE, warning=True)


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
