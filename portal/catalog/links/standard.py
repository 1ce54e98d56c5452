"""What standards and criteria name: owners, defect classes, zone classes, conditions, limit samples."""

from collections.abc import Collection

from portal.catalog.links.point import to_customer, to_one_of, to_record
from portal.catalog.shelf import Shelf
from portal.model.sample import Side
from portal.model.scalars import Length
from portal.model.standard import Criterion, Limit, VisualStandard
from portal.problem import FieldPath


def check_standard(shelf: Shelf, standard: VisualStandard) -> None:
    """One revision of a standard."""
    to_customer(shelf, standard.file, ("owner",), standard.owner, or_shop=True)
    named = f"of standard `{standard.id}` rev {standard.revision}"
    for index, criterion in enumerate(standard.criteria):
        path = ("criteria", str(index))
        check_criterion(shelf, standard.file, path, criterion)
        if criterion.zone_class is not None:
            at = (*path, "zone_class")
            what = f"not a zone class {named}"
            to_one_of(shelf, standard.file, at, criterion.zone_class, standard.zone_classes, what)
        check_condition(shelf, standard.file, path, criterion.condition, standard.conditions, named)
        _check_zone(shelf, standard, path, criterion)


def check_criterion(shelf: Shelf, file: str, path: FieldPath, criterion: Criterion) -> None:
    """What a criterion names, wherever it stands."""
    to_record(shelf, file, (*path, "defect"), "defect", criterion.defect, shelf.defects)
    for index, band in enumerate(criterion.count):
        for number, other in enumerate(band.together_with):
            at = (*path, "count", str(index), "together_with", str(number))
            to_record(shelf, file, at, "defect", other, shelf.defects)
    if criterion.agreed is not None:
        to_customer(shelf, file, (*path, "agreed", "party"), criterion.agreed.party, or_shop=True)
    if criterion.limit_samples is not None:
        pair = ("last_good", Side.LAST_GOOD), ("first_bad", Side.FIRST_BAD)
        for key, side in pair:
            id_ = getattr(criterion.limit_samples, key)
            if id_ is not None:
                _check_sample(shelf, file, (*path, "limit_samples", key), criterion, id_, side)


def check_condition(shelf: Shelf, file: str, path: FieldPath, condition: str, known: Collection[str], of: str) -> None:
    """The condition under which a criterion or a limit sample holds."""
    to_one_of(shelf, file, (*path, "condition"), condition, known, f"not a condition {of}")


def _check_zone(shelf: Shelf, standard: VisualStandard, path: FieldPath, criterion: Criterion) -> None:
    """A standard may name a zone only where a part that goes by it has one of that name."""
    parts = [part for part in shelf.parts.values() if standard.id in part.standards]
    unsure = not parts or any(kind == "part" for kind, _ in shelf.broken)
    if criterion.zone is not None and not unsure and not any(criterion.zone in part.zones for part in parts):
        names = ", ".join(f"`{part.id}`" for part in parts)
        message = f"`{criterion.zone}` is no zone of a part that goes by this standard ({names})"
        shelf.say(standard.file, (*path, "zone"), message)


def _check_sample(shelf: Shelf, file: str, path: FieldPath, criterion: Criterion, id_: str, side: Side) -> None:
    if not to_record(shelf, file, path, "limit sample", id_, shelf.limit_samples):
        return
    sample = shelf.limit_samples[id_]
    if sample.side is not side:
        shelf.say(file, path, f"limit sample `{id_}` is a `{sample.side}`, not a `{side}`")
    elif sample.defect != criterion.defect:
        shelf.say(
            file, path, f"limit sample `{id_}` is one of `{sample.defect}`, the criterion of `{criterion.defect}`"
        )
    elif len(criterion.limits) == 1 and sample.value is not None:
        _check_value(shelf, file, path, criterion.limits[0], sample.id, sample.value, side)


def _check_value(shelf: Shelf, file: str, path: FieldPath, limit: Limit, id_: str, value: Length, side: Side) -> None:
    """A last good piece lies within its own limit, a first bad one beyond it."""
    bound = _passed(limit, value)
    message = f"limit sample `{id_}` measures `{value.text}`"
    if side is Side.LAST_GOOD and bound is not None:
        shelf.say(file, path, f"{message}, outside this criterion's limit `{bound.text}`")
    elif side is Side.FIRST_BAD and bound is None:
        shelf.say(file, path, f"{message}, within this criterion's limit, and is a `{side}`")


def _passed(limit: Limit, value: Length) -> Length | None:
    """The bound beyond which a value lies."""
    if limit.max is not None and value.um > limit.max.um:
        return limit.max
    return limit.min if limit.min is not None and value.um < limit.min.um else None
