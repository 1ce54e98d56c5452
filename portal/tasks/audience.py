"""The pages that may be written for one audience."""

from collections.abc import Callable, Iterator
from pathlib import Path

from portal.model.logaudience import told_by_customer
from portal.model.terms import SHOP
from portal.problem import PortalError
from portal.site.inputs import Page, SiteInput
from portal.site.plan import plan
from portal.site.reuse import Reuse
from portal.tasks.gather import Gathered
from portal.tasks.leaks import refuse_strange_pictures, refuse_strange_words, rules_for
from portal.tasks.pages import DerivedPictures, pages


def pages_for(
    gathered: Gathered,
    site: SiteInput,
    derived: DerivedPictures,
    *,
    refused: Callable[[], None],
    reuse: Reuse | None = None,
    aside: Path | None = None,
) -> Iterator[Page]:
    """The pages of a site that don't hold any more; for a customer all of them are made and searched before the first
    is given away."""
    if site.audience == SHOP:
        yield from pages(site, derived, reuse, aside)
        return
    try:
        made = tuple(pages(site, derived, reuse, aside))
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
