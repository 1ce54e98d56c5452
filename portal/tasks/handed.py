"""From what was gathered to what one audience is handed, and to what its pages are made from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from portal import __version__
from portal.assess.fineness import fineness
from portal.assess.graticule import check_results
from portal.assess.scales import scales
from portal.model.audience import for_audience, hand_over
from portal.model.catalogue import Catalogue
from portal.model.picture import Facts, PictureUnreadable
from portal.model.result import CheckResult, NoScale, Scale
from portal.model.terms import SHOP
from portal.problem import PortalError, Problem, did_you_mean
from portal.site.inputs import SiteInput
from portal.tasks.gather import Gathered, picture_files
from portal.tasks.recorded import Recorded

_NOTHING_RECORDED = Recorded()


@dataclass(frozen=True)
class Handed(Gathered):
    """What pages are made from for one audience."""

    scales: Mapping[str, Scale | NoScale]
    checks: tuple[CheckResult, ...]
    """What the check pictures of the graticule came to."""


def handed_over(gathered: Gathered, audience: str) -> Handed:
    """What that audience may see: the shop all, a customer their part of what was worked out on the whole."""
    known = vars(gathered)
    whole = scales(gathered.catalogue, gathered.facts)
    checks = check_results(gathered.catalogue, gathered.facts)
    if audience == SHOP:
        return Handed(**known, scales=whole, checks=checks)
    _refuse_unknown(gathered, audience)
    theirs = for_audience(gathered.catalogue, audience)
    files = picture_files(theirs)
    own = {
        "catalogue": theirs,
        "facts": {file: gathered.facts[file] for file in files if file in gathered.facts} | _unsure(theirs),
        "results": hand_over(gathered.results, theirs, audience),
    }
    return Handed(**known | own, scales={file: whole[file] for file in files if file in whole}, checks=checks)


def site_input(
    handed: Handed,
    *,
    problems: Sequence[Problem],
    audience: str,
    as_of: date,
    recorded: Recorded = _NOTHING_RECORDED,
) -> SiteInput:
    """What pages are made from."""
    return SiteInput(
        catalogue=handed.catalogue,
        audience=audience,
        results=handed.results,
        facts={**handed.facts, **recorded.facts},
        scales=handed.scales,
        problems=tuple(problems) if audience == SHOP else (),
        as_of=as_of,
        version=__version__,
        fineness=fineness(handed.catalogue, handed.checks, day=as_of),
        checks=handed.checks,
        logs=recorded.logs,
        stored=recorded.stored,
        closed=recorded.closed,
        bases=recorded.bases,
    )


def _unsure(theirs: Catalogue) -> dict[str, Facts]:
    """Pictures whose tag can't be read: what of them nobody else may see isn't known, so nothing of them leaves."""
    why = PictureUnreadable("its tag can't be read, so it isn't known what has to be blacked out", "mend the tag")
    pictures = (picture for _, trial in theirs.trials() for picture in trial.pictures)
    return {picture.file: why for picture in pictures if picture.tag_broken is not None}


def _refuse_unknown(gathered: Gathered, customer: str) -> None:
    broken = gathered.catalogue.broken.get(("customer", customer))
    if broken is not None:
        raise PortalError(f"customer `{customer}` can't be read: {broken}", problems=gathered.reading.problems)
    if customer not in gathered.catalogue.customers:
        raise PortalError(
            f"there is no customer `{customer}`", hint=did_you_mean(customer, gathered.catalogue.customers), code=2
        )
