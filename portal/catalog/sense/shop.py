"""The shop, its customers and the defect classes: what each alone can get wrong."""

import re
import zoneinfo

from portal.catalog.sense.remark import Remark, Remarks, each_once
from portal.model.shop import Customer, Shop
from portal.model.standard import DefectClass
from portal.model.terms import SHOP

_NAME_PARTS = ("mould", "trial", "cavity", "shot", "view")


def of_shop(shop: Shop) -> Remarks:
    """Time zone, languages, the pattern of file names."""
    if not _is_zone(shop.time_zone):
        yield Remark(("time_zone",), f"`{shop.time_zone}` is no time zone; write it as `Europe/Vienna`")
    if not shop.languages:
        yield Remark(("languages",), "at least one language is needed")
    yield from each_once(("languages",), shop.languages, "language")
    for part in re.findall(r"\{([^{}]*)\}", shop.file_names or ""):
        if part not in _NAME_PARTS:
            known = ", ".join(f"`{{{name}}}`" for name in _NAME_PARTS)
            yield Remark(("file_names",), f"`{{{part}}}` is not one of {known}")


def _is_zone(name: str) -> bool:
    try:
        zoneinfo.ZoneInfo(name)
    except (ValueError, OSError, zoneinfo.ZoneInfoNotFoundError):
        return False
    return True


def of_customer(customer: Customer) -> Remarks:
    """How many names a customer can ask for; a reviewer's name once."""
    if customer.id.casefold() == SHOP:
        yield Remark((), "a customer can't be called `shop`; that word means the shop itself", "rename the file")
    if customer.names_needed not in (1, 2):
        yield Remark(("names_needed",), f"`{customer.names_needed}` has to be 1 or 2")
    names = (reviewer.name for reviewer in customer.reviewers)
    yield from each_once(("reviewers",), names, "reviewer", key="name")


def of_defect(defect: DefectClass) -> Remarks:
    """A term in at least one language."""
    if not defect.terms:
        yield Remark(("terms",), "a term in at least one language is needed, as `en: [sink mark]`")
    for language, words in defect.terms.items():
        if not words:
            yield Remark(("terms", language), "at least one term is needed, or leave the language out")
