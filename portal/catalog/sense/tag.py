"""Tags: what a tag alone can get wrong, shapes above all."""

from collections.abc import Sequence

from portal.catalog.sense.remark import Remark, Remarks, above_zero, at_least, ends, exactly
from portal.model.tag import BaseAndPoint, EllipseShape, Finding, LineShape, OutlineShape, RectangleShape, Shape, Tag
from portal.model.terms import Made
from portal.problem import FieldPath


def of_tag(tag: Tag) -> Remarks:
    """Masks, lengths of known size, findings."""
    for index, mask in enumerate(tag.masks):
        yield from at_least(("masks", str(index)), mask, 3, "a mask")
    if tag.known is not None:
        yield from ends(("known", "points"), tag.known.points, "a known feature")
    if tag.reference is not None:
        yield from above_zero(("reference", "length"), tag.reference.length)
        yield from above_zero(("reference", "u"), tag.reference.u)
        yield from ends(("reference", "points"), tag.reference.points, "a reference")
    if tag.burned_in_bar is not None:
        yield from above_zero(("burned_in_bar", "length"), tag.burned_in_bar.length)
        yield from ends(("burned_in_bar", "points"), tag.burned_in_bar.points, "a scale bar")
    for index, finding in enumerate(tag.findings):
        yield from _of_finding(("findings", str(index)), finding)
    for index, more in enumerate(tag.also):
        yield from of_shapes(("also", str(index), "shapes"), more.shapes)
    if tag.setting is not None and tag.scope is None:
        yield Remark(("setting",), "a setting is one of a scope; name the `scope`")
    if tag.native is not None and tag.made is not Made.STITCHED:
        yield Remark(("native",), "only a stitched picture has single pictures", "add `made: stitched`")


def _of_finding(path: FieldPath, finding: Finding) -> Remarks:
    yield from of_shapes((*path, "shapes"), finding.shapes)
    for index, gauge in enumerate(finding.gauge):
        at = (*path, "gauge", str(index))
        if not gauge.readings:
            yield Remark((*at, "readings"), "at least one reading is needed")
        yield from above_zero((*at, "u"), gauge.u)


def of_shapes(path: FieldPath, shapes: Sequence[Shape]) -> Remarks:
    """Each shape with the points that it needs."""
    for index, shape in enumerate(shapes):
        at = (*path, str(index), "points")
        if isinstance(shape, BaseAndPoint):
            yield from at_least((*path, str(index), "base"), shape.base, 3, "a base")
        elif isinstance(shape, LineShape):
            yield from at_least(at, shape.points, 2, "a line")
        elif isinstance(shape, OutlineShape):
            yield from at_least(at, shape.points, 3, "an outline")
        elif isinstance(shape, RectangleShape):
            yield from exactly(at, shape.points, 3, "a rectangle")
        elif isinstance(shape, EllipseShape):
            yield from exactly(at, shape.points, 3, "an ellipse")
