"""Parts and limit samples: what each alone can get wrong."""

from portal.catalog.sense.remark import Remark, Remarks, above_zero, at_least, each_once, not_negative, under
from portal.catalog.sense.standard import of_criteria
from portal.catalog.sense.tag import of_shapes
from portal.model.part import Part, View
from portal.model.sample import LimitSample, SampleKind
from portal.model.slug import same_name
from portal.model.terms import Rank


def of_part(part: Part) -> Remarks:
    """Zones, views, precedence, own criteria."""
    if not part.zones:
        yield Remark(("zones",), "at least one zone is needed")
    for name, zone in part.zones.items():
        yield from not_negative(("zones", name, "depth"), zone.depth)
    for name, view in part.views.items():
        yield from under(("views", name), _of_view(view))
    yield from _alike(part)
    yield from each_once(("standards",), part.standards, "standard")
    yield from each_once(("precedence",), part.precedence, "rank")
    if missing := [rank for rank in Rank if rank not in part.precedence]:
        yield Remark(("precedence",), f"`{missing[0]}` is missing; name each rank once, highest first")
    yield from of_criteria(part.criteria)


def _of_view(view: View) -> Remarks:
    for zone, sees in view.sees.items():
        yield from at_least(("sees", zone, "outline"), sees.outline, 3, "an outline")
    if view.known_feature is not None:
        yield from above_zero(("known_feature", "length"), view.known_feature.length)
        yield from above_zero(("known_feature", "u"), view.known_feature.u)


def _alike(part: Part) -> Remarks:
    first: dict[str, str] = {}
    for name in part.views:
        other = first.setdefault(same_name(name), name)
        if other != name:
            message = f"`{name}` and `{other}` differ only by capitals; page names can't tell them apart"
            yield Remark(("views", name), message)


def of_sample(sample: LimitSample) -> Remarks:
    """Pieces or pictures as its kind needs, shapes, dates."""
    if sample.kind is SampleKind.PIECE and not sample.pieces:
        yield Remark(("kind",), "a limit sample of kind `piece` needs `pieces`")
    if sample.kind is SampleKind.PICTURE_ONLY and not sample.pictures:
        yield Remark(("kind",), "a limit sample of kind `picture only` needs `pictures`")
    yield from not_negative(("u",), sample.u)
    for index, picture in enumerate(sample.pictures):
        yield from of_shapes(("pictures", str(index), "shapes"), picture.shapes)
    yield from each_once(("pictures",), (picture.file for picture in sample.pictures), "picture", key="file")
    yield from each_once(("pieces",), (piece.serial or "" for piece in sample.pieces), "serial", key="serial")
    agreed = max(sample.agreed.shop.date, sample.agreed.customer.date)
    if sample.expires is not None and sample.expires < agreed:
        yield Remark(("expires",), f"`{sample.expires}` is before it was agreed, on {agreed}")
    for key, other in (("pair", sample.pair), ("replaced_by", sample.replaced_by)):
        if other == sample.id:
            yield Remark((key,), f"`{other}` is this sample itself")
