"""Standards and their criteria: what each alone can get wrong."""

from collections.abc import Sequence

from portal.catalog.sense.remark import Remark, Remarks, above_zero, each_once, not_negative, under
from portal.model.scalars import Length
from portal.model.standard import Condition, CountBand, Criterion, Limit, VisualStandard
from portal.model.terms import Characteristic, Rule

_NO_LENGTH = {
    Characteristic.COUNT: "a count is limited under `count:`, not by a length",
    Characteristic.AREA: "an area can't be limited by a length; limit a diameter or a length",
}


def of_standard(standard: VisualStandard) -> Remarks:
    """Zone classes, conditions, criteria."""
    if not standard.zone_classes:
        yield Remark(("zone_classes",), "at least one zone class is needed")
    for name, condition in standard.conditions.items():
        yield from under(("conditions", name), _of_condition(condition))
    yield from of_criteria(standard.criteria)


def _of_condition(condition: Condition) -> Remarks:
    if condition.magnification is not None and not condition.magnification > 0:
        yield Remark(("magnification",), f"`{condition.magnification:g}` has to be greater than 0")
    yield from above_zero(("distance",), condition.distance)
    angle = condition.light.angle
    if angle is not None and not 0 <= angle.degrees <= 180:
        yield Remark(("light", "angle"), f"`{angle.text}` is not between 0 and 180 deg")


def of_criteria(criteria: Sequence[Criterion]) -> Remarks:
    """Each criterion, and that no two of one file are the same or rule the same."""
    yield from each_once(("criteria",), (each.id for each in criteria), "criterion", key="id")
    ruled: dict[tuple[object, ...], str] = {}
    for index, criterion in enumerate(criteria):
        path = ("criteria", str(index))
        yield from under(path, _of_criterion(criterion))
        what = (criterion.defect, criterion.zone_class, criterion.zone, criterion.condition, criterion.rank)
        first = ruled.setdefault(what, criterion.id)
        if first != criterion.id:
            yield Remark(path, f"`{criterion.id}` rules the same as `{first}` with equal rank; keep one")


def _of_criterion(criterion: Criterion) -> Remarks:
    if (criterion.zone_class is None) == (criterion.zone is None):
        yield Remark((), "a criterion names either `zone_class` or `zone`")
    sized = bool(criterion.limits or criterion.count or criterion.spacing)
    if criterion.rule is Rule.LIMITS and not sized:
        yield Remark(("rule",), "rule `limits` needs `limits`, `count` or `spacing`")
    if criterion.rule in (Rule.NONE, Rule.ALLOWED) and sized:
        yield Remark(("rule",), f"rule `{criterion.rule}` uses no limits, and some are written; write `rule: limits`")
    for index, limit in enumerate(criterion.limits):
        yield from under(("limits", str(index)), _of_limit(limit))
    yield from each_once(
        ("limits",), (limit.characteristic for limit in criterion.limits), "limit of", key="characteristic"
    )
    for index, band in enumerate(criterion.count):
        yield from under(("count", str(index)), _of_band(band, criterion.defect))
    yield from above_zero(("spacing",), criterion.spacing)
    if criterion.spacing and any(limit.characteristic is Characteristic.SPACING for limit in criterion.limits):
        yield Remark(("spacing",), "the spacing is limited here and under `limits`; keep one")
    yield from not_negative(("smallest_counted",), criterion.smallest_counted)


def _of_limit(limit: Limit) -> Remarks:
    if limit.characteristic in _NO_LENGTH:
        yield Remark(("characteristic",), _NO_LENGTH[limit.characteristic])
    if limit.max is None and limit.min is None:
        yield Remark((), "a limit needs `max` or `min`")
    yield from _in_order("min", limit.min, "max", limit.max)


def _of_band(band: CountBand, defect: str) -> Remarks:
    yield from not_negative(("from",), band.from_)
    yield from above_zero(("to",), band.to)
    yield from _in_order("from", band.from_, "to", band.to)
    for name, area in (("from_area", band.from_area), ("to_area", band.to_area)):
        if area is not None and not area.um2 > 0:
            yield Remark((name,), f"`{area.text}` has to be greater than 0")
    low, high = band.from_area, band.to_area
    if low is not None and high is not None and low.um2 > high.um2:
        yield Remark(("from_area",), f"`{low.text}` is above to_area `{high.text}`")
    if (low or high) and (band.from_ or band.to):
        yield Remark((), "a band goes by mean diameter (`from`, `to`) or by area (`from_area`, `to_area`), not by both")
    yield from each_once(("together_with",), band.together_with, "defect class")
    for index, other in enumerate(band.together_with):
        if other == defect:
            yield Remark(("together_with", str(index)), f"`{other}` is the criterion's own class; name others")
    if isinstance(band.per, str):
        if band.per not in ("part", "zone"):
            yield Remark(("per",), f"`{band.per}` is not `part`, `zone` or `{{circle: 10 mm}}`")
    elif set(band.per) != {"circle"}:
        yield Remark(("per",), "a place to count in is `part`, `zone` or `{circle: 10 mm}`")
    else:
        yield from above_zero(("per", "circle"), band.per["circle"])


def _in_order(low: str, least: Length | None, high: str, most: Length | None) -> Remarks:
    if least is not None and most is not None and least.um > most.um:
        yield Remark((low,), f"`{least.text}` is above {high} `{most.text}`")
