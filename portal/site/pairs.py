"""Limit samples side by side at the same physical scale: last good before first bad."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from portal.model.result import NoScale
from portal.model.sample import LimitSample, Side
from portal.model.say import Say
from portal.pictures.derive import Want
from portal.site.crop import Cut, Sight, common_field, cut, whole_field
from portal.site.desk import Desk
from portal.site.sights import PAIR, best_picture, has_scale, sample_file, sample_sight
from portal.site.view import View, view_of
from portal.site.words import Speaker

_PIXELS = 1000


@dataclass(frozen=True, slots=True)
class Plate:
    """One limit sample of a pair: what is under its picture, and its page."""

    id: str
    address: str | None
    side: Say
    view: View
    same_scale: bool
    value: Say | None
    warnings: tuple[Say, ...]


def pairs(desk: Desk, samples: Iterable[LimitSample]) -> tuple[tuple[LimitSample, ...], ...]:
    """The samples in pairs, last good first; one without a pair that can be read stands alone."""
    known = desk.site.catalogue.limit_samples
    done: set[str] = set()
    found = []
    for sample in samples:
        if sample.id in done:
            continue
        other = known.get(sample.pair or "")
        both = (sample, other) if other and other.id not in done and other.id != sample.id else (sample,)
        done.update(each.id for each in both)
        found.append(tuple(sorted(both, key=lambda each: each.side is Side.FIRST_BAD)))
    return tuple(found)


def plates(desk: Desk, pair: tuple[LimitSample, ...], speaker: Speaker) -> tuple[Plate, ...]:
    """The pictures of a pair."""
    return tuple(_plate(desk, sample, part, same, speaker) for sample, part, same in _cuts(desk, pair))


def pair_wants(desk: Desk, pair: tuple[LimitSample, ...]) -> Iterator[tuple[str, Want]]:
    """The derived pictures that a pair needs."""
    for _, part, _ in _cuts(desk, pair):
        if part is not None:
            yield part.file, part.want


def sample_value(sample: LimitSample) -> Say | None:
    """The value of a sample with its ±, as it was written."""
    if sample.value is None:
        return None
    if sample.u is None:
        return Say.of("sample.value_alone", value=sample.value)
    return Say.of("sample.value", value=sample.value, u=sample.u)


def sample_warnings(desk: Desk, sample: LimitSample) -> tuple[Say, ...]:
    """What makes a sample doubtful on the day of the page: expired, replaced, a check that is overdue."""
    return tuple(_warnings(desk, sample))


def _warnings(desk: Desk, sample: LimitSample) -> Iterator[Say]:
    if sample.expires and sample.expires < desk.site.as_of:
        yield Say.of("card.sample_expired", sample=sample.id, day=sample.expires)
    if sample.replaced_by:
        yield Say.of("card.sample_replaced", sample=sample.id, by=sample.replaced_by)
    overdue = min((each.next_check for each in sample.pieces if each.next_check), default=None)
    if overdue and overdue < desk.site.as_of:
        yield Say.of("sample.check_overdue", sample=sample.id, day=overdue)


def _cuts(desk: Desk, pair: tuple[LimitSample, ...]) -> tuple[tuple[LimitSample, Cut | None, bool], ...]:
    """Each sample with its crop, and whether it is at the same physical scale as the other."""
    shown = [(sample, best_picture(desk, sample) if sample.pictures else None) for sample in pair]
    sights = [sample_sight(desk, sample, picture) if picture else None for sample, picture in shown]
    scaled = [each for each in sights if each is not None and has_scale(desk, each.file)]
    drawn = all(picture is not None and picture.shapes for _, picture in shown)

    def field_of(main: Sight) -> Cut | None:
        same = main in scaled
        base = scaled[0] if same else main
        others = scaled[1:] if same else ()
        field = common_field(base, others, aspect=PAIR) if drawn else whole_field(base, aspect=PAIR)
        return cut(main, field, pixels=_PIXELS)

    return tuple(
        (sample, field_of(sight) if sight else None, len(scaled) > 1 and sight in scaled)
        for sample, sight in zip(pair, sights, strict=True)
    )


def _plate(desk: Desk, sample: LimitSample, part: Cut | None, same: bool, speaker: Speaker) -> Plate:
    side = Say.of(f"side.{sample.side.value.replace(' ', '-')}")
    scaled = part is not None and not isinstance(desk.scale(part.file), NoScale)
    file = sample_file(sample, best_picture(desk, sample)) if sample.pictures else ""
    view = view_of(
        desk,
        part,
        alt=Say.of("card.sample_alt", sample=sample.id, side=side),
        aspect="a32",
        unit=speaker.unit if scaled else None,
        file=file,
    )
    return Plate(
        id=sample.id,
        address=desk.addresses.record("limit sample", sample.id),
        side=side,
        view=view,
        same_scale=same,
        value=sample_value(sample),
        warnings=sample_warnings(desk, sample),
    )
