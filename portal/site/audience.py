"""The one place that decides what an audience sees."""

from collections.abc import Collection

from portal.model.shop import Shared
from portal.model.terms import SHOP


def may_show(what: Shared, *, audience: str, shared: Collection[Shared]) -> bool:
    """Whether that audience sees such a thing: the shop everything, a customer what the shop shares."""
    return audience == SHOP or what in shared
