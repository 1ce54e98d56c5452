"""What parts and limit samples name: customers, standards, zones, conditions, pictures, each other."""

from portal.catalog.links.point import (
    newest,
    revisions,
    to_customer,
    to_one_of,
    to_person,
    to_picture,
    to_record,
    to_standard,
)
from portal.catalog.links.scope import check_setting
from portal.catalog.links.standard import check_condition, check_criterion
from portal.catalog.shelf import Shelf
from portal.catalog.wording import near
from portal.model.part import Part
from portal.model.sample import LimitSample
from portal.problem import FieldPath


def check_part(shelf: Shelf, part: Part) -> None:
    """One part."""
    to_customer(shelf, part.file, ("customer",), part.customer)
    for index, standard in enumerate(part.standards):
        to_standard(shelf, part.file, ("standards", str(index)), standard)
    for name, zone in part.zones.items():
        check_class(shelf, part, part.file, ("zones", name, "class"), zone.class_)
        if part.components and zone.component is not None:
            at = ("zones", name, "component")
            to_one_of(shelf, part.file, at, zone.component, part.components, "no component of this part")
    for name, view in part.views.items():
        if view.reference is not None:
            to_picture(shelf, part.file, ("views", name, "reference"), view.reference)
        for zone_name in view.sees:
            seen_at = ("views", name, "sees", zone_name)
            to_one_of(shelf, part.file, seen_at, zone_name, part.zones, "no zone of this part")
    for index, criterion in enumerate(part.criteria):
        path = ("criteria", str(index))
        check_criterion(shelf, part.file, path, criterion)
        if criterion.zone is not None:
            to_one_of(shelf, part.file, (*path, "zone"), criterion.zone, part.zones, "no zone of this part")
        if criterion.zone_class is not None:
            check_class(shelf, part, part.file, (*path, "zone_class"), criterion.zone_class)
        _check_condition(shelf, part, part.file, path, criterion.condition)


def check_class(shelf: Shelf, part: Part, file: str, path: FieldPath, class_: str) -> None:
    """A zone class has to be one of a standard by which the part goes, in any revision."""
    every = revisions(shelf, part.standards)
    if every is None or any(class_ in each.zone_classes for each in every):
        return
    latest = [newest(shelf, standard) for standard in part.standards]
    said = ", ".join(f"standard `{each.id}` rev {each.revision} ({', '.join(each.zone_classes)})" for each in latest)
    known = [name for each in latest for name in each.zone_classes]
    shelf.say(file, path, f"`{class_}` is not a zone class of {said or 'any standard'}", near(class_, known))


def _check_condition(shelf: Shelf, part: Part, file: str, path: FieldPath, condition: str) -> None:
    every = revisions(shelf, part.standards)
    if every is not None:
        known = dict.fromkeys(name for each in every for name in each.conditions)
        of = f"of the standards of part `{part.id}`"
        check_condition(shelf, file, path, condition, known, of)


def check_sample(shelf: Shelf, sample: LimitSample) -> None:
    """One limit sample."""
    file = sample.file
    to_record(shelf, file, ("defect",), "defect", sample.defect, shelf.defects)
    if to_record(shelf, file, ("part",), "part", sample.part, shelf.parts):
        part = shelf.parts[sample.part]
        check_class(shelf, part, file, ("zone_class",), sample.zone_class)
        _check_condition(shelf, part, file, (), sample.condition)
    to_person(shelf, file, ("agreed", "shop", "by"), sample.agreed.shop.by)
    for index, picture in enumerate(sample.pictures):
        path = ("pictures", str(index))
        to_picture(shelf, file, (*path, "file"), picture.file)
        check_setting(shelf, file, path, picture.scope, picture.setting)
    _check_pair(shelf, sample)
    if sample.replaced_by is not None:
        to_record(shelf, file, ("replaced_by",), "limit sample", sample.replaced_by, shelf.limit_samples)


def _check_pair(shelf: Shelf, sample: LimitSample) -> None:
    if sample.pair is None or not to_record(
        shelf, sample.file, ("pair",), "limit sample", sample.pair, shelf.limit_samples
    ):
        return
    other = shelf.limit_samples[sample.pair]
    if other.pair is not None and other.pair != sample.id:
        shelf.say(sample.file, ("pair",), f"`{other.id}` is paired with `{other.pair}`, not with this sample")
    elif other.side is sample.side and (other.pair is None or sample.id < other.id):
        shelf.say(
            sample.file, ("pair",), f"`{other.id}` is a `{other.side}` too; a pair is a last good and a first bad"
        )


def check_replacements(shelf: Shelf) -> None:
    """Limit samples that replace each other in a circle: each circle once."""
    done: set[str] = set()
    for start in shelf.limit_samples:
        trail: list[str] = []
        at: str | None = start
        while at in shelf.limit_samples and at not in done and at not in trail:
            trail.append(at)
            at = shelf.limit_samples[at].replaced_by
        if at in trail:
            circle = " → ".join(f"`{id_}`" for id_ in (*trail[trail.index(at) :], at))
            shelf.say(shelf.limit_samples[at].file, ("replaced_by",), f"replaced in a circle: {circle}")
        done.update(trail)
