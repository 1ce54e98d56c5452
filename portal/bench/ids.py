"""New ids of findings: four characters of Crockford's base 32, not used anywhere yet."""

import re
import secrets
from collections.abc import Collection

from portal.bench.refused import Refused
from portal.model.catalogue import Catalogue

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Crockford's base 32: no I, L, O or U."""
SHAPE = "^[A-Z](?=.*[0-9])"
"""A letter first and a digit in it, so that it is taken for no number and no word; also a pattern of the browser's."""


def used_in(catalogue: Catalogue) -> set[str]:
    """Every id that a tag names; more than those of one part, which does no harm."""
    tags = (picture.tag for _, trial in catalogue.trials() for picture in trial.pictures if picture.tag)
    return {id_ for tag in tags for id_ in (*(each.id for each in tag.findings), *(each.finding for each in tag.also))}


def new_id(used: Collection[str]) -> str:
    """An id that isn't among those."""
    for _ in range(10_000):
        made = "".join(secrets.choice(LETTERS) for _ in range(4))
        if made not in used and re.match(SHAPE, made):
            return made
    raise Refused("refused.no_id")
