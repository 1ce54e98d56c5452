"""The digest of what every finding rests on today."""

from collections.abc import Mapping

from portal.model.basis import basis_digest
from portal.tasks.gather import Gathered


def bases(gathered: Gathered) -> Mapping[tuple[str, str], str]:
    """By part and finding id: the digest that an ask, a review and an answer are bound to."""
    found = {(each.picture.file, each.finding.id): each for each in gathered.catalogue.findings()}
    return {
        (result.part.id, each.finding): basis_digest(found[each.picture, each.finding], each, gathered.catalogue)
        for result in gathered.results
        for each in result.assessments
    }
