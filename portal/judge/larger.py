"""What is larger than any size that a criterion counts: nobody agreed how many of those are allowed."""

from collections.abc import Iterator, Sequence

from portal.judge import naming, sized
from portal.judge.counts import LIMIT
from portal.judge.sized import Border, Member, Sorted
from portal.model.countable import Group
from portal.model.result import Held
from portal.model.say import DefectTerm, Say, Several, Value
from portal.model.scalars import Area, Length
from portal.model.standard import Criterion
from portal.model.terms import Characteristic, VerdictWord

_SIZES = frozenset(
    {
        Characteristic.DIAMETER,
        Characteristic.EQUIVALENT_DIAMETER,
        Characteristic.LENGTH,
        Characteristic.RUN,
        Characteristic.WIDTH,
    }
)


def hold(criterion: Criterion, group: Group, *, zone: str, soft: bool) -> Held | None:
    """No verdict where one is, or may be, larger than every band of the criterion; None where there is none.

    A table of bands that ends at a size says nothing of what is larger: counted in no band, it would conform
    however large. A band without an upper end covers it, and so does a limit of a size beside the bands.
    """
    tops = _tops(criterion)
    if not tops or group.refused is not None or any(limit.characteristic in _SIZES for limit in criterion.limits):
        return None
    items = [each for each in group.items if each.defect == criterion.defect and zone in each.zones and each.is_sizable]
    beyond = [list(sized.sort(items, criterion, (_border(top),), soft=soft, sized=True)) for top in tops]
    found = [each[0] for each in zip(*beyond, strict=True) if all(map(_is_beyond, each))]
    if not found:
        return None
    said: tuple[Value, ...] = tuple(tops)
    reason = Say.of("reason.not-agreed-larger", defect=DefectTerm(criterion.defect), sizes=Several(said))
    sentence = Say.of(
        "verdict.not-agreed.larger",
        n=len(found),
        items=naming.items(found),
        criterion=criterion.id,
        sizes=Several(said),
    )
    return Held(LIMIT, VerdictWord.NOT_JUDGED, sentence, decision=criterion.decision, reason=reason)


def _tops(criterion: Criterion) -> Sequence[Length | Area]:
    """The largest size of any band, by length and by area; none where a band has no upper end."""
    ends = [band.to or band.to_area for band in criterion.count]
    return [] if None in ends else list(_largest([each for each in ends if each is not None]))


def _largest(ends: Sequence[Length | Area]) -> Iterator[Length | Area]:
    lengths = [each for each in ends if isinstance(each, Length)]
    areas = [each for each in ends if isinstance(each, Area)]
    if lengths:
        yield max(lengths, key=lambda each: each.um)
    if areas:
        yield max(areas, key=lambda each: each.um2)


def _border(top: Length | Area) -> Border:
    return Border(None, top.um) if isinstance(top, Length) else Border(None, top.um2, by_area=True)


def _is_beyond(found: Sorted) -> bool:
    return found.size is not None and found.member in (Member.NO, Member.DOUBTFUL)
