"""From what was gathered to what one audience is handed, and the pages that may be written for it."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from portal.model.audience import for_audience, hand_over
from portal.model.catalogue import Catalogue
from portal.model.logaudience import told_by_customer
from portal.model.picture import Facts, PictureUnreadable
from portal.model.terms import SHOP
from portal.problem import PortalError, did_you_mean
from portal.site.inputs import Page, SiteInput
from portal.site.plan import plan
from portal.site.reuse import Reuse
from portal.tasks.gather import Gathered, picture_files
from portal.tasks.leaks import refuse_strange_pictures, refuse_strange_words, rules_for
from portal.tasks.pages import DerivedPictures, pages


def handed_over(gathered: Gathered, audience: str) -> Gathered:
    """What that audience may see: the shop all, a customer their part of what was worked out on the whole."""
    if audience == SHOP:
        return gathered
    _refuse_unknown(gathered, audience)
    theirs = for_audience(gathered.catalogue, audience)
    files = picture_files(theirs)
    return replace(
        gathered,
        catalogue=theirs,
        facts={file: gathered.facts[file] for file in files if file in gathered.facts} | _unsure(theirs),
        scales={file: gathered.scales[file] for file in files if file in gathered.scales},
        results=hand_over(gathered.results, theirs, audience),
    )


def _unsure(theirs: Catalogue) -> dict[str, Facts]:
    """Pictures whose tag can't be read: what of them nobody else may see isn't known, so nothing of them leaves."""
    why = PictureUnreadable("its tag can't be read, so it isn't known what has to be blacked out", "mend the tag")
    pictures = (picture for _, trial in theirs.trials() for picture in trial.pictures)
    return {picture.file: why for picture in pictures if picture.tag_broken is not None}


def pages_for(
    gathered: Gathered,
    site: SiteInput,
    derived: DerivedPictures,
    *,
    refused: Callable[[], None],
    reuse: Reuse | None = None,
) -> Iterator[Page]:
    """The pages of a site that don't hold any more; for a customer all of them are made and searched before the first
    is given away."""
    if site.audience == SHOP:
        yield from pages(site, derived, reuse)
        return
    try:
        made = tuple(pages(site, derived, reuse))
        refuse_strange_words(gathered, site.catalogue, site.audience, made, told=_told(site))
    except PortalError:
        refused()
        raise
    yield from made


def rules_of(gathered: Gathered, site: SiteInput) -> str:
    """A digest of what this audience's pages are searched for before they are written."""
    return "" if site.audience == SHOP else rules_for(gathered, site.audience, _told(site))


def _told(site: SiteInput) -> list[str]:
    return [text for state in site.logs.values() for text in told_by_customer(state)]


def refuse_pictures(gathered: Gathered, site: SiteInput) -> None:
    """Stop where a customer's pages want a picture that isn't theirs, be it that of a page that holds."""
    if site.audience != SHOP:
        refuse_strange_pictures(gathered, site.catalogue, site.audience, plan(site))


def _refuse_unknown(gathered: Gathered, customer: str) -> None:
    broken = gathered.catalogue.broken.get(("customer", customer))
    if broken is not None:
        raise PortalError(f"customer `{customer}` can't be read: {broken}", problems=gathered.reading.problems)
    if customer not in gathered.catalogue.customers:
        raise PortalError(
            f"there is no customer `{customer}`", hint=did_you_mean(customer, gathered.catalogue.customers), code=2
        )
