"""References, checked after everything is read; what is broken itself sets off no second problem."""

from portal.catalog.links.part import check_part, check_replacements, check_sample
from portal.catalog.links.point import to_revision
from portal.catalog.links.scope import check_scope
from portal.catalog.links.standard import check_standard
from portal.catalog.links.tag import check_also, check_ids, check_tag
from portal.catalog.links.trial import check_mould, check_trial, looked_name
from portal.catalog.shelf import Shelf

__all__ = ["check_links", "looked_name"]


def check_links(shelf: Shelf) -> None:
    """Every reference of every sound record."""
    _check_training(shelf)
    for revisions in shelf.standards.values():
        for standard in revisions.values():
            check_standard(shelf, standard)
    for scope in shelf.scopes.values():
        check_scope(shelf, scope)
    for part in shelf.parts.values():
        check_part(shelf, part)
    for sample in shelf.limit_samples.values():
        check_sample(shelf, sample)
    check_replacements(shelf)
    for mould in shelf.moulds.values():
        check_mould(shelf, mould)
    _check_trials(shelf)


def _check_trials(shelf: Shelf) -> None:
    for folder in shelf.trials:
        check_trial(shelf, folder)
        for tag in folder.tags:
            check_tag(shelf, folder, tag)
        check_also(shelf, folder)
    check_ids(shelf)


def _check_training(shelf: Shelf) -> None:
    for key, person in shelf.shop.people.items() if shelf.shop else ():
        for index, training in enumerate(person.trained or ()):
            path = ("people", key, "trained", str(index))
            to_revision(shelf, "catalog.yaml", (*path, "standard"), training.standard, training.revision)
